"""What a calendar feed holds."""

from dataclasses import dataclass, replace
from datetime import datetime

from heritage.gatherings.models import Gathering, SignUpStatus
from heritage.gatherings.selectors import calendar_entry
from heritage.kits.ical import Entry
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar's name, its entries, and when any of it last changed."""

    name: str
    timezone: str
    entries: list[Entry]
    changed_at: datetime


def public_feed(demonstration: Demonstration) -> Feed:
    """Return every gathering that was ever posted, called off or not: one query."""
    rows = Gathering.objects.of(demonstration).published().in_order()
    entries = [calendar_entry(row) for row in rows.for_page()]
    return _feed(demonstration, demonstration.name, entries, demonstration.created_at)


def private_feed(volunteer: Volunteer) -> Feed:
    """Return the gatherings where somebody has a place or a turn: one query.

    It names nobody: a place is confirmed, a turn in the queue is tentative.
    """
    demonstration = volunteer.demonstration
    # Those given up count too: giving up is a change of the feed.
    asked = list(volunteer.sign_ups.for_feed())
    entries = [
        replace(
            calendar_entry(row.gathering),
            stamp=max(row.gathering.revised_at, row.changed_at),
            tentative=row.status == SignUpStatus.WAITING,
        )
        for row in asked
        if row.status != SignUpStatus.GIVEN_UP and not row.gathering.is_draft
    ]
    latest = max((row.changed_at for row in asked), default=demonstration.created_at)
    return _feed(demonstration, f"{demonstration.name}: my places", entries, latest)


def _feed(
    demonstration: Demonstration, name: str, entries: list[Entry], latest: datetime
) -> Feed:
    changed_at = max([latest, *(entry.stamp for entry in entries)])
    return Feed(name, demonstration.time_zone, entries, changed_at)
