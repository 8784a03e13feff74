"""Runs of evenings: the list of them, and one with its evenings."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, Run
from heritage.gatherings.selectors.lines import GatheringLine, gathering_lines
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
