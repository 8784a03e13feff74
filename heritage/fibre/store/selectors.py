"""The store: what is in it, how dry it is, how it stands, and when to look again."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from heritage.calc.fibre import (
    BREAK_PCT,
    STACK_PCT,
    Dryness,
    Heat,
    Smell,
    StackState,
    dryness,
    stack_state,
    weight_at,
)
from heritage.fibre.models import Air, DryBy, DryTest, StoreCheck
from heritage.fibre.stock.selectors import Stock
from heritage.fibre.store.words import DRYNESS_WORDS, HEAT_WORDS, SIGN_WORDS
from heritage.lots.models import Move, Place
from heritage.lots.selectors import LotAt
from heritage.season.models import Demonstration

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Dry:
    """What one test of dryness found, and what the bundle is to weigh."""

    test: DryTest
    found: Dryness | None
    stack_at_g: int | None
    break_at_g: int | None

    @property
    def words(self) -> str:
        """What was found."""
        if self.found:
            return str(DRYNESS_WORDS[self.found])
        key = Dryness.BREAK if self.test.is_dry else Dryness.SPREAD_AGAIN
        return str(DRYNESS_WORDS[key])

    @property
    def is_to_break(self) -> bool:
        """Whether it is dry enough to break."""
        return bool(self.test.is_dry) or self.found is Dryness.BREAK

    @property
    def is_too_damp(self) -> bool:
        """Whether it must not be stacked."""
        damp = (Dryness.SPREAD_AGAIN, Dryness.NEVER_STACK)
        return self.test.is_dry is False or self.found in damp


@dataclass(frozen=True, slots=True)
class StoredLot:
    """A lot in the store, and the last test of how dry it is."""

    lot_at: LotAt
    dry: Dry | None


@dataclass(frozen=True, slots=True)
class Look:
    """One look at the store, and what it came to."""

    check: StoreCheck
    state: StackState

    @property
    def words(self) -> str:
        """What to do."""
        return str(HEAT_WORDS[self.state.heat])

    @property
    def seen(self) -> str:
        """What was seen, felt and smelt, in one sentence."""
        check = self.check
        parts = [check.get_air_display(), _("smells %s") % check.get_smell_display()]
        if check.temp_c is not None:
            parts.append(f"{check.temp_c} °C")
        if check.moisture_pct is not None:
            parts.append(_("%.1f %% water") % check.moisture_pct)
        words = "; ".join(parts)
        return f"{words[:1].upper()}{words[1:]}."

    @property
    def reasons(self) -> list[str]:
        """Why."""
        return [str(SIGN_WORDS[sign]) for sign in self.state.signs]

    @property
    def is_danger(self) -> bool:
        """Whether everybody keeps away and the fire service is called."""
        return self.state.heat is Heat.STOP

    @property
    def is_watched(self) -> bool:
        """Whether it is looked at more often."""
        return self.state.heat is Heat.WATCH or self.check.air == Air.POOR


@dataclass(frozen=True, slots=True)
class StorePage:
    """The store: lots, looks, tests, and when to look again."""

    lots: tuple[StoredLot, ...]
    looks: tuple[Look, ...]
    tests: tuple[Dry, ...]
    stacked_at: datetime | None
    next_look: datetime | None
    is_due: bool

    @property
    def beets(self) -> int:
        """The beets in the store."""
        return sum(one.lot_at.beets for one in self.lots)

    @property
    def last(self) -> Look | None:
        """The last look."""
        return self.looks[0] if self.looks else None

    @property
    def danger(self) -> str:
        """What to do if it may burn, by the last look; nothing while it's empty."""
        last = self.last
        return last.words if last and last.is_danger and self.beets else ""

    @property
    def too_damp(self) -> list[StoredLot]:
        """The lots that a test found too damp to stack."""
        return [one for one in self.lots if one.dry and one.dry.is_too_damp]

    @property
    def rest(self) -> list[StoredLot]:
        """The other lots: dry, or not tested yet."""
        damp = self.too_damp
        return [one for one in self.lots if one not in damp]


def dry(test: DryTest) -> Dry:
    """Return what a test found, and the weights to wait for."""
    moisture = test.moisture_pct
    if moisture is None:
        return Dry(test, None, None, None)
    stack = break_ = None
    if test.way == DryBy.WEIGHT and test.after_g:
        stack = round(weight_at(test.after_g, moisture, STACK_PCT))
        break_ = round(weight_at(test.after_g, moisture, BREAK_PCT))
    return Dry(test, dryness(moisture), stack, break_)


def store_page(stock: Stock, now: datetime) -> StorePage:
    """Say how the store stands: three queries."""
    demonstration, there = stock.demonstration, stock.at(Place.STORE)
    rows = DryTest.objects.of(demonstration).newest_first().with_their_lots()
    tests = tuple(dry(test) for test in rows)
    latest: dict[int, Dry] = {}
    for one in reversed(tests):
        latest[one.test.lot_id] = one
    stacked_at = _stacked_at(demonstration, [one.lot.pk for one in there])
    checks = StoreCheck.objects.of(demonstration).newest_first()
    looks = tuple(_look(check, stacked_at) for check in checks)
    next_look = _next_look(stacked_at, looks) if there else None
    return StorePage(
        lots=tuple(StoredLot(one, latest.get(one.lot.pk)) for one in there),
        looks=looks,
        tests=tests,
        stacked_at=stacked_at,
        next_look=next_look,
        is_due=next_look is not None and next_look <= now,
    )


def _stacked_at(demonstration: Demonstration, lots: Iterable[int]) -> datetime | None:
    """Return when the youngest straw in the store came in: it heats first."""
    rows = Move.objects.of(demonstration).standing()
    rows = rows.filter(to_lot__in=list(lots), target=Place.STORE)
    rows = rows.exclude(source=Place.STORE)
    return rows.order_by("-at").values_list("at", flat=True).first()


def _look(check: StoreCheck, stacked_at: datetime | None) -> Look:
    age = max(check.at - stacked_at, timedelta(0)) / DAY if stacked_at else 0.0
    temp = None if check.temp_c is None else float(check.temp_c)
    state = stack_state(
        age_days=age,
        temp_c=temp,
        moisture_pct=check.moisture_pct,
        smell=Smell(check.smell),
    )
    return Look(check, state)


def _next_look(stacked_at: datetime | None, looks: tuple[Look, ...]) -> datetime | None:
    """Return when to look again: a day after it was stacked, then by what was seen."""
    if not looks:
        return stacked_at and stacked_at + DAY
    last = looks[0]
    hours = last.state.look_again_h
    if last.state.heat is Heat.FINE and last.is_watched:
        hours = min(hours, 24)
    due = last.check.at + timedelta(hours=hours)
    if stacked_at and stacked_at > last.check.at:
        return min(due, stacked_at + DAY)
    return due
