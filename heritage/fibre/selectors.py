"""After the dam in all: who may write it down, what wants doing, and the account."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Sum
from django.http import Http404
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.fibre import (
    DRAIN_H,
    VOLUNTEERS,
    YARN_OF_TOW,
    AccountStep,
    Band,
    Step,
    Waiting,
    account,
    cloth_of,
    spinning_hours,
    tex_of_lea,
    weight_at,
    with_beets,
    yarn_length,
    yarn_of,
)
from heritage.calc.lots import ASSUMED_MOISTURE_PCT
from heritage.common.models import Viewer
from heritage.dam.models import Ret
from heritage.fibre.grass.selectors import SpreadingState, heaped, spreading_states
from heritage.fibre.models import Work
from heritage.fibre.stock.selectors import Stock, take_stock
from heritage.fibre.store.selectors import StorePage, store_page
from heritage.fibre.work.selectors import SessionLine, session_lines
from heritage.gatherings.models import Gathering
from heritage.lots.models import IN_BEETS, Move, Place
from heritage.lots.selectors import LotAt
from heritage.lots.words import beets_in_words, kilograms, lots_in_words
from heritage.people.request import Standing
from heritage.season.models import Demonstration
from heritage.tally.models import Entry

HOUR = timedelta(hours=1)
AFTER_THE_DAM = (Place.GRASS, Place.STORE, Place.BRAKE, Place.SCUTCH, Place.HACKLE)
AIR_DRY_PCT = float(ASSUMED_MOISTURE_PCT)
# Common settings for a first cloth, our own choice: change them on the page.
LEA, G_PER_M2, TOW_G_PER_M2 = 14.0, 200.0, 350.0


def may_write(user: Viewer, standing: Standing) -> bool:
    """Tell whether somebody organises, or leads a gathering here."""
    if standing.is_organiser:
        return True
    led = Gathering.objects.of(standing.demonstration).led_by(user)
    return led.exists()


def require_writer(user: Viewer, standing: Standing) -> None:
    """Answer 404 to anybody who neither organises nor leads here."""
    if not may_write(user, standing):
        raise Http404(_("Only organisers and leads can enter this."))


@dataclass(frozen=True, slots=True)
class Heap:
    """What is out of the dam and waits to be spread."""

    lots: tuple[LotAt, ...]
    since: datetime | None

    @property
    def beets(self) -> int:
        """The beets in it."""
        return sum(one.beets for one in self.lots)

    @property
    def drained_at(self) -> datetime | None:
        """When it has drained long enough to be spread."""
        return self.since and self.since + DRAIN_H.low * HOUR

    @property
    def late_at(self) -> datetime | None:
        """When it has lain longer than it should."""
        return self.since and self.since + DRAIN_H.high * HOUR


@dataclass(frozen=True, slots=True)
class FibrePage:
    """All that is after the dam, and what wants doing."""

    heap: Heap
    spreadings: tuple[SpreadingState, ...]
    store: StorePage
    works: tuple[tuple[Work, int], ...]
    stooked: int
    sessions: list[SessionLine]
    line_g: int
    tow_g: int
    matters: tuple["Matter", ...]

    @property
    def lead(self) -> str:
        """How things stand, in a sentence or two."""
        said = []
        if beets := self.heap.beets:
            words = ngettext(
                "%d beet drains beside the dam.",
                "%d beets drain beside the dam.",
                beets,
            )
            said.append(words % beets)
        if self.lying:
            said.append(_("Flax lies on the grass."))
        if beets := self.store.beets:
            words = ngettext(
                "%d beet is in the store.", "%d beets are in the store.", beets
            )
            said.append(words % beets)
        if self.line_g:
            said.append(_("%s kg of line are hackled.") % kilograms(self.line_g))
        return " ".join(said) or _("Nothing is out of the dam yet.")

    @property
    def is_worked(self) -> bool:
        """Whether anything has been broken, scutched or hackled."""
        return bool(self.line_g or self.tow_g or any(g for _work, g in self.works))

    @property
    def lying(self) -> list[SpreadingState]:
        """The spreadings that still lie."""
        return [one for one in self.spreadings if not one.is_over]

    @property
    def past(self) -> list[SpreadingState]:
        """The spreadings of which all is off the grass."""
        return [one for one in self.spreadings if one.is_over]


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing to do after the dam, why, and where."""

    words: str
    why: str
    url: str
    is_due: bool = False


def fibre_page(demonstration: Demonstration, now: datetime) -> FibrePage:
    """Gather all that is after the dam."""
    stock = take_stock(demonstration)
    state = _look(stock, now)
    return FibrePage(
        heap=state.heap,
        spreadings=state.spreadings,
        store=state.store,
        works=tuple((work, stock.grams(work.place)) for work in Work),
        stooked=stock.beets([Place.STOOK, Place.CART]),
        sessions=session_lines(demonstration),
        line_g=stock.grams(Place.LINE),
        tow_g=stock.grams(Place.TOW),
        matters=tuple(_matters(state)),
    )


def matters(demonstration: Demonstration, now: datetime) -> list[Matter]:
    """Say what wants doing after the dam: nineteen queries, however much there is.

    Only five while nothing has come so far.
    """
    stock = take_stock(demonstration)
    if not any(stock.at(place) for place in AFTER_THE_DAM):
        return []
    return list(_matters(_look(stock, now)))


@dataclass(frozen=True, slots=True)
class _Look:
    stock: Stock
    heap: Heap
    spreadings: tuple[SpreadingState, ...]
    store: StorePage
    today: date
    now: datetime

    def url(self, name: str, *keys: int) -> str:
        slug = self.stock.demonstration.slug
        return reverse(f"fibre:{name}", args=[slug, *keys])


def _look(stock: Stock, now: datetime) -> _Look:
    return _Look(
        stock=stock,
        heap=_heap(stock),
        spreadings=spreading_states(stock, now),
        store=store_page(stock, now),
        today=now.astimezone(stock.demonstration.zone).date(),
        now=now,
    )


def _heap(stock: Stock) -> Heap:
    rows = Move.objects.of(stock.demonstration).standing()
    rows = rows.filter(source=Place.DAM, target=Place.GRASS)
    since = rows.order_by("-at").values_list("at", flat=True).first()
    return Heap(tuple(heaped(stock)), since)


def _matters(look: _Look) -> Iterator[Matter]:
    yield from _of_store(look)
    yield from _of_heap(look)
    for state in look.spreadings:
        if not state.is_over:
            yield from _of_grass(look, state)
    yield from _of_work(look)


def _of_store(look: _Look) -> Iterator[Matter]:
    store = look.store
    if store.danger:
        yield Matter(
            _("Danger of fire in the store"), store.danger, look.url("store"), True
        )
        # Nobody moves straw out of a store that may burn.
        return
    if store.is_due:
        words = _("Look at the store: air, heat, smell")
        yield Matter(words, _last_look(look), look.url("check_store"), is_due=True)
    if damp := [one.lot_at.lot for one in store.too_damp]:
        yield Matter(
            _("Spread %s again") % lots_in_words(damp),
            _("A test found it too damp for the store."),
            look.url("spread_again"),
            is_due=True,
        )


def _last_look(look: _Look) -> str:
    """Say what the last look at the store found, and when."""
    last = look.store.last
    if last is None:
        return _("Not checked yet.")
    seen = last.check.at.astimezone(look.stock.demonstration.zone)
    return _("%(found)s That was on %(day)s.") % {
        "found": last.words,
        "day": date_format(seen, "j F"),
    }


def _of_heap(look: _Look) -> Iterator[Matter]:
    heap = look.heap
    if not heap.beets:
        return
    is_drained = heap.drained_at is None or heap.drained_at <= look.now
    why = _("It drains 12 to 24 hours first, close together on its root ends.")
    if is_drained:
        why = _("It has drained: a heap heats, and what dries in the beet stays stuck.")
    words = _("Spread %s on the grass") % beets_in_words(heap.beets)
    yield Matter(words, why, look.url("spread"), is_due=is_drained)


def _before_rain(look: _Look, state: SpreadingState) -> Iterator[Matter]:
    """Say what is to come in, or to be covered before it rains."""
    where, pk = state.spreading.where, state.spreading.pk
    is_wet_soon = state.rain_on in (look.today, look.today + timedelta(days=1))
    if state.is_ready:
        why = _("A test found it ready. Bring it in dry.")
        if is_wet_soon:
            why = _("A test found it ready, and rain is on the way: cover it or bring "
                    "it in.")  # fmt: skip
        words = _("Bring in the flax from %s") % where
        yield Matter(words, why, look.url("bring_in", pk), is_due=True)
    elif state.is_gaited and is_wet_soon:
        yield Matter(
            _("Cover the flax at %s") % where,
            _("It stands to dry, and rain is on the way."),
            look.url("spreading", pk),
            is_due=True,
        )


def _of_grass(look: _Look, state: SpreadingState) -> Iterator[Matter]:
    where, pk = state.spreading.where, state.spreading.pk
    yield from _before_rain(look, state)
    if state.turn_on and state.turn_on <= look.today:
        yield Matter(
            _("Turn the flax at %s") % where,
            state.turn_words.capitalize() + ".",
            look.url("add_entry", pk) + "?what=turned",
            is_due=True,
        )
    if state.test_on and state.test_on <= look.today:
        yield Matter(
            _("Test the flax at %s") % where,
            _("It may be ready. Too long on the grass weakens it."),
            look.url("add_entry", pk),
            is_due=True,
        )


def _of_work(look: _Look) -> Iterator[Matter]:
    stored = () if look.store.danger else look.store.lots
    dry = [one.lot_at.lot for one in stored if one.dry and one.dry.is_to_break]
    untested = [one.lot_at.lot for one in stored if one.dry is None]
    if dry:
        words = _("Break %s") % lots_in_words(dry)
        yield Matter(words, _("A test found it dry enough."), look.url("break"))
    if untested:
        yield Matter(
            _("Test how dry the straw in the store is"),
            lots_in_words(untested),
            look.url("test_dryness"),
        )
    names = {
        Work.BREAKING: (_("Finish breaking %s kg"), "break"),
        Work.SCUTCHING: (_("Scutch %s kg"), "scutch"),
        Work.HACKLING: (_("Hackle %s kg"), "hackle"),
    }
    for work, (words, name) in names.items():
        grams = look.stock.grams(work.place)
        if grams:
            why = _("Out of doors, in short turns, with a mask.")
            yield Matter(words % kilograms(grams), why, look.url(name))


@dataclass(frozen=True, slots=True)
class Worth:
    """What line and tow may be worth in yarn and cloth."""

    lea: float
    g_per_m2: float
    tex: float
    yarn: Band
    metres: float
    hours: Band
    cloth: Band
    tow_cloth: Band


@dataclass(frozen=True, slots=True)
class AccountPage:
    """The fibre account: expected, weighed and still to come, in air-dry kilograms."""

    pulled: int
    steps: tuple[AccountStep, ...]
    tow_kg: float
    shive_kg: float
    worth: Worth
    beet_kg: Band
    is_weighed: bool

    @property
    def line(self) -> AccountStep:
        """The last step."""
        return self.steps[-1]


# What counts as weighed at each step: it comes from here, and goes there.
WEIGHED = {
    Step.RETTED: (IN_BEETS, Place.BRAKE),
    Step.SCUTCHED: ((Place.SCUTCH,), Place.HACKLE),
    Step.LINE: ((Place.HACKLE,), Place.LINE),
}


def account_page(
    demonstration: Demonstration, *, lea: float = LEA, g_per_m2: float = G_PER_M2
) -> AccountPage:
    """Set what was expected of the crop beside what was weighed: eight queries."""
    stock = take_stock(demonstration)
    flows = _flows(demonstration)
    pulled = max(0, Entry.objects.of(demonstration).beets())
    waiting = Waiting(
        beets=stock.beets(IN_BEETS),
        straw_kg=_air_dry(stock.grams(Place.BRAKE)),
        broken_kg=_air_dry(stock.grams(Place.SCUTCH)),
        scutched_kg=_air_dry(stock.grams(Place.HACKLE)),
    )
    measured = {
        step: _air_dry(sum(flows.get((source, target), 0) for source in sources))
        for step, (sources, target) in WEIGHED.items()
    }
    beet_kg, is_weighed = _beet_kg(demonstration)
    steps = account(with_beets(VOLUNTEERS, beet_kg), pulled, waiting, measured)
    tow_kg = _air_dry(stock.grams(Place.TOW))
    return AccountPage(
        pulled=pulled,
        steps=steps,
        tow_kg=tow_kg,
        shive_kg=_air_dry(stock.grams(Place.SHIVE)),
        worth=_worth(steps[-1].total, tow_kg, lea, g_per_m2),
        beet_kg=beet_kg,
        is_weighed=is_weighed,
    )


def _beet_kg(demonstration: Demonstration) -> tuple[Band, bool]:
    """Return what a dry beet weighs, and whether beets of this crop were weighed.

    Where none were weighed for the whole crop, those of the last filling that was
    weighed are the likely ones, and the range keeps its width beside them. [kg]
    """
    known = demonstration.beet_kg
    if demonstration.weighed_beets is not None:
        return known, True
    fillings = Ret.objects.of(demonstration).filter(beet_dry_kg__isnull=False)
    last = fillings.newest_first().values_list("beet_dry_kg", flat=True).first()
    if last is None:
        return known, False
    return known.scaled(float(last) / known.likely), True


def _flows(demonstration: Demonstration) -> dict[tuple[str, str], int]:
    """Return the dry grams that went from each place to each other."""
    rows = Move.objects.of(demonstration).standing().order_by()
    sums = rows.values_list("source", "target").annotate(Sum("dry_g"))
    return {(source, target): grams or 0 for source, target, grams in sums}


def _air_dry(grams: int) -> float:
    """Return a dry mass as it weighs with the water of dry straw, in kilograms."""
    return weight_at(grams / 1000, 0.0, AIR_DRY_PCT)


def _worth(line: Band, tow_kg: float, lea: float, g_per_m2: float) -> Worth:
    yarn, tex = yarn_of(line), tex_of_lea(lea)
    metres = yarn_length(yarn.likely, tex)
    return Worth(
        lea=lea,
        g_per_m2=g_per_m2,
        tex=tex,
        yarn=yarn,
        metres=metres,
        hours=spinning_hours(metres),
        cloth=cloth_of(yarn, g_per_m2),
        tow_cloth=cloth_of(yarn_of(tow_kg, YARN_OF_TOW), TOW_G_PER_M2),
    )
