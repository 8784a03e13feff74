"""A VTIMEZONE for any zone, with its onsets right (RFC 5545, 3.6.5).

An onset is written in the local time of the moment before it, so London's spring
change of 2026 is 01:00. The library's own generator writes an hour late.

Where a zone keeps a yearly rule ("the last Sunday in March") it is written as one,
because some readers know nothing else; otherwise each change is written singly.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import groupby
from typing import Final
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

WEEKDAYS: Final = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
STEP: Final = timedelta(days=7)
# Enough years to tell "the last Sunday" from "the fourth Sunday".
YEARS_TO_TELL_A_RULE: Final = 8


@dataclass(frozen=True)
class Onset:
    """One change of a zone's clock; ``local`` is the time before it."""

    local: datetime
    before: timedelta
    after: timedelta
    name: str
    summer: bool


def _offset(moment: datetime, zone: ZoneInfo) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta()


def _change_between(low: datetime, high: datetime, zone: ZoneInfo) -> datetime:
    """Find the first second that has ``high``'s offset."""
    while high - low > timedelta(seconds=1):
        middle = low + (high - low) // 2
        middle = middle.replace(microsecond=0)
        if _offset(middle, zone) == _offset(high, zone):
            high = middle
        else:
            low = middle
    return high


def _onset(at: datetime, before: timedelta, zone: ZoneInfo) -> Onset:
    local = at.astimezone(zone)
    after = _offset(at, zone)
    return Onset(
        local=(at + before).replace(tzinfo=None),
        before=before,
        after=after,
        name=local.tzname() or "",
        summer=after > before,
    )


def _opening(start: datetime, zone: ZoneInfo) -> Onset:
    """Say what holds before the first change, whichever it is."""
    local = start.astimezone(zone)
    offset = _offset(start, zone)
    summer = (local.dst() or timedelta()) > timedelta()
    naive = (start + offset).replace(tzinfo=None)
    return Onset(naive, offset, offset, local.tzname() or "", summer)


@lru_cache(maxsize=64)
def onsets(key: str, first_year: int, last_year: int) -> tuple[Onset, ...]:
    """Give every change of a zone's clock within years, both counted in."""
    zone = ZoneInfo(key)
    at = datetime(first_year, 1, 1, tzinfo=UTC)
    end = datetime(last_year + 1, 1, 1, tzinfo=UTC)
    changes = []
    while at < end:
        ahead = at + STEP
        if _offset(ahead, zone) != _offset(at, zone):
            change = _change_between(at, ahead, zone)
            changes.append(_onset(change, _offset(at, zone), zone))
        at = ahead
    return tuple(changes)


def _place_in_month(day: datetime) -> tuple[int, bool]:
    """Give which of its weekday in the month a day is, and whether the last."""
    return (day.day - 1) // 7 + 1, (day + STEP).month != day.month


def _rule(changes: Sequence[Onset], years: int) -> dict[str, object] | None:
    """Give the yearly rule that these changes keep, if they keep one."""
    days = [change.local for change in changes]
    same = {(d.month, d.weekday(), d.time()) for d in days}
    if len(same) != 1 or [d.year for d in days] != [
        days[0].year + k for k in range(years)
    ]:
        return None
    month, weekday, _ = next(iter(same))
    places = [_place_in_month(day) for day in days]
    numbers = {number for number, _ in places}
    if all(last for _, last in places):
        number = -1
    elif len(numbers) == 1:
        number = numbers.pop()
    else:
        return None
    return {"FREQ": "YEARLY", "BYMONTH": month, "BYDAY": f"{number}{WEEKDAYS[weekday]}"}


def _kind(change: Onset) -> tuple[bool, timedelta, timedelta, str]:
    return change.summer, change.before, change.after, change.name


def _component(
    change: Onset, rule: dict[str, object] | None = None
) -> TimezoneStandard | TimezoneDaylight:
    component = TimezoneDaylight() if change.summer else TimezoneStandard()
    component.add("dtstart", change.local)
    component.add("tzoffsetfrom", change.before)
    component.add("tzoffsetto", change.after)
    component.add("tzname", change.name)
    if rule:
        component.add("rrule", rule)
    return component


def _components(
    key: str, first_year: int, last_year: int
) -> Iterator[TimezoneStandard | TimezoneDaylight]:
    changes = onsets(key, first_year, last_year)
    groups = {
        kind: list(group) for kind, group in groupby(sorted(changes, key=_kind), _kind)
    }
    rules = {
        kind: _rule(group, last_year - first_year + 1) for kind, group in groups.items()
    }
    if all(rules.values()) and groups:
        for kind, group in groups.items():
            yield _component(group[0], rules[kind])
        return
    yield _component(_opening(datetime(first_year, 1, 1, tzinfo=UTC), ZoneInfo(key)))
    yield from (_component(change) for change in changes)


def vtimezone(key: str, first_year: int, last_year: int) -> Timezone:
    """Describe a zone for entries between two years.

    The year before the first is included, so that its last change holds in January.
    """
    last_year = max(last_year + 1, first_year + YEARS_TO_TELL_A_RULE - 2)
    block = Timezone()
    block.add("tzid", key)
    for component in _components(key, first_year - 1, last_year):
        block.add_component(component)
    return block
