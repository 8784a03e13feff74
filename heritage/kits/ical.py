"""Calendars after RFC 5545, and calendar mail after RFC 5546.

Times are written in the place's zone with a VTIMEZONE beside them: a gathering at
seven stays at seven even if the law moves the clocks. Only an hour that happens
twice, when clocks go back, is written in UTC.

The bytes depend on the arguments alone: an entry's ``stamp`` is when it was last
revised, never the moment of asking.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final, Literal
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, vCalAddress, vText

from heritage.kits.zones import vtimezone

PRODID: Final = "-//Heritage demonstration organiser//Diary//EN"
# A feed without entries still has to hold a component: the zone, for any year.
EMPTY_FEED_YEAR: Final = 2026
# TEXT holds no control characters but tab and line feed (RFC 5545, 3.3.11).
UNWRITABLE: Final = dict.fromkeys([*range(9), *range(11, 32), 127])
ADDRESS: Final = re.compile(r"[^\s<>\"',;:\\]+@[^\s<>\"',;:\\]+")

Method = Literal["PUBLISH", "REQUEST", "CANCEL"]


@dataclass(frozen=True)
class Entry:
    """One gathering as a calendar holds it.

    ``uid`` is the same for life and tells nothing. ``stamp`` is when the entry was
    last revised. ``sequence`` rises when time, place or standing changes. A
    cancelled entry stays, under a higher sequence. ``alarm`` rings that long before.
    """

    uid: str
    stamp: datetime
    starts: datetime
    ends: datetime
    summary: str
    location: str = ""
    description: str = ""
    url: str = ""
    sequence: int = 0
    cancelled: bool = False
    tentative: bool = False
    alarm: timedelta | None = None
    categories: Sequence[str] = ()

    def __post_init__(self) -> None:
        if not self.uid.strip():
            raise ValueError("An entry needs a uid.")
        if any(m.utcoffset() is None for m in (self.stamp, self.starts, self.ends)):
            raise ValueError("An entry's times must know their zone.")
        if self.ends <= self.starts:
            raise ValueError("An entry must end after it starts.")
        if self.cancelled and self.sequence < 1:
            raise ValueError("A cancelled entry needs a higher sequence.")
        if any(ord(letter) <= 32 for letter in self.url):
            raise ValueError("An address holds no spaces or line breaks.")


@dataclass(frozen=True)
class Person:
    """Somebody in calendar mail."""

    name: str
    email: str

    def __post_init__(self) -> None:
        if not ADDRESS.fullmatch(self.email):
            raise ValueError(f"Not an e-mail address: {self.email!r}.")


def _text(words: str) -> str:
    return words.replace("\r\n", "\n").replace("\r", "\n").translate(UNWRITABLE)


def _moment(moment: datetime, zone: ZoneInfo) -> datetime:
    """Give a moment in the zone, or in UTC if its local hour happens twice."""
    local = moment.astimezone(zone)
    other = local.replace(fold=1 - local.fold)
    twice = local.utcoffset() != other.utcoffset()
    return moment.astimezone(UTC) if twice else local


def _alarm(entry: Entry, before: timedelta) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", -before)
    alarm.add("description", _text(entry.summary))
    return alarm


def _status(entry: Entry) -> str:
    if entry.cancelled:
        return "CANCELLED"
    return "TENTATIVE" if entry.tentative else "CONFIRMED"


def _event(entry: Entry, zone: ZoneInfo, *, alarm: bool = True) -> Event:
    event = Event()
    event.add("uid", _text(entry.uid))
    event.add("dtstamp", entry.stamp.astimezone(UTC))
    event.add("dtstart", _moment(entry.starts, zone))
    event.add("dtend", _moment(entry.ends, zone))
    event.add("summary", _text(entry.summary))
    event.add("sequence", entry.sequence)
    event.add("status", _status(entry))
    for name in ("location", "description"):
        if words := _text(getattr(entry, name)):
            event.add(name, words)
    if entry.url:
        event.add("url", entry.url)
    if entry.categories:
        event.add("categories", [_text(category) for category in entry.categories])
    if alarm and entry.alarm is not None and not entry.cancelled:
        event.add_component(_alarm(entry, entry.alarm))
    return event


def _calendar(entries: Sequence[Entry], timezone: str) -> Calendar:
    """Open a calendar that holds the zone for its entries' years."""
    vcalendar = Calendar()
    vcalendar.add("version", "2.0")
    vcalendar.add("prodid", PRODID)
    vcalendar.add("calscale", "GREGORIAN")
    zone = ZoneInfo(timezone)
    years = [e.starts.astimezone(zone).year for e in entries]
    years += [e.ends.astimezone(zone).year for e in entries]
    years = years or [EMPTY_FEED_YEAR]
    vcalendar.add_component(vtimezone(timezone, min(years), max(years)))
    return vcalendar


def calendar(
    *,
    name: str,
    entries: Sequence[Entry],
    timezone: str,
    refresh_hours: int = 12,
) -> bytes:
    """Write a feed. It names no people and has no METHOD: it is not a message."""
    vcalendar = _calendar(entries, timezone)
    refresh = timedelta(hours=refresh_hours)
    # On one line: these have no way to hold a line break.
    vcalendar.add("name", " ".join(_text(name).split()))
    vcalendar.add("x-wr-calname", " ".join(_text(name).split()))
    # The library leaves the value's type out unless told.
    vcalendar.add("refresh-interval", refresh, parameters={"VALUE": "DURATION"})
    vcalendar.add("x-published-ttl", vText(f"PT{refresh_hours}H"))
    for entry in sorted(entries, key=lambda e: (e.starts, e.uid)):
        vcalendar.add_component(_event(entry, ZoneInfo(timezone)))
    return bytes(vcalendar.to_ical())


def _address(person: Person) -> vCalAddress:
    address = vCalAddress(f"mailto:{person.email}")
    # A parameter has no way to hold a double quote.
    address.params["CN"] = vText(
        _text(person.name).replace('"', "'").replace("\n", " ")
    )
    return address


def _guest(person: Person) -> vCalAddress:
    """Write down somebody who has said yes already: nothing is asked of them."""
    address = _address(person)
    address.params["ROLE"] = vText("REQ-PARTICIPANT")
    address.params["PARTSTAT"] = vText("ACCEPTED")
    address.params["RSVP"] = vText("FALSE")
    return address


def _check_message(method: Method, entry: Entry, attendee: Person | None) -> None:
    if method == "PUBLISH" and attendee is not None:
        raise ValueError("A published entry names nobody but its organiser.")
    if method != "PUBLISH" and attendee is None:
        raise ValueError(f"{method} needs the person it is for.")
    if method == "REQUEST" and entry.cancelled:
        raise ValueError("A cancelled entry is sent with CANCEL.")


def message(
    *,
    method: Method,
    entry: Entry,
    organiser: Person,
    attendee: Person | None = None,
    timezone: str,
) -> bytes:
    """Write one entry to one person; the mail part's method must be the same.

    ``CANCEL`` of an entry that still stands tells this person alone that they are
    no longer expected, and so carries no status (RFC 5546, 3.2.5).
    """
    _check_message(method, entry, attendee)
    vcalendar = _calendar([entry], timezone)
    vcalendar.add("method", method)
    event = _event(entry, ZoneInfo(timezone), alarm=method != "CANCEL")
    if method == "CANCEL" and not entry.cancelled:
        del event["status"]
    event.add("organizer", _address(organiser))
    if attendee is not None:
        event.add("attendee", _guest(attendee))
    vcalendar.add_component(event)
    return bytes(vcalendar.to_ical())
