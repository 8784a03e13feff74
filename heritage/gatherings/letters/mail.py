"""Letters about one gathering.

A call is told once for each decision, not once for each press: its key names the first
call of an unbroken run of the same decision, so newcomers are told and nobody twice.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from email.utils import parseaddr
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
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
from heritage.gatherings.models import Call, Gathering, SignUp, SignUpStatus
from heritage.kits.ical import Method, Person, message
from heritage.people.letters import services as letters
from heritage.people.letters.selectors import address_of
from heritage.people.models import Volunteer


@dataclass(frozen=True, slots=True)
class Letter:
    """What is to be said: its template, its subject, and under which key.

    ``confirms`` marks what the reader, or somebody in their presence, has just
    asked for: whoever has no address knows it already.
    """

    template: str
    subject: str
    key: str
    now: datetime
    method: Method | None = None
    context: dict[str, Any] = field(default_factory=dict)
    confirms: bool = False
    overtakes: bool = True


def signed_up(key: int) -> None:
    """Confirm a place with its calendar entry, or a turn in the queue."""
    entry = _sign_up(key)
    name, now = f"signed-up:{key}", entry.asked_at
    if entry.status == SignUpStatus.HELD:
        words = _("Your place: %s")
        _tell([entry], Letter("place", words, name, now, "REQUEST", confirms=True))
    else:
        words = _("Waiting list: %s")
        _tell([entry], Letter("turn", words, name, now, confirms=True))


def moved_up(key: int) -> None:
    """Tell somebody that a place has come free, and by when to answer."""
    entry = _sign_up(key)
    words, name = _("A place has come free: %s"), f"moved-up:{key}"
    by = entry.answer_by and _moment(entry.gathering, entry.answer_by)
    _tell(
        [entry],
        Letter("moved_up", words, name, entry.changed_at, "REQUEST", {"answer_by": by}),
    )


def lapsed(key: int) -> None:
    """Tell somebody that the place went to the next, since no answer came."""
    entry = _sign_up(key)
    words, name = _("Place passed on: %s"), f"lapsed:{key}"
    _tell([entry], Letter("lapsed", words, name, entry.changed_at, _let_go(entry)))


def moved(key: int) -> None:
    """Tell somebody which station they are at now."""
    entry = _sign_up(key)
    words, now = _("Your place: %s"), entry.changed_at
    name = f"moved:{key}:{now.isoformat()}"
    _tell([entry], Letter("place", words, name, now, "REQUEST"))


def gave_up(key: int) -> None:
    """Confirm that a place was given back."""
    entry = _sign_up(key)
    words, name, now = _("Place given back: %s"), f"gave-up:{key}", entry.changed_at
    letter = Letter("gave_up", words, name, now, _let_go(entry), confirms=True)
    _tell([entry], letter)


def changed(key: int, starts: datetime, ends: datetime, place: str) -> None:
    """Tell everybody signed up of a new time or place, with what it was."""
    gathering = Gathering.objects.for_page().get(pk=key)
    before = {"was_when": when(gathering, starts, ends), "was_place": place}
    name, now = f"changed:{key}:{gathering.sequence}", gathering.revised_at
    letter = Letter("changed", _("Changed: %s"), name, now, "REQUEST", before)
    _tell_all(gathering, letter)


def called_off(key: int, since: int) -> None:
    """Tell everybody signed up that the gathering is called off.

    ``since`` is the call that first said so: whoever was told then is not told again.
    """
    call = _call(key)
    words, name, said = _("Called off: %s"), f"called-off:{since}", {"call": call}
    letter = Letter("called_off", words, name, call.made_at, "CANCEL", said)
    _tell_all(call.gathering, letter)


def back_on(key: int, since: int) -> None:
    """Tell everybody signed up that the gathering is on again."""
    call = _call(key)
    words, name, said = _("On again: %s"), f"back-on:{since}", {"call": call}
    letter = Letter("back_on", words, name, call.made_at, "REQUEST", said)
    _tell_all(call.gathering, letter)


def going_ahead(key: int, since: int) -> None:
    """Tell everybody with a place that the gathering goes ahead."""
    _tell_placed(_call(key), since, "going_ahead", _("Going ahead: %s"))


def on_hold(key: int, since: int) -> None:
    """Tell everybody with a place to wait for word before they set out."""
    _tell_placed(_call(key), since, "on_hold", _("On hold: %s"))


def _tell_placed(call: Call, since: int, template: str, subject: str) -> None:
    # A new time is worth telling again: the calendar's number is part of the key.
    name = f"{template}:{since}/{call.gathering.sequence}"
    said = {"call": call}
    letter = Letter(template, subject, name, call.made_at, "REQUEST", said)
    held = call.gathering.sign_ups.held().for_page()
    _tell_each(call.gathering, list(held), letter)


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
    said = {"to_hear": list(to_hear), "is_today": is_today}
    _tell(entries, Letter("reminder", words, key, now, None, said, overtakes=False))


def _let_go(entry: SignUp) -> Method | None:
    """Let the calendar go too, unless somebody else at that address still comes."""
    where = address_of(entry.volunteer)
    held = entry.gathering.sign_ups.held().for_page()
    shared = any(address_of(other.volunteer) == where for other in held)
    return None if shared else "CANCEL"


def _tell_all(gathering: Gathering, letter: Letter) -> None:
    _tell_each(gathering, list(gathering.sign_ups.live().for_page()), letter)


def _tell_each(gathering: Gathering, entries: list[SignUp], letter: Letter) -> None:
    for entry in entries:
        entry.gathering = gathering
    for home in homes_of(entries):
        held = any(entry.status == SignUpStatus.HELD for entry in home)
        key = f"{letter.key}:{reader_of(home).pk}"
        # Who only waits has nothing in the calendar that could be changed.
        method = letter.method if held or letter.method == "CANCEL" else None
        _tell(home, replace(letter, key=key, method=method))


def _tell(entries: list[SignUp], letter: Letter) -> None:
    gathering, person = entries[0].gathering, reader_of(entries)
    to = address_of(person)
    # What was overtaken by the calling-off, which has gone to the same people.
    late = gathering.is_called_off and letter.method == "REQUEST"
    if late or (letter.confirms and not to):
        return
    folder = "gatherings/mail"
    facts = _facts(gathering, entries, person) | letter.context
    parts = [calendar_part(gathering, person, to, letter.method)] if to else []
    letters.write(
        demonstration=gathering.demonstration,
        key=letter.key,
        volunteer=person,
        address=to,
        subject=letter.subject % gathering.title,
        text=render_to_string(f"{folder}/{letter.template}.txt", facts),
        parts=[part for part in parts if part],
        now=letter.now,
        about=matter_of(gathering),
        overtakes=[entry.volunteer for entry in entries] if letter.overtakes else [],
    )


def _facts(
    gathering: Gathering, entries: list[SignUp], person: Volunteer
) -> dict[str, Any]:
    return {
        "gathering": gathering,
        "people": [line_of(gathering, entry) for entry in entries],
        "person": person,
        "waits": all(entry.status == SignUpStatus.WAITING for entry in entries),
        "when": when(gathering, gathering.starts_at, gathering.ends_at),
        "light": light_of(gathering).words,
        "address": address(gathering),
        "demonstration": gathering.demonstration,
    }


def line_of(gathering: Gathering, entry: SignUp) -> str:
    """Say of one person in a line where they are, and what is still asked."""
    line = f"{entry.volunteer.name}: {entry.station.title}"
    if entry.status == SignUpStatus.WAITING:
        return _("%s (waiting list)") % line
    if entry.status == SignUpStatus.GIVEN_UP:
        return _("%s (given back)") % line
    if entry.answer_by:
        by = _moment(gathering, entry.answer_by)
        return _("%(line)s (please answer by %(by)s)") % {"line": line, "by": by}
    return line


def _moment(gathering: Gathering, moment: datetime) -> str:
    local = moment.astimezone(gathering.demonstration.zone)
    return f"{local:%H:%M}, {date_format(local, 'l j F')}"


def calendar_part(
    gathering: Gathering,
    person: Volunteer,
    to: str,
    method: Method | None,
    name: str = "gathering.ics",
) -> post.Attachment | None:
    """Return the calendar's own message to one person, if there is one to send."""
    if method is None:
        return None
    demonstration = gathering.demonstration
    content = message(
        method=method,
        entry=calendar_entry(gathering),
        organiser=Person(demonstration.name, parseaddr(settings.DEFAULT_FROM_EMAIL)[1]),
        attendee=Person(person.name, to),
        timezone=demonstration.time_zone,
    )
    kind = f"{post.CALENDAR}; method={method}"
    return post.Attachment(name, content, kind)


def _call(key: int) -> Call:
    return Call.objects.select_related("gathering__demonstration").get(pk=key)


def _sign_up(key: int) -> SignUp:
    rows = SignUp.objects.select_related(
        "gathering__demonstration", "station", "volunteer__user"
    )
    return rows.select_related("volunteer__guardian__user").get(pk=key)
