"""The organiser's first page: how things stand, and what to do now, by the clock.

Nothing is kept from the reader: what is not among the first is folded by subject. In
the morning the dam comes first, in the afternoon the evening's call and its people,
and what is over is asked to be closed; what cannot wait comes before all of it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial

from heritage.dam.selectors import DamState, dam_states
from heritage.desk.evenings.selectors import of_evenings
from heritage.desk.land.selectors import of_field, of_land
from heritage.desk.selectors import Hour, Subject, Todo
from heritage.desk.upkeep.selectors import of_the_rest
from heritage.gatherings.call.selectors import Advice, advise
from heritage.gatherings.gate.selectors import Alarm, alarm_of
from heritage.gatherings.ground.selectors import (
    Light,
    evening_of,
    light_of,
    light_of_day,
)
from heritage.gatherings.land.selectors import Land, land_of_day
from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import GatheringLine, gathering_lines
from heritage.growth.selectors import Window, growing_page
from heritage.lots.selectors import field_now
from heritage.people.models import User
from heritage.season.models import Demonstration
from heritage.tally.models import Entry
from heritage.tally.selectors import FieldProgress, field_progress

SHOWN_AHEAD = 3
# From then on evenings are to be posted and a patch counted. Our own choice.
HARVEST_NEARS = timedelta(days=21)
# At noon the day's call and its people come before the dam. Our own choice.
NOON = 12
SHOWN_FIRST = 3


@dataclass(frozen=True, slots=True)
class OnNow:
    """The gathering that is on: who is here, what they pulled, and what alarms it."""

    gathering: Gathering
    light: Light
    here: int
    beets: int
    alarm: Alarm


@dataclass(frozen=True, slots=True)
class Today:
    """All that the organiser's first page shows, the first thing to do first."""

    day: date
    light: Light
    next_up: list[GatheringLine]
    progress: FieldProgress
    dams: tuple[DamState, ...]
    todos: list[Todo]
    on_now: OnNow | None = None
    land: Land | None = None
    # What the figures advise on the gathering to be decided first, if that leads.
    advice: Advice | None = None

    @property
    def leads(self) -> Todo | None:
        """The one thing that leads the page; in the field the evening itself does."""
        return None if self.on_now or not self.todos else self.todos[0]

    @property
    def then(self) -> list[Todo]:
        """At most three more."""
        return self._rest[:SHOWN_FIRST]

    @property
    def folded(self) -> list[tuple[str, list[Todo]]]:
        """The others, by subject."""
        rest = self._rest[SHOWN_FIRST:]
        by = [(one, [todo for todo in rest if todo.subject == one]) for one in Subject]
        return [(str(subject.label), todos) for subject, todos in by if todos]

    @property
    def more(self) -> int:
        """How many are folded."""
        return len(self._rest[SHOWN_FIRST:])

    @property
    def _rest(self) -> list[Todo]:
        return self.todos[1:] if self.leads else self.todos


def today(demonstration: Demonstration, user: User, now: datetime) -> Today:
    """Return the organiser's day: the same number of queries whatever the season.

    Four more while a gathering is on, from when the first is there.
    """
    mine = Gathering.objects.managed_by(user).of(demonstration).for_page()
    ahead = gathering_lines(mine.published().upcoming(now)[: SHOWN_AHEAD * 2])
    dams = dam_states(demonstration, now)
    progress = field_progress(demonstration)
    growing = growing_page(demonstration, now)
    local = now.astimezone(demonstration.zone)
    nears = _harvest_nears(growing.window, local.date())
    todos = in_order(
        [
            *of_evenings(demonstration.slug, ahead, mine, now, is_time=nears),
            *of_land(demonstration, progress, dams, growing, now),
            *of_the_rest(demonstration, now),
            *(of_field(demonstration, progress) if nears else ()),
        ],
        Hour.MORNING if local.hour < NOON else Hour.AFTERNOON,
    )
    on_now = _on_now(mine.in_the_field(now).first(), now)
    first = todos[0].gathering if todos and not on_now else None
    light = light_of_day(demonstration, local.date())
    field = field_now(demonstration, progress)
    evening = on_now.gathering if on_now else _todays(ahead, local.date())
    return Today(
        day=local.date(),
        light=light,
        next_up=ahead[:SHOWN_AHEAD],
        progress=progress,
        dams=dams,
        todos=todos,
        on_now=on_now,
        land=land_of_day(demonstration, field, light, now, evening),
        advice=advise(first, {}, now) if first else None,
    )


def in_order(todos: Iterable[Todo], hour: Hour) -> list[Todo]:
    """Put first what cannot wait, then what is due at this hour, then what is due."""
    return sorted(todos, key=partial(_rank, hour))


def _rank(hour: Hour, todo: Todo) -> tuple[bool, bool, bool]:
    return not todo.is_alarm, not todo.is_due, todo.hour not in (hour, Hour.AFTER)


def _todays(ahead: Iterable[GatheringLine], day: date) -> Gathering | None:
    """Return the gathering of today, if one is still to come."""
    rows = (line.gathering for line in ahead)
    return next(
        (row for row in rows if evening_of(row.starts_at, row.demonstration) == day),
        None,
    )


def _harvest_nears(window: Window | None, day: date) -> bool:
    """Whether it is time to post evenings; it always is while nobody can tell."""
    return window is None or day >= window.first - HARVEST_NEARS


def _on_now(row: Gathering | None, now: datetime) -> OnNow | None:
    here = row.turnout.here_at(now).count() if row else 0
    if row is None or (now < row.starts_at and not here):
        return None
    return OnNow(
        gathering=row,
        light=light_of(row),
        here=here,
        beets=Entry.objects.filter(gathering=row).beets(),
        alarm=alarm_of(row, now),
    )
