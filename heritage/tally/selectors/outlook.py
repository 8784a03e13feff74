"""The evenings ahead: their light, their people, and what they may come to."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

from heritage.calc.pulling import Evening, tiers_needed, turnout_capacity
from heritage.gatherings.models import Gathering, Station, StationKind
from heritage.gatherings.selectors import Light, evening_of, light_of
from heritage.season.models import Demonstration, Stage
from heritage.tally.selectors.chances import Ahead
from heritage.tally.selectors.rates import Rates

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
