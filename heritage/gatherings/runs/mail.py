"""Letters about several evenings of a run: one to each household, with all of theirs.

A calendar message is about one event (RFC 5546, 3.2.2 and 3.2.5: the parts of a
REQUEST or CANCEL share one UID), so each evening has a message of its own, attached.

They are in ``multipart/mixed``: of several forms in ``multipart/alternative`` a reader
would show only the last. The letter stands under each of its evenings (`Letter.also`),
and is overtaken only by one that says all of it anew. Its key is of the evenings and
their sequences, so that the same state is never told twice.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _

from heritage.common import post
from heritage.gatherings.ground.selectors import homes_of, matter_of, reader_of, when
from heritage.gatherings.letters.mail import calendar_part, line_of
from heritage.gatherings.models import Gathering, Run, SignUp, SignUpStatus
from heritage.kits.ical import Method
from heritage.people.letters import services as letters
from heritage.people.letters.selectors import address_of


@dataclass(frozen=True, slots=True)
class Before:
    """When and where an evening was to be before it was changed."""

    starts_at: datetime
    ends_at: datetime
    place: str


@dataclass(frozen=True, slots=True)
class _News:
    """What is said to everybody, and how."""

    run: Run
    kind: str
    template: str
    subject: str
    method: Method
    now: datetime
    note: str = ""


@dataclass(frozen=True, slots=True)
class _Evening:
    """One evening as its readers are told of it."""

    gathering: Gathering
    when: str
    was: str
    people: list[str]


def run_called_off(key: int, rows: Sequence[int], note: str, now: datetime) -> None:
    """Tell everybody signed up which of their evenings are called off."""
    run, words = _run(key), _("Called off: %s")
    news = _News(run, "run-off", "run_called_off", words, "CANCEL", now, note)
    _tell_all(news, list(run.gatherings.of_keys(rows).for_page()), {})


def run_changed(key: int, before: Mapping[int, Before], now: datetime) -> None:
    """Tell everybody signed up which of their evenings have a new time or place.

    An evening that was called off meanwhile is left to the letter that says so.
    """
    run, words = _run(key), _("Changed: %s")
    news = _News(run, "run-changed", "run_changed", words, "REQUEST", now)
    rows = run.gatherings.of_keys(before).not_called_off().for_page()
    _tell_all(news, list(rows), before)


def _run(key: int) -> Run:
    return Run.objects.select_related("demonstration").get(pk=key)


def _tell_all(news: _News, rows: list[Gathering], before: Mapping[int, Before]) -> None:
    known = {row.pk: row for row in rows}
    entries = list(SignUp.objects.live().at_any(rows).for_page())
    for entry in entries:
        entry.gathering = known[entry.gathering_id]
    mark = _mark(rows)
    for home in homes_of(entries):
        _tell(news, home, before, mark)


def _mark(rows: Sequence[Gathering]) -> str:
    """Name a state of these evenings: told of the same twice, nobody is told again."""
    words = " ".join(sorted(f"{row.pk}/{row.sequence}" for row in rows))
    return hashlib.sha256(words.encode()).hexdigest()[:16]


def _tell(
    news: _News, home: list[SignUp], before: Mapping[int, Before], mark: str
) -> None:
    person, where = reader_of(home), news.run.demonstration
    to = address_of(person)
    by_evening: dict[Gathering, list[SignUp]] = {}
    for entry in sorted(home, key=lambda one: (one.gathering.starts_at, one.pk)):
        by_evening.setdefault(entry.gathering, []).append(entry)
    parts = [_part(news, row, mine, to) for row, mine in by_evening.items() if to]
    matters = [matter_of(row) for row in by_evening]
    facts = {
        "person": person,
        "run": news.run,
        "note": news.note,
        "waits": all(entry.status == SignUpStatus.WAITING for entry in home),
        "evenings": [
            _evening(row, mine, before.get(row.pk)) for row, mine in by_evening.items()
        ],
        "demonstration": where,
        "address": settings.SITE_ADDRESS
        + reverse("gatherings:list", args=[where.slug]),
    }
    letters.write(
        demonstration=where,
        key=f"{news.kind}:{news.run.pk}:{mark}:{person.pk}",
        volunteer=person,
        address=to,
        subject=news.subject % news.run.title,
        text=render_to_string(f"gatherings/mail/{news.template}.txt", facts),
        parts=[part for part in parts if part],
        now=news.now,
        about=matters[0],
        also=matters[1:],
        overtakes=[entry.volunteer for entry in home],
    )


def _evening(
    gathering: Gathering, mine: list[SignUp], before: Before | None
) -> _Evening:
    was = ""
    if before:
        span = when(gathering, before.starts_at, before.ends_at)
        was = _("%(when)s, at %(place)s") % {"when": span, "place": before.place}
    return _Evening(
        gathering=gathering,
        when=when(gathering, gathering.starts_at, gathering.ends_at),
        was=was,
        people=[line_of(gathering, entry) for entry in mine],
    )


def _part(
    news: _News, gathering: Gathering, mine: list[SignUp], to: str
) -> post.Attachment | None:
    # Who only waits has nothing in the calendar that could be changed.
    held = any(entry.status == SignUpStatus.HELD for entry in mine)
    method = news.method if held or news.method == "CANCEL" else None
    day = gathering.starts_at.astimezone(gathering.demonstration.zone).date()
    name = f"gathering-{day.isoformat()}.ics"
    return calendar_part(gathering, reader_of(mine), to, method, name)
