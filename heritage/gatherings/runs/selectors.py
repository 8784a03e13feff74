"""Runs of evenings: the list of them, and one with its evenings."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.dates import WEEKDAYS
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.calc.runs import days_of_run
from heritage.common.parting import Part, parted
from heritage.gatherings.ground.selectors import Light, light_of_day, local_moment
from heritage.gatherings.models import Gathering, Run, StationKind
from heritage.gatherings.selectors import GatheringLine, gathering_lines
from heritage.growth.selectors import Window, outside_window
from heritage.season.models import Demonstration

RUNS_SHOWN = 50


@dataclass(frozen=True, slots=True)
class RunPage:
    """A run with its evenings, those to come apart from the others."""

    run: Run
    days: str
    to_come: list[GatheringLine]
    over: list[GatheringLine]

    @property
    def to_come_parts(self) -> list[Part[GatheringLine]]:
        """The evenings to come in parts by their day."""
        return parted(self.to_come, _day_of)

    @property
    def over_parts(self) -> list[Part[GatheringLine]]:
        """The evenings that are over, in parts by their day."""
        return parted(self.over, _day_of, opens=False)

    @property
    def still_on(self) -> list[GatheringLine]:
        """The evenings to come that have not been called off."""
        return [line for line in self.to_come if not line.gathering.is_called_off]

    @property
    def places_held(self) -> int:
        return sum(line.held + line.waiting for line in self.still_on)


@dataclass(frozen=True, slots=True)
class RunLine:
    """A run in the list."""

    run: Run
    days: str


def _day_of(line: GatheringLine) -> str:
    day = line.gathering.starts_at.astimezone(line.gathering.demonstration.zone)
    return date_format(day, "j M")


def run_page(run: Run, now: datetime) -> RunPage:
    """Return a run's page: three queries."""
    rows = run.gatherings.for_page().in_order()
    lines = gathering_lines(rows)
    to_come = [line for line in lines if line.gathering.starts_at > now]
    over = [line for line in lines if line.gathering.starts_at <= now]
    return RunPage(run, weekday_words(run.weekdays), to_come, over)


def runs_page(demonstration: Demonstration, now: datetime) -> list[RunLine]:
    """Return the newest runs: one query."""
    rows = Run.objects.of(demonstration).with_counts(now).newest_first()[:RUNS_SHOWN]
    return [RunLine(row, weekday_words(row.weekdays)) for row in rows]


def evenings_to_come(run: Run, now: datetime) -> list[Gathering]:
    """Return the evenings of a run that may still be changed, in their order."""
    rows = run.gatherings.not_called_off().starting_after(now)
    return list(rows.for_page())


def weekday_words(weekdays: list[int]) -> str:
    """Say days of the week: neighbours as a span, others one by one."""
    days = sorted(set(weekdays))
    names = [str(WEEKDAYS[day]) for day in days]
    if len(days) > 2 and days[-1] - days[0] == len(days) - 1:
        return _("%(first)s to %(last)s") % {"first": names[0], "last": names[-1]}
    return ", ".join(names)


MOST_EVENINGS = 80


@dataclass(frozen=True, slots=True)
class RunPlan:
    """On which days a run falls, and from when to when, by the clock of the place.

    With ``by_light`` an evening that would go dark ends when its light does.
    """

    weekdays: tuple[int, ...]
    first_day: date
    last_day: date
    starts: time
    ends: time
    left_out: tuple[date, ...] = ()
    by_light: bool = False

    @property
    def days(self) -> tuple[date, ...]:
        return days_of_run(self.first_day, self.last_day, self.weekdays, self.left_out)


@dataclass(frozen=True, slots=True)
class Evening:
    """One evening of a run before it is posted.

    ``lit_until`` is said where the times asked run past the light; ``trouble`` where
    the evening cannot be posted at all.
    """

    day: date
    light: Light
    starts_at: datetime | None = None
    ends_at: datetime | None = None
    lit_until: datetime | None = None
    clashes: tuple[Gathering, ...] = ()
    trouble: str = ""
    # That the crop is not likely to be ready then.
    outside: str = ""

    @property
    def key(self) -> str:
        """What the evening is, in one word: a change makes it another one."""
        if self.starts_at is None or self.ends_at is None:
            return f"{self.day}"
        return f"{self.day}/{self.starts_at:%H%M}-{self.ends_at:%H%M}"

    @property
    def times(self) -> dict[str, Any]:
        """When it starts and ends, by the names of a gathering's fields."""
        return {"starts_at": self.starts_at, "ends_at": self.ends_at}

    @property
    def is_dark(self) -> bool:
        """Whether none of the times asked has light to work by."""
        lit, start = self.lit_until, self.starts_at
        return not self.light.is_there or bool(lit and start and lit <= start)

    @property
    def is_offered(self) -> bool:
        """Whether it is ticked until somebody says otherwise."""
        return not self.trouble and not self.clashes


def evenings(
    demonstration: Demonstration,
    plan: RunPlan,
    now: datetime,
    works: Collection[StationKind] = (),
    window: Window | None = None,
) -> list[Evening]:
    """Return the evenings of a run in their order: one query.

    ``works`` are the jobs to be done there; some of them stop by sunset. ``window``
    is when the crop is likely ready, where it is to be pulled.
    """
    posted = _posted_between(demonstration, plan)
    by_sunset = any(work.stops_by_sunset for work in works)
    rows = []
    for day in plan.days:
        one = _evening(demonstration, plan, day, now, by_sunset)
        one = replace(one, outside=outside_window(window, day))
        start, end = one.starts_at, one.ends_at
        if start and end:
            there = [r for r in posted if r.starts_at < end and r.ends_at > start]
            one = replace(one, clashes=tuple(there))
        rows.append(one)
    return rows


def _evening(
    where: Demonstration, plan: RunPlan, day: date, now: datetime, by_sunset: bool
) -> Evening:
    light = replace(light_of_day(where, day), is_by_sunset=by_sunset)
    try:
        start = local_moment(day, plan.starts, where.zone)
        end = local_moment(day, plan.ends, where.zone)
    except ValidationError as error:
        return Evening(day, light, trouble=error.messages[0])
    lit = _lit_until(light, end, by_sunset)
    if not plan.by_light:
        return Evening(day, light, start, end, lit, trouble=_past(start, now))
    end = lit or end
    return Evening(day, light, start, end, trouble=_trouble(light, start, end, now))


def end_by_light(
    demonstration: Demonstration, day: date, end: datetime, works: Collection[str]
) -> datetime:
    """Return the end of an evening, or the end of its light if that is sooner."""
    by_sunset = any(StationKind(work).stops_by_sunset for work in works)
    return _lit_until(light_of_day(demonstration, day), end, by_sunset) or end


def _posted_between(demonstration: Demonstration, plan: RunPlan) -> Sequence[Gathering]:
    zone = demonstration.zone
    start = datetime.combine(plan.first_day, time(), zone)
    end = datetime.combine(plan.last_day + timedelta(days=1), time(), zone)
    rows = Gathering.objects.of(demonstration).not_called_off()
    return list(rows.between(start, end).in_order())


def _lit_until(light: Light, end: datetime, by_sunset: bool) -> datetime | None:
    """Return when to end instead, in whole five minutes, if the light ends before."""
    ends = [light.stop, light.sunset if by_sunset else None]
    stops = [moment for moment in ends if moment is not None]
    if not stops or end <= min(stops):
        return None
    stop = min(stops)
    past = timedelta(minutes=stop.minute % 5, seconds=stop.second)
    whole = stop - past - timedelta(microseconds=stop.microsecond)
    return whole.astimezone(end.tzinfo)


def _past(start: datetime, now: datetime) -> str:
    return _("That time is past.") if start <= now else ""


def _trouble(light: Light, start: datetime, end: datetime, now: datetime) -> str:
    """Say why an evening that ends with its light cannot be posted."""
    if past := _past(start, now):
        return past
    if not light.is_there or end <= start:
        return _("There is no light left at the time it starts.")
    return ""
