"""Letters about gatherings: plain text, with a calendar part where one helps.

Each is called when the change is safe in the database. A household at one address
gets one letter.
"""

from collections.abc import Iterable
from datetime import datetime
from email.utils import parseaddr
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from heritage.common import post
from heritage.gatherings.models import Call, Gathering, SignUp, SignUpStatus
from heritage.gatherings.selectors import (
    address,
    address_of,
    calendar_entry,
    light_of,
    when,
)
from heritage.kits.ical import Method, Person, message
from heritage.people.models import Volunteer


def signed_up(key: int) -> None:
    """Confirm a place with its calendar entry, or a turn in the queue."""
    entry = _sign_up(key)
    if entry.status == SignUpStatus.HELD:
        _tell([entry], "place", _("Your place: %s"), method="REQUEST")
    else:
        _tell([entry], "turn", _("Waiting list: %s"))


def moved_up(key: int) -> None:
    """Tell somebody that a place has come free for them."""
    _tell([_sign_up(key)], "moved_up", _("A place has come free: %s"), "REQUEST")


def lapsed(key: int) -> None:
    """Tell somebody that the place went to the next, since no answer came."""
    _let_go(key, "lapsed", _("Place passed on: %s"))


def moved(key: int) -> None:
    """Tell somebody which station they are at now."""
    _tell([_sign_up(key)], "place", _("Your place: %s"), method="REQUEST")


def gave_up(key: int) -> None:
    """Confirm that a place was given back."""
    _let_go(key, "gave_up", _("Place given back: %s"))


def _let_go(key: int, template: str, subject: str) -> None:
    """Tell somebody that a place is theirs no more; so does their calendar."""
    entry = _sign_up(key)
    where = address_of(entry.volunteer)
    held = entry.gathering.sign_ups.held().for_page()
    # The entry stays in a shared calendar while somebody else there still comes.
    shared = any(address_of(other.volunteer) == where for other in held)
    method: Method | None = None if shared else "CANCEL"
    _tell([entry], template, subject, method)


def changed(key: int, starts: datetime, ends: datetime, place: str) -> None:
    """Tell everybody signed up of a new time or place, with what it was."""
    gathering = Gathering.objects.for_page().get(pk=key)
    before = {"was_when": when(gathering, starts, ends), "was_place": place}
    _tell_all(gathering, "changed", _("Changed: %s"), "REQUEST", before)


def called_off(key: int) -> None:
    """Tell everybody signed up that the gathering is called off."""
    _tell_of_call(key, "called_off", _("Called off: %s"), "CANCEL")


def back_on(key: int) -> None:
    """Tell everybody signed up that the gathering is on again."""
    _tell_of_call(key, "back_on", _("On again: %s"), "REQUEST")


def _tell_of_call(key: int, template: str, subject: str, method: Method) -> None:
    call = Call.objects.select_related("gathering__demonstration").get(pk=key)
    _tell_all(call.gathering, template, subject, method, {"call": call})


def _tell_all(
    gathering: Gathering,
    template: str,
    subject: str,
    method: Method,
    context: dict[str, Any],
) -> None:
    homes: dict[str, list[SignUp]] = {}
    for entry in gathering.sign_ups.live().for_page():
        entry.gathering = gathering
        homes.setdefault(address_of(entry.volunteer), []).append(entry)
    for entries in homes.values():
        held = any(entry.status == SignUpStatus.HELD for entry in entries)
        # Who only waits has nothing in the calendar that could be changed.
        part = method if held or method == "CANCEL" else None
        _tell(entries, template, subject, part, context)


def _tell(
    entries: list[SignUp],
    template: str,
    subject: str,
    method: Method | None = None,
    context: dict[str, Any] | None = None,
) -> None:
    gathering, person = entries[0].gathering, _reader(entries)
    to = address_of(person)
    # A letter that waited in the queue is overtaken by the calling-off, which has
    # gone to the same people.
    if not to or (gathering.is_called_off and method == "REQUEST"):
        return
    facts = {
        "gathering": gathering,
        "entries": entries,
        "person": person,
        "when": when(gathering, gathering.starts_at, gathering.ends_at),
        "light": light_of(gathering).words,
        "address": address(gathering),
        "demonstration": gathering.demonstration,
    }
    body = render_to_string(f"gatherings/mail/{template}.txt", facts | (context or {}))
    parts = [_calendar_part(gathering, person, to, method)] if method else []
    post.send(subject=subject % gathering.title, body=body, to=[to], attachments=parts)


def _calendar_part(
    gathering: Gathering, person: Volunteer, to: str, method: Method
) -> post.Attachment:
    demonstration = gathering.demonstration
    content = message(
        method=method,
        entry=calendar_entry(gathering),
        organiser=Person(demonstration.name, parseaddr(settings.DEFAULT_FROM_EMAIL)[1]),
        attendee=Person(person.name, to),
        timezone=demonstration.time_zone,
    )
    kind = f"{post.CALENDAR}; method={method}"
    return post.Attachment("gathering.ics", content, kind)


def _reader(entries: Iterable[SignUp]) -> Volunteer:
    """Return whoever reads the letter: an adult before a child at the same address."""
    people = [entry.volunteer for entry in entries]
    return next((one for one in people if one.guardian is None), people[0])


def _sign_up(key: int) -> SignUp:
    rows = SignUp.objects.select_related(
        "gathering__demonstration", "station", "volunteer__user"
    )
    return rows.select_related("volunteer__guardian__user").get(pk=key)
