"""Calendars against RFC 5545's own figures, and in the hands of other readers."""

from datetime import UTC, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import ics
import pytest
from dateutil.tz import tzical

from heritage.kits.ical import Entry, calendar
from tests.kits.entries import make_entry, make_feed
from tests.kits.strict_ical import physical_lines, read

# RFC 5545, section 4, first example, cut to the lines under test.
RFC_SAMPLE = "\r\n".join(
    [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//xyz Corp//NONSGML PDA Calendar Version 1.0//EN",
        "BEGIN:VEVENT",
        "DTSTAMP:19960704T120000Z",
        "UID:uid1@example.com",
        "DTSTART:19960918T143000Z",
        "DTEND:19960920T220000Z",
        "DESCRIPTION:Networld+Interop Conference",
        "  and Exhibit\\nAtlanta World Congress Center\\n",
        " Atlanta\\, Georgia",
        "END:VEVENT",
        "END:VCALENDAR",
        "",
    ]
).encode()
DESCRIPTION = (
    "Networld+Interop Conference and Exhibit\n"
    "Atlanta World Congress Center\nAtlanta, Georgia"
)


def test_the_standards_sample_is_read_as_it_says():
    (event,) = read(RFC_SAMPLE).named("VEVENT")
    assert event["DTSTART"].moment == datetime(1996, 9, 18, 14, 30, tzinfo=UTC)
    assert event["DTEND"].moment == datetime(1996, 9, 20, 22, 0, tzinfo=UTC)
    assert event["DESCRIPTION"].text == DESCRIPTION


def test_the_standards_sample_is_written_as_it_was():
    entry = Entry(
        uid="uid1@example.com",
        stamp=datetime(1996, 7, 4, 12, tzinfo=UTC),
        starts=datetime(1996, 9, 18, 14, 30, tzinfo=UTC),
        ends=datetime(1996, 9, 20, 22, tzinfo=UTC),
        summary="Conference",
        description=DESCRIPTION,
    )
    ours = read(calendar(name="x", entries=[entry], timezone="UTC"))
    (event,), (sample,) = ours.named("VEVENT"), read(RFC_SAMPLE).named("VEVENT")
    for name in ("DTSTAMP", "UID", "DTSTART", "DTEND", "DESCRIPTION"):
        assert event[name].value == sample[name].value


def test_sixty_long_vowels_fold_inside_75_octets():
    data = make_feed(make_entry(description="Ó" * 60))
    assert max(len(line) for line in physical_lines(data)) <= 75
    assert data.count(b"\n") == data.count(b"\r\n") == data.count(b"\r")


def onsets_of(key: str, year: int) -> dict[str, list[str]]:
    """Give the zone's written onsets and rules for an entry in that year."""
    zone = ZoneInfo(key)
    entry = make_entry(
        starts=datetime(year, 7, 1, 12, tzinfo=zone),
        ends=datetime(year, 7, 1, 13, tzinfo=zone),
    )
    (block,) = read(make_feed(entry, timezone=key)).named("VTIMEZONE")
    return {
        part.name: [part["DTSTART"].value, part["RRULE"].value] for part in block.parts
    }


def test_london_changes_at_one_by_the_clock_before():
    """Law: 01:00 GMT on the last Sundays of March and October (SI 2002/262)."""
    assert onsets_of("Europe/London", 2027) == {
        "DAYLIGHT": ["20260329T010000", "FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3"],
        "STANDARD": ["20261025T020000", "FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10"],
    }


def test_new_york_changes_as_the_standard_prints_it():
    """RFC 5545, 3.6.5: the rule from 2007 begins 20070311T020000."""
    assert onsets_of("America/New_York", 2008) == {
        "DAYLIGHT": ["20070311T020000", "FREQ=YEARLY;BYDAY=2SU;BYMONTH=3"],
        "STANDARD": ["20071104T020000", "FREQ=YEARLY;BYDAY=1SU;BYMONTH=11"],
    }


@pytest.mark.parametrize(
    "key",
    [
        "Europe/London",
        "Europe/Dublin",
        "Europe/Vilnius",
        "America/New_York",
        "Australia/Lord_Howe",
        "Pacific/Auckland",
        "Africa/Casablanca",
        "Asia/Kolkata",
        "UTC",
    ],
)
def test_another_reader_of_zones_agrees_with_the_clock(key):
    """dateutil, given our block alone, tells the time of every hour of two years."""
    zone = ZoneInfo(key)
    entry = make_entry(
        starts=datetime(2026, 1, 1, 12, tzinfo=zone),
        ends=datetime(2027, 12, 1, 12, tzinfo=zone),
    )
    text = make_feed(entry, timezone=key).decode()
    block = text[text.index("BEGIN:VTIMEZONE") : text.index("BEGIN:VEVENT")]
    theirs = tzical(StringIO(block.replace("\r\n", "\n"))).get()
    hour = datetime(2026, 1, 1, tzinfo=UTC)
    wrong = []
    for _ in range(2 * 365 * 8):
        hour += timedelta(hours=3)
        # dateutil writes UTC as a zone of its own; compare clocks, not objects.
        if hour.astimezone(theirs).replace(tzinfo=None) != hour.astimezone(
            zone
        ).replace(tzinfo=None):
            wrong.append(hour)
    assert wrong == []


def test_another_parser_reads_the_feed():
    entry = make_entry(
        summary="Pulling; in pairs, with Seán Ó Súilleabháin",
        location="The Long Field\\Gate 2",
        description="Bring gloves.\n" + "Ó" * 60,
        alarm=timedelta(hours=2),
        categories=["Pulling"],
    )
    (event,) = ics.Calendar(make_feed(entry).decode()).events
    assert event.uid == entry.uid
    assert event.name == entry.summary
    assert event.location == entry.location
    assert event.description == entry.description
    assert event.begin.datetime == entry.starts
    assert event.end.datetime == entry.ends
    assert event.alarms[0].trigger == timedelta(hours=-2)
