"""Letters about an evening, or about several evenings of a run.

A household at one address gets one letter. A call is told once for each decision, not
once for each press: its key names the first call of an unbroken run of the same
decision, so newcomers are told and nobody twice.

A calendar message is about one event (RFC 5546, 3.2.2 and 3.2.5: the parts of a
REQUEST or CANCEL share one UID), so each evening of a run has a message of its own,
attached. They are in ``multipart/mixed``: of several forms in ``multipart/alternative``
a reader would show only the last. The letter stands under each of its evenings
(`Letter.also`), and is overtaken only by one that says all of it anew. Its key is of
the evenings and their sequences, so that the same state is never told twice.
"""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from email.utils import parseaddr
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common import post
from heritage.gatherings.ground.selectors import (
    address,
    calendar_entry,
    evening_of,
    homes_of,
    light_of,
    matter_of,
    reader_of,
    when,
)
from heritage.gatherings.models import Call, Gathering, Run, SignUp, SignUpStatus
from heritage.kits.ical import Method, Person, message
from heritage.people.letters import services as letters
from heritage.people.letters.selectors import address_of
from heritage.season.models import Demonstration

# One household's places and turns, evening by evening.
Places = dict[Gathering, list[SignUp]]


@dataclass(frozen=True, slots=True)
class News:
    """What is to be said: its template, its subject, and under which key.

    ``confirms`` marks what the reader, or somebody in their presence, has just
    asked for: who has no address knows it already.
    """

    template: str
    subject: str
    key: str
    now: datetime
    method: Method | None = None
    context: dict[str, Any] = field(default_factory=dict)
    confirms: bool = False
    overtakes: bool = True
    run: Run | None = None
    # Until then it may be taken back, and is not sent.
    not_before: datetime | None = None


@dataclass(frozen=True, slots=True)
class Before:
    """When and where an evening was to be before it was changed."""

    starts_at: datetime
    ends_at: datetime
    place: str


@dataclass(frozen=True, slots=True)
class _Evening:
    """One evening of a run as its readers are told of it."""

    gathering: Gathering
    when: str
    was: str
    people: list[str]


def signed_up(key: int) -> None:
    """Confirm a place with its calendar entry, or a turn in the queue."""
    entry = _sign_up(key)
    name, now = f"signed-up:{key}", entry.asked_at
    if entry.status == SignUpStatus.HELD:
        words = _("Your place: %s")
        _tell([entry], News("place", words, name, now, "REQUEST", confirms=True))
    else:
        words = _("Waiting list: %s")
        _tell([entry], News("turn", words, name, now, confirms=True))


def moved_up(key: int) -> None:
    """Tell somebody that a place has come free, and by when to answer."""
    entry = _sign_up(key)
    words, name = _("A place has come free: %s"), f"moved-up:{key}"
    by = entry.answer_by and _moment(entry.gathering, entry.answer_by)
    _tell(
        [entry],
        News("moved_up", words, name, entry.changed_at, "REQUEST", {"answer_by": by}),
    )


def lapsed(key: int) -> None:
    """Tell somebody that the place went to the next, since no answer came."""
    entry = _sign_up(key)
    words, name = _("Place passed on: %s"), f"lapsed:{key}"
    _tell([entry], News("lapsed", words, name, entry.changed_at, _let_go(entry)))


def moved(key: int) -> None:
    """Tell somebody which station they are at now."""
    entry = _sign_up(key)
    words, now = _("Your place: %s"), entry.changed_at
    name = f"moved:{key}:{now.isoformat()}"
    _tell([entry], News("place", words, name, now, "REQUEST"))


def gave_up(key: int) -> None:
    """Confirm that a place was given back."""
    entry = _sign_up(key)
    words, name, now = _("Place given back: %s"), f"gave-up:{key}", entry.changed_at
    news = News("gave_up", words, name, now, _let_go(entry), confirms=True)
    _tell([entry], news)


def changed(key: int, before: Before) -> None:
    """Tell everybody signed up of a new time or place, with what it was."""
    gathering = Gathering.objects.for_page().get(pk=key)
    span = when(gathering, before.starts_at, before.ends_at)
    was = {"was_when": span, "was_place": before.place}
    name, now = f"changed:{key}:{gathering.sequence}", gathering.revised_at
    news = News("changed", _("Changed: %s"), name, now, "REQUEST", was)
    _tell_all(gathering, news)


def called_off(key: int, since: int, not_before: datetime | None = None) -> None:
    """Tell everybody signed up that the gathering is called off.

    ``since`` is the call that first said so: who was told then is not told again.
    """
    call = _call(key)
    words, name, facts = _("Called off: %s"), f"called-off:{since}", {"call": call}
    news = News("called_off", words, name, call.made_at, "CANCEL", facts)
    _tell_all(call.gathering, replace(news, not_before=not_before))


def back_on(key: int, since: int, not_before: datetime | None = None) -> None:
    """Tell everybody signed up that the gathering is on again."""
    call = _call(key)
    words, name, facts = _("On again: %s"), f"back-on:{since}", {"call": call}
    news = News("back_on", words, name, call.made_at, "REQUEST", facts)
    _tell_all(call.gathering, replace(news, not_before=not_before))


def going_ahead(key: int, since: int, not_before: datetime | None = None) -> None:
    """Tell everybody with a place that the gathering goes ahead."""
    _tell_placed(key, since, "going_ahead", _("Going ahead: %s"), not_before)


def on_hold(key: int, since: int, not_before: datetime | None = None) -> None:
    """Tell everybody with a place to wait for word before they set out."""
    _tell_placed(key, since, "on_hold", _("Wait and see: %s"), not_before)


def _tell_placed(
    key: int, since: int, template: str, subject: str, not_before: datetime | None
) -> None:
    call = _call(key)
    # A new time is worth telling again: the calendar's number is part of the key.
    name = f"{template}:{since}/{call.gathering.sequence}"
    facts = {"call": call}
    news = News(template, subject, name, call.made_at, "REQUEST", facts)
    held = call.gathering.sign_ups.held().for_page()
    _tell_each(call.gathering, list(held), replace(news, not_before=not_before))


def reminder(
    gathering: Gathering,
    entries: list[SignUp],
    *,
    key: str,
    now: datetime,
    to_hear: Iterable[str],
) -> None:
    """Remind one household of tomorrow, and of what they have yet to hear."""
    zone = gathering.demonstration.zone
    day = evening_of(gathering.starts_at, gathering.demonstration)
    is_today = day == now.astimezone(zone).date()
    words = _("Today: %s") if is_today else _("Tomorrow: %s")
    facts = {"to_hear": list(to_hear), "is_today": is_today}
    _tell(entries, News("reminder", words, key, now, None, facts, overtakes=False))


def _let_go(entry: SignUp) -> Method | None:
    """Let the calendar go too, unless somebody else at that address still comes."""
    where = address_of(entry.volunteer)
    held = entry.gathering.sign_ups.held().for_page()
    shared = any(address_of(other.volunteer) == where for other in held)
    return None if shared else "CANCEL"


def run_called_off(key: int, rows: Sequence[int], note: str, now: datetime) -> None:
    """Tell everybody signed up which of their evenings are called off."""
    run, facts = _run(key), {"note": note}
    words, name = _("Called off: %s"), f"run-off:{key}"
    news = News("run_called_off", words, name, now, "CANCEL", facts, run=run)
    _tell_of_evenings(news, list(run.gatherings.of_keys(rows).for_page()), {})


def run_changed(key: int, before: Mapping[int, Before], now: datetime) -> None:
    """Tell everybody signed up which of their evenings have a new time or place.

    An evening that was called off meanwhile is left to the letter that says so.
    """
    run, words, name = _run(key), _("Changed: %s"), f"run-changed:{key}"
    news = News("run_changed", words, name, now, "REQUEST", run=run)
    rows = run.gatherings.of_keys(before).not_called_off().for_page()
    _tell_of_evenings(news, list(rows), before)


def _tell_of_evenings(
    news: News, rows: list[Gathering], before: Mapping[int, Before]
) -> None:
    known = {row.pk: row for row in rows}
    entries = list(SignUp.objects.live().at_any(rows).for_page())
    for entry in entries:
        entry.gathering = known[entry.gathering_id]
    # Names a state of these evenings: of the same state nobody is told again.
    state = " ".join(sorted(f"{row.pk}/{row.sequence}" for row in rows))
    mark = hashlib.sha256(state.encode()).hexdigest()[:16]
    for home in homes_of(entries):
        key = f"{news.key}:{mark}:{reader_of(home).pk}"
        places: Places = {}
        for entry in sorted(home, key=lambda one: (one.gathering.starts_at, one.pk)):
            places.setdefault(entry.gathering, []).append(entry)
        evenings = [
            _evening(row, mine, before.get(row.pk)) for row, mine in places.items()
        ]
        _write(home, places, replace(news, key=key), {"evenings": evenings})


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


def _tell_all(gathering: Gathering, news: News) -> None:
    _tell_each(gathering, list(gathering.sign_ups.live().for_page()), news)


def _tell_each(gathering: Gathering, entries: list[SignUp], news: News) -> None:
    for entry in entries:
        entry.gathering = gathering
    for home in homes_of(entries):
        _tell(home, replace(news, key=f"{news.key}:{reader_of(home).pk}"))


def _tell(home: list[SignUp], news: News) -> None:
    """Tell one household of one evening."""
    gathering = home[0].gathering
    # What was overtaken by the calling-off, which has gone to the same people.
    late = gathering.is_called_off and news.method == "REQUEST"
    if late or (news.confirms and not address_of(reader_of(home))):
        return
    facts = {
        "gathering": gathering,
        "people": [line_of(gathering, entry) for entry in home],
        "when": when(gathering, gathering.starts_at, gathering.ends_at),
        "light": light_of(gathering).words,
    }
    _write(home, {gathering: home}, news, facts)


def _write(
    home: list[SignUp], places: Places, news: News, facts: dict[str, Any]
) -> None:
    """Write one household's letter into the book, with its calendar messages."""
    person, first, run = reader_of(home), home[0].gathering, news.run
    to, where = address_of(person), first.demonstration
    matters = [matter_of(row) for row in places]
    common = {
        "person": person,
        "run": run,
        "waits": all(entry.status == SignUpStatus.WAITING for entry in home),
        "address": _page_of(where) if run else address(first),
        "demonstration": where,
    }
    letters.write(
        demonstration=where,
        key=news.key,
        volunteer=person,
        address=to,
        subject=news.subject % (run or first).title,
        text=render_to_string(
            f"gatherings/mail/{news.template}.txt", common | facts | news.context
        ),
        parts=_parts(places, news, to) if to else [],
        now=news.now,
        about=matters[0],
        also=matters[1:],
        overtakes=[entry.volunteer for entry in home] if news.overtakes else [],
        not_before=news.not_before,
    )


def _page_of(demonstration: Demonstration) -> str:
    page = reverse("gatherings:list", args=[demonstration.slug])
    return f"{settings.SITE_ADDRESS}{page}"


def line_of(gathering: Gathering, entry: SignUp) -> str:
    """Say of one person in a line where they are, and what is still asked."""
    words = f"{entry.volunteer.name}: {entry.station.title}"
    if entry.status == SignUpStatus.WAITING:
        return _("%s (waiting list)") % words
    if entry.status == SignUpStatus.GIVEN_UP:
        return _("%s (given back)") % words
    if entry.answer_by:
        by = _moment(gathering, entry.answer_by)
        return _("%(line)s (please answer by %(by)s)") % {"line": words, "by": by}
    return words


def _moment(gathering: Gathering, moment: datetime) -> str:
    local = moment.astimezone(gathering.demonstration.zone)
    return f"{local:%H:%M}, {date_format(local, 'l j F')}"


def _parts(places: Places, news: News, to: str) -> list[post.Attachment]:
    """Return the calendar's own message of each evening, where there is one to send."""
    parts, method = [], news.method
    for gathering, mine in places.items():
        # Who only waits has nothing in the calendar that could be changed.
        waits = all(entry.status == SignUpStatus.WAITING for entry in mine)
        if method is None or (waits and method != "CANCEL"):
            continue
        where = gathering.demonstration
        content = message(
            method=method,
            entry=calendar_entry(gathering),
            organiser=Person(where.name, parseaddr(settings.DEFAULT_FROM_EMAIL)[1]),
            attendee=Person(reader_of(mine).name, to),
            timezone=where.time_zone,
        )
        day = gathering.starts_at.astimezone(where.zone).date().isoformat()
        name = f"gathering-{day}.ics" if news.run else "gathering.ics"
        kind = f"{post.CALENDAR}; method={method}"
        parts.append(post.Attachment(name, content, kind))
    return parts


def _run(key: int) -> Run:
    return Run.objects.select_related("demonstration").get(pk=key)


def _call(key: int) -> Call:
    return Call.objects.select_related("gathering__demonstration").get(pk=key)


def _sign_up(key: int) -> SignUp:
    rows = SignUp.objects.select_related(
        "gathering__demonstration", "station", "volunteer__user"
    )
    return rows.select_related("volunteer__guardian__user").get(pk=key)
