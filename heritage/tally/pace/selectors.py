"""How fast the field is pulled: the rates of the book, and the evenings ahead."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, Sum
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.pulling import (
    Band,
    Evening,
    machine_rate,
    person_rate,
    tiers_needed,
    turnout_capacity,
)
from heritage.calc.stand import Sample, measured_ratio
from heritage.gatherings.ground.selectors import Light, evening_of, light_of
from heritage.gatherings.models import (
    Gathering,
    SignUp,
    Station,
    StationKind,
    Turnout,
)
from heritage.season.models import Demonstration, Stage
from heritage.tally.models import Entry, Way, Work, WorkKind
from heritage.tally.selectors import FieldProgress, Stay

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
            return _("until you measure: %s") % self.default
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
            _("worth eight pullers, as people often say, without a source"),
        ),
        load=_rate(load, LOAD, _("our own guess, no source; count one load")),
        share=_share(demonstration, now),
        usual_pullers=round(sum(last) / len(last)) if last else 0,
    )


def _rate(rows: Sequence[tuple[int, float]], default: Band, words: str) -> Rate:
    samples = [Sample(beets, size) for beets, size in rows if beets > 0 and size > 0]
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


@dataclass(frozen=True, slots=True)
class Chance:
    """A chance, and how far it may be out."""

    likely: float
    spread: float

    def at(self, side: int) -> float:
        """Return the chance itself, or its low (-1) or high (1) end."""
        return min(1.0, max(0.0, self.likely + side * self.spread))


@dataclass(frozen=True, slots=True)
class Ahead:
    """How likely a day ahead is to be dry, by tonight's call or by a forecast."""

    dry: Chance
    words: str
    # When the forecast was read; nothing for a call.
    read_at: datetime | None = None


HOUR = timedelta(hours=1)
# The placeholder of calc for how alike the evenings' turnouts are.
EVENNESS = 5.0
# A field is carried through the chances in at most so many lots of beets.
LOTS = 1_000
# So many people are reckoned one by one; more of them in groups.
MOST_GROUPS = 48


@dataclass(frozen=True, slots=True)
class Plan:
    """One evening ahead on which flax may be pulled."""

    day: date
    posted_hours: float
    lit_hours: float
    machine_hours: float
    signed_up: int
    has_machine: bool
    stop: datetime | None
    starts_at: datetime
    ends_at: datetime
    earlier_hours: float = 0.0
    is_lost: bool = False
    more: int = 0
    ahead: Ahead | None = None

    def dry_chance(self, side: int) -> float | None:
        """Return how likely it is to be dry, or nothing where the days before tell."""
        if self.is_lost:
            return 0.0
        return self.ahead.dry.at(side) if self.ahead else None

    @property
    def dark_hours(self) -> float:
        """Hours that are posted and have no light."""
        return max(0.0, self.posted_hours - self.lit_hours)

    def expected(self, rates: Rates, side: int) -> int:
        """Return how many to reckon with as signed up; the low side adds nobody.

        Evenings further off have few names yet: there the usual turnout counts.
        """
        usual = 0
        if side >= 0 and rates.share.likely:
            usual = ceil(rates.usual_pullers / rates.share.likely)
        return max(self.signed_up, usual) + self.more

    def pullers(self, rates: Rates) -> int:
        """Return how many are likely to come and pull."""
        return round(self.expected(rates, 0) * rates.share.likely)


@dataclass(frozen=True, slots=True)
class Pace:
    """One way that things may go: low, likely or high."""

    side: int
    hand: float
    machine: float


def pace(rates: Rates, side: int) -> Pace:
    """Take every rate's same end."""

    def end(band: object) -> float:
        return float(getattr(band, {-1: "low", 0: "likely", 1: "high"}[side]))

    return Pace(side, end(rates.hand.band), end(rates.machine.band))


def plans(demonstration: Demonstration, now: datetime) -> list[Plan]:
    """Return the posted pulling evenings still to come, a day each: two queries."""
    rows = list(
        Gathering.objects.of(demonstration)
        .going_ahead()
        .filter(stage=Stage.PULLING)
        .upcoming(now)
        .for_page()
    )
    stations: dict[int, list[Station]] = {row.pk: [] for row in rows}
    for station in Station.objects.filter(gathering__in=rows).with_counts():
        stations[station.gathering_id].append(station)
    days: dict[date, Plan] = {}
    for row in rows:
        plan = _plan(row, stations[row.pk], now)
        days[plan.day] = _joined(days[plan.day], plan) if plan.day in days else plan
    return [days[day] for day in sorted(days)]


def outlook(plans: Sequence[Plan], rates: Rates, pace: Pace, lot: int) -> list[Evening]:
    """Say what each evening may pull, in lots, at one pace."""
    return [
        Evening(
            plan.day,
            _capacity(plan, rates, pace, lot),
            dry_chance=plan.dry_chance(pace.side),
        )
        for plan in plans
    ]


def beets(plan: Plan, rates: Rates, pace: Pace) -> int:
    """Return what a dry evening pulls if the likely share comes."""
    people = plan.expected(rates, pace.side) * rates.share.likely
    return int(people * pace.hand * plan.lit_hours + _by_machine(plan, pace))


def tiers(plan: Plan, rates: Rates) -> int:
    """Return how many must tie behind the pullers."""
    return tiers_needed(plan.pullers(rates))


def lot_of(left: int) -> int:
    """Return how many beets to reckon as one, so that a large field stays quick."""
    return max(1, ceil(left / LOTS))


def _capacity(
    plan: Plan, rates: Rates, pace: Pace, lot: int
) -> tuple[tuple[int, float], ...]:
    each = int(100 * pace.hand * plan.lit_hours)
    machine = _by_machine(plan, pace)
    # A crowd is reckoned in groups: whether they come hangs on the evening far more
    # than on each of them, and the chances stay few.
    people = plan.expected(rates, pace.side)
    group = max(1, ceil(people / MOST_GROUPS))
    turnout = turnout_capacity(
        round(people / group),
        each * group,
        mean_share=rates.share.likely,
        evenness=EVENNESS,
    )
    # Hundredths of a beet until here: rounding each person's would lose many.
    return tuple(
        (int((hundredths / 100 + machine) / lot), chance)
        for hundredths, chance in turnout
    )


def _by_machine(plan: Plan, pace: Pace) -> float:
    return pace.machine * plan.machine_hours if plan.has_machine else 0.0


def _plan(gathering: Gathering, stations: Iterable[Station], now: datetime) -> Plan:
    light = light_of(gathering)
    start = max(now, gathering.starts_at)
    stations = list(stations)
    pulling = [row for row in stations if row.kind == StationKind.PULL]
    return Plan(
        day=evening_of(gathering.starts_at, gathering.demonstration),
        posted_hours=(gathering.ends_at - start) / HOUR,
        lit_hours=light.hours_left(start, gathering.ends_at),
        machine_hours=_machine_hours(light, start, gathering.ends_at),
        signed_up=sum(row.held for row in pulling or stations),
        has_machine=any(row.kind == StationKind.DRIVE and row.held for row in stations),
        stop=light.stop,
        starts_at=gathering.starts_at,
        ends_at=gathering.ends_at,
        earlier_hours=light.hours_left(now, gathering.starts_at),
    )


def _machine_hours(light: Light, start: datetime, end: datetime) -> float:
    """Return the hours of light before sunset: no machine runs in the dusk."""
    end = min(end, light.sunset) if light.sunset else end
    return light.hours_left(start, max(start, end))


def _joined(one: Plan, other: Plan) -> Plan:
    """Join two gatherings of one day: their people are added, at the longer hours."""
    return Plan(
        day=one.day,
        posted_hours=max(one.posted_hours, other.posted_hours),
        lit_hours=max(one.lit_hours, other.lit_hours),
        machine_hours=max(one.machine_hours, other.machine_hours),
        signed_up=one.signed_up + other.signed_up,
        has_machine=one.has_machine or other.has_machine,
        stop=one.stop,
        starts_at=min(one.starts_at, other.starts_at),
        ends_at=max(one.ends_at, other.ends_at),
        earlier_hours=min(one.earlier_hours, other.earlier_hours),
    )
