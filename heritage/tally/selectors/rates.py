"""How fast the crop comes up: measured here, or the default until it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, Sum
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.pulling import Band, machine_rate, person_rate
from heritage.calc.stand import Sample, measured_ratio
from heritage.gatherings.models import SignUp, Turnout
from heritage.season.models import Demonstration
from heritage.tally.models import Entry, Way, Work, WorkKind
from heritage.tally.selectors.hours import Stay
from heritage.tally.selectors.progress import FieldProgress

# Until evenings were measured: half the crew new to it. A placeholder.
NOVICES = 0.5
# What is often said of the old machines, without a source.
MACHINE_HANDS = 8
# Beets to a cart's load until loads were counted: our own guess, no source.
LOAD = Band(36, 60, 96)
# Placeholder for the share of those signed up who come; it weighs as five people.
SHARE, SHARE_WORTH = 0.6, 5
# The usual turnout is that of so many evenings last pulled on.
LAST_EVENINGS = 4


@dataclass(frozen=True, slots=True)
class Rate:
    """Beets to the hour (or to the load), and what that rests on."""

    band: Band
    evenings: int
    default: str

    @property
    def words(self) -> str:
        """Where the figure comes from."""
        if not self.evenings:
            return _("default until measured: %s") % self.default
        words = ngettext(
            "measured on %d evening", "measured on %d evenings", self.evenings
        )
        return words % self.evenings


@dataclass(frozen=True, slots=True)
class Share:
    """The share of those with a place who come."""

    likely: float
    came: int
    held: int
    evenings: int


@dataclass(frozen=True, slots=True)
class Rates:
    """Everything that says what an evening comes to."""

    hand: Rate
    machine: Rate
    load: Rate
    share: Share
    usual_pullers: int


def rates(
    demonstration: Demonstration, progress: FieldProgress, now: datetime
) -> Rates:
    """Read the rates from the book, the turnout and the sign-ups: five queries."""
    by_evening = _hand_beets(demonstration)
    hours = _hand_hours(demonstration)
    hand = [
        (row["measured"] or 0, hours.get(row["gathering"], 0.0)) for row in by_evening
    ]
    machine, load = _machine_and_loads(demonstration)
    per_m2 = _density(progress)
    last = [row["people"] for row in by_evening[-LAST_EVENINGS:]]
    return Rates(
        hand=_rate(
            hand,
            _scaled(person_rate(novices=NOVICES), per_m2),
            _("a published rate for practised pullers, with half the crew new to it"),
        ),
        machine=_rate(
            machine,
            _scaled(machine_rate(MACHINE_HANDS), per_m2),
            _("as good as eight pullers, which is often said, without a source"),
        ),
        load=_rate(load, LOAD, _("our own guess, no source; count one load")),
        share=_share(demonstration, now),
        usual_pullers=round(sum(last) / len(last)) if last else 0,
    )


def _rate(found: Sequence[tuple[int, float]], default: Band, words: str) -> Rate:
    samples = [Sample(beets, size) for beets, size in found if beets > 0 and size > 0]
    if not samples:
        return Rate(default, 0, words)
    return Rate(measured_ratio(samples), len(samples), words)


def _density(progress: FieldProgress) -> Band:
    """Return the beets to a square metre; of no ground, none."""
    area, stand = progress.area_m2, progress.stand
    if not area:
        return Band(0, 0, 0)
    return Band(stand.low / area, stand.likely / area, stand.high / area)


def _scaled(m2_per_h: Band, per_m2: Band) -> Band:
    """Return beets to the hour: more to the metre takes no longer to pull."""
    return Band(
        m2_per_h.low * per_m2.low,
        m2_per_h.likely * per_m2.likely,
        m2_per_h.high * per_m2.high,
    )


def _hand_beets(demonstration: Demonstration) -> list[Any]:
    """Return each evening's beets by hand of those whose hours are known."""
    timed = Turnout.objects.filter(
        gathering=OuterRef("gathering"),
        volunteer=OuterRef("volunteer"),
        left_at__isnull=False,
    )
    rows = Entry.objects.of(demonstration).pulled(Way.HAND).order_by()
    return list(
        rows.annotate(is_timed=Exists(timed))
        .values("gathering")
        .annotate(
            measured=Sum("beets", filter=Q(is_timed=True)),
            people=Count("volunteer", distinct=True),
        )
        .order_by("gathering__starts_at", "gathering")
    )


def _hand_hours(demonstration: Demonstration) -> dict[int, float]:
    """Return each evening's hours of those who pulled by hand."""
    pulled = Entry.objects.filter(
        gathering=OuterRef("gathering"), volunteer=OuterRef("volunteer"), way=Way.HAND
    )
    rows = Turnout.objects.of(demonstration).filter(
        Exists(pulled), left_at__isnull=False
    )
    spent = rows.order_by().values_list("gathering").annotate(seconds=Sum(Stay()))
    return {gathering: seconds / 3600 for gathering, seconds in spent}


def _machine_and_loads(
    demonstration: Demonstration,
) -> tuple[list[tuple[int, float]], list[tuple[int, float]]]:
    """Return the machine's beets and hours, and beets and loads, by evening."""
    by_machine = Entry.objects.of(demonstration).pulled(Way.MACHINE)
    beets = {row.key: row.beets for row in by_machine.summed_by("gathering")}
    work = Work.objects.of(demonstration).sums_by_gathering()
    evenings = {gathering for gathering, _kind in work}

    def did(gathering: int, kind: WorkKind) -> int:
        return work.get((gathering, kind), 0)

    machine = [
        (
            beets.get(row, 0),
            (did(row, WorkKind.RUNNING) + did(row, WorkKind.STOPPED)) / 60,
        )
        for row in evenings
    ]
    loads = [
        (did(row, WorkKind.CARTED), float(did(row, WorkKind.LOADS))) for row in evenings
    ]
    return machine, loads


def _share(demonstration: Demonstration, now: datetime) -> Share:
    """Return how many of those with a place came, where a turnout was kept."""
    there = Turnout.objects.filter(gathering=OuterRef("gathering"))
    rows = (
        SignUp.objects.of(demonstration)
        .held()
        .filter(Exists(there), gathering__ends_at__lte=now)
        .annotate(is_there=Exists(there.filter(volunteer=OuterRef("volunteer"))))
        .order_by()
        .aggregate(
            held=Count("pk"),
            came=Count("pk", filter=Q(is_there=True)),
            evenings=Count("gathering", distinct=True),
        )
    )
    came, held = rows["came"], rows["held"]
    likely = (SHARE * SHARE_WORTH + came) / (SHARE_WORTH + held)
    return Share(likely, came, held, rows["evenings"])
