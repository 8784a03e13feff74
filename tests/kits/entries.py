"""Small makers shared by the tests of calendars."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from heritage.kits.ical import Entry, Person, calendar, message

LONDON = ZoneInfo("Europe/London")
ORGANISER = Person("Carrowlint flax", "flax@carrowlint.example")
VOLUNTEER = Person("Seán Ó Súilleabháin", "sean@carrowlint.example")


def make_entry(**overrides) -> Entry:
    arguments = {
        "uid": "b3c1f0@carrowlint.example",
        "stamp": datetime(2026, 7, 1, 9, tzinfo=UTC),
        "starts": datetime(2026, 7, 20, 18, 30, tzinfo=LONDON),
        "ends": datetime(2026, 7, 20, 21, tzinfo=LONDON),
        "summary": "Pulling",
    }
    return Entry(**(arguments | overrides))


def make_feed(*entries, **overrides) -> bytes:
    arguments = {"name": "Carrowlint flax", "timezone": "Europe/London"}
    return calendar(entries=entries, **(arguments | overrides))


def make_message(method="REQUEST", entry=None, **overrides) -> bytes:
    arguments = {
        "organiser": ORGANISER,
        "attendee": VOLUNTEER,
        "timezone": "Europe/London",
    }
    entry = entry or make_entry()
    return message(method=method, entry=entry, **(arguments | overrides))
