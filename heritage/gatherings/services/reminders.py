"""The day before: what to bring, when and where, once to every household."""

import hashlib
from datetime import UTC, datetime, time, timedelta

from heritage.gatherings import mail
from heritage.gatherings.models import Gathering, SignUp
from heritage.gatherings.selectors import (
    address_of,
    evening_of,
    homes_of,
    matter_of,
)
from heritage.people.models import Letter
from heritage.safety.selectors import heard_pairs

# House rules, without a printed source: after breakfast on the day before, and not
# so late that the reader has set out.
FROM = time(9)
NOT_WITHIN = timedelta(hours=2)
AHEAD = timedelta(days=3)


def due_at(gathering: Gathering) -> datetime:
    """Return when the reminder goes: in the morning, there, on the day before."""
    demonstration = gathering.demonstration
    day = evening_of(gathering.starts_at, demonstration) - timedelta(days=1)
    return datetime.combine(day, FROM, demonstration.zone).astimezone(UTC)


def remind(*, now: datetime) -> int:
    """Remind everybody with a place whose gathering is tomorrow; return how many.

    Who has had a letter about it since the reminder was due, and who asked for the
    place later than that, needs none. It may be asked for as often as one likes.
    """
    rows = Gathering.objects.going_ahead().for_page().select_related("first_aider")
    soon = rows.starting_after(now + NOT_WITHIN).starting_by(now + AHEAD)
    return sum(_remind_of(row, now) for row in soon if due_at(row) <= now)


def _remind_of(gathering: Gathering, now: datetime) -> int:
    due = due_at(gathering)
    entries = list(gathering.sign_ups.held().asked_before(due).for_page())
    matter = Letter.objects.of(gathering.demonstration).on(matter_of(gathering))
    told = set(matter.written_since(due).values_list("volunteer", flat=True))
    homes = [
        home
        for home in homes_of(entries)
        if not told & {entry.volunteer_id for entry in home}
    ]
    missing = _to_hear(entries) if homes else {}
    for home in homes:
        for entry in home:
            entry.gathering = gathering
        to_hear = [missing[entry.pk] for entry in home if entry.pk in missing]
        key = _key(gathering, home)
        mail.reminder(gathering, home, key=key, now=now, to_hear=to_hear)
    return len(homes)


def _to_hear(entries: list[SignUp]) -> dict[int, str]:
    """Say, by place, what somebody has yet to hear before they start."""
    asked = [(entry, entry.station.briefing) for entry in entries]
    heard = heard_pairs(
        [entry.volunteer for entry in entries],
        [briefing for _, briefing in asked if briefing],
    )
    return {
        entry.pk: f"{entry.volunteer.name}: {briefing}"
        for entry, briefing in asked
        if briefing and (entry.volunteer_id, briefing.pk) not in heard
    }


def _key(gathering: Gathering, home: list[SignUp]) -> str:
    """Name the reminder of one day to one household, without writing its address."""
    who = address_of(home[0].volunteer).lower() or str(home[0].volunteer_id)
    mark = hashlib.sha256(who.encode()).hexdigest()[:16]
    day = evening_of(gathering.starts_at, gathering.demonstration)
    return f"reminder:{gathering.pk}:{day.isoformat()}:{mark}"
