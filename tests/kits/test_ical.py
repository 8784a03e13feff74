"""Feeds and messages: what RFC 5545 and RFC 5546 ask of them."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritage.kits.ical import Person
from heritage.kits.zones import onsets
from tests.kits.entries import LONDON, VOLUNTEER, make_entry, make_feed, make_message
from tests.kits.strict_ical import physical_lines, read


def the_event(data: bytes):
    (event,) = read(data).named("VEVENT")
    return event


def test_a_feed_says_what_it_must():
    feed = read(make_feed(make_entry()))
    assert feed["VERSION"].value == "2.0"
    assert feed["PRODID"].value
    assert feed["NAME"].text == feed["X-WR-CALNAME"].text == "Carrowlint flax"
    assert feed["REFRESH-INTERVAL"].params == {"VALUE": "DURATION"}
    assert feed["REFRESH-INTERVAL"].value == feed["X-PUBLISHED-TTL"].value == "PT12H"
    assert not feed.all("METHOD")


def test_an_empty_feed_still_holds_a_component():
    assert [part.name for part in read(make_feed()).parts] == ["VTIMEZONE"]


def test_the_same_entries_give_the_same_bytes_in_any_order():
    first = make_entry()
    second = make_entry(uid="z", starts=first.starts + timedelta(hours=1))
    assert make_feed(first, second) == make_feed(second, first)


def test_an_entry_keeps_its_fields():
    event = the_event(
        make_feed(
            make_entry(
                location="The Long Field",
                description="Bring gloves.\nAnd water.",
                url="https://carrowlint.example/g/17?a=1;b=2,3",
                categories=["Pulling", "Evenings, dry"],
                sequence=3,
            )
        )
    )
    assert event["UID"].value == "b3c1f0@carrowlint.example"
    assert event["DTSTAMP"].value == "20260701T090000Z"
    assert event["DTSTART"].params == {"TZID": "Europe/London"}
    assert event["DTSTART"].value == "20260720T183000"
    assert event["DTEND"].value == "20260720T210000"
    assert event["LOCATION"].text == "The Long Field"
    assert event["DESCRIPTION"].text == "Bring gloves.\nAnd water."
    assert event["URL"].value == "https://carrowlint.example/g/17?a=1;b=2,3"
    assert event["CATEGORIES"].value == r"Pulling,Evenings\, dry"
    assert event["SEQUENCE"].value == "3"
    assert event["STATUS"].value == "CONFIRMED"


def test_the_zone_of_every_time_is_described():
    feed = read(make_feed(make_entry()))
    described = {zone["TZID"].value for zone in feed.named("VTIMEZONE")}
    used = {
        p.params["TZID"]
        for p in the_event(make_feed(make_entry())).properties
        if "TZID" in p.params
    }
    assert used == described == {"Europe/London"}


def test_a_cancelled_entry_stays_in_the_feed():
    entry = make_entry(cancelled=True, sequence=2, alarm=timedelta(hours=1))
    event = the_event(make_feed(entry))
    assert event["STATUS"].value == "CANCELLED"
    assert event["SEQUENCE"].value == "2"
    assert event.parts == []


def test_an_evening_on_hold_is_tentative():
    event = the_event(make_feed(make_entry(tentative=True)))
    assert event["STATUS"].value == "TENTATIVE"


def test_an_alarm_rings_before_the_start():
    (alarm,) = the_event(make_feed(make_entry(alarm=timedelta(hours=2)))).parts
    assert alarm["ACTION"].value == "DISPLAY"
    assert alarm["TRIGGER"].value == "-PT2H"
    assert alarm["DESCRIPTION"].text == "Pulling"


def test_an_hour_that_happens_twice_is_written_in_utc():
    """London, 25 October 2026: 01:30 comes in summer time and again in winter time."""
    first = datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    event = the_event(
        make_feed(make_entry(starts=first, ends=first + timedelta(hours=3)))
    )
    assert event["DTSTART"].value == "20261025T003000Z"
    assert event["DTEND"].value == "20261025T033000"


GONE = make_entry(cancelled=True, sequence=1)
HOSTILE = "a\r\nEND:VEVENT\nX-EVIL:1; b, c \\ \x00\x0b<b>"


@pytest.mark.parametrize("field", ["summary", "location", "description", "uid"])
def test_words_never_become_properties(field):
    event = the_event(make_feed(make_entry(**{field: HOSTILE})))
    assert event[field.upper()].text == "a\nEND:VEVENT\nX-EVIL:1; b, c \\ <b>"
    assert not event.all("X-EVIL")


def test_a_name_never_becomes_a_parameter():
    name = 'Seán "Jack";ROLE=CHAIR:x,y\r\nX-EVIL:1'
    hostile = Person(name, "sean@carrowlint.example")
    event = the_event(make_message(attendee=hostile))
    assert event["ATTENDEE"].params["CN"] == "Seán 'Jack';ROLE=CHAIR:x,y X-EVIL:1"
    assert event["ATTENDEE"].params["ROLE"] == "REQ-PARTICIPANT"


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_any_words_come_back_as_they_were(words):
    event = the_event(make_feed(make_entry(summary="x" + words + "x")))
    kept = words.replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join(c for c in kept if c in "\t\n" or (ord(c) > 31 and ord(c) != 127))
    assert event["SUMMARY"].text == f"x{kept}x"


@pytest.mark.parametrize("count", range(55, 80))
def test_lines_fold_at_75_octets_and_never_inside_a_letter(count):
    for letter in ("a", "Ó", "ḃ", "\N{EAR OF RICE}"):
        data = make_feed(make_entry(description=letter * count))
        assert max(len(line) for line in physical_lines(data)) <= 75
        assert the_event(data)["DESCRIPTION"].text == letter * count


@pytest.mark.parametrize(
    ("wrong", "message_"),
    [
        ({"uid": " "}, "needs a uid"),
        ({"starts": datetime(2026, 7, 20, 18)}, "must know their zone"),  # noqa: DTZ001
        ({"ends": datetime(2026, 7, 20, 18, tzinfo=LONDON)}, "end after it starts"),
        ({"cancelled": True}, "higher sequence"),
        ({"url": "https://a\r\nX:1"}, "no spaces or line breaks"),
    ],
)
def test_an_entry_that_cannot_be_is_refused(wrong, message_):
    with pytest.raises(ValueError, match=message_):
        make_entry(**wrong)


@pytest.mark.parametrize("email", ["", "nobody", "a@b\r\nX:1", "a@b,c@d", "<a@b>"])
def test_an_address_that_cannot_be_is_refused(email):
    with pytest.raises(ValueError, match="Not an e-mail address"):
        Person("Seán", email)


def test_a_request_is_for_one_person():
    data = make_message()
    event = the_event(data)
    assert read(data)["METHOD"].value == "REQUEST"
    assert event["ORGANIZER"].value == "mailto:flax@carrowlint.example"
    assert event["ATTENDEE"].value == "mailto:sean@carrowlint.example"
    assert event["ATTENDEE"].params == {
        "CN": "Seán Ó Súilleabháin",
        "PARTSTAT": "ACCEPTED",
        "ROLE": "REQ-PARTICIPANT",
        "RSVP": "FALSE",
    }


def test_a_cancellation_says_so_and_rings_nothing():
    entry = make_entry(cancelled=True, sequence=1, alarm=timedelta(hours=1))
    data = make_message("CANCEL", entry)
    event = the_event(data)
    assert read(data)["METHOD"].value == "CANCEL"
    assert event["STATUS"].value == "CANCELLED"
    assert event["SEQUENCE"].value == "1"
    assert event.parts == []


def test_taking_one_person_off_leaves_the_entry_standing():
    event = the_event(make_message("CANCEL", make_entry(alarm=timedelta(hours=1))))
    assert not event.all("STATUS")
    assert event.parts == []


def test_publishing_names_the_organiser_alone():
    event = the_event(make_message("PUBLISH", attendee=None))
    assert event["ORGANIZER"]
    assert not event.all("ATTENDEE")


@pytest.mark.parametrize(
    ("method", "entry", "attendee", "message_"),
    [
        ("PUBLISH", make_entry(), VOLUNTEER, "names nobody"),
        ("REQUEST", make_entry(), None, "REQUEST needs the person"),
        ("CANCEL", make_entry(), None, "CANCEL needs the person"),
        ("REQUEST", GONE, VOLUNTEER, "sent with CANCEL"),
    ],
)
def test_a_message_that_breaks_the_rules_is_refused(method, entry, attendee, message_):
    with pytest.raises(ValueError, match=message_):
        make_message(method, entry, attendee=attendee)


def test_a_zone_without_changes_has_none():
    assert onsets("UTC", 2000, 2030) == ()
    (zone,) = read(make_feed(timezone="UTC")).named("VTIMEZONE")
    assert [part.name for part in zone.parts] == ["STANDARD"]


def test_changes_without_a_yearly_rule_are_written_singly():
    """Morocco's clock follows the moon, so no rule can tell it."""
    ruled, single = (
        read(make_feed(timezone=key)).named("VTIMEZONE")[0].parts
        for key in ("Europe/London", "Africa/Casablanca")
    )
    assert [len(part.all("RRULE")) for part in ruled] == [1, 1]
    assert not any(part.all("RRULE") for part in single)
    assert len(single) > 10


def test_a_day_that_is_now_the_fourth_now_the_last_has_no_rule():
    """Egypt, autumn: the night after the last Thursday of October."""
    parts = read(make_feed(timezone="Africa/Cairo")).named("VTIMEZONE")[0].parts
    assert not any(part.all("RRULE") for part in parts)
