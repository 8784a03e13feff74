"""What a calendar feed holds."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from heritage.dam.treading.selectors import own_turns
from heritage.gatherings.ground.selectors import calendar_entry
from heritage.gatherings.models import Gathering
from heritage.kits.ical import Entry
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar's name, its entries in order, and the zone they are told in."""

    name: str
    time_zone: str
    entries: list[Entry]


def public_feed(demonstration: Demonstration) -> Feed:
    """Return every gathering that has been posted, called off or not: one query."""
    rows = Gathering.objects.of(demonstration).published()
    return _feed(demonstration.name, demonstration, rows.in_order().for_page())


def private_feed(volunteer: Volunteer) -> Feed:
    """Return where one volunteer has a place or a turn; nobody else is named.

    Their turns at the dam stand among them; a turn that is dropped is gone.
    """
    demonstration = volunteer.demonstration
    rows = Gathering.objects.of(demonstration).published().expecting(volunteer)
    name = f"{demonstration.name}: {volunteer.name}"
    feed = _feed(name, demonstration, rows.in_order().for_page())
    return replace(feed, entries=[*feed.entries, *own_turns(volunteer)])


def _feed(name: str, demonstration: Demonstration, rows: Iterable[Gathering]) -> Feed:
    entries = [calendar_entry(row) for row in rows]
    return Feed(name, demonstration.time_zone, entries)
