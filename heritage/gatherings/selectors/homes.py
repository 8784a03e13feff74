"""Who is written to: a letter to each address, an adult its reader if any."""

from collections.abc import Iterable
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.gatherings.models import Call, Decision, Gathering, SignUp
from heritage.gatherings.selectors.entries import address
from heritage.gatherings.selectors.light import when
from heritage.people.models import Volunteer
from heritage.people.selectors import LetterLine, address_of, letters_in_trouble


def homes_of(entries: Iterable[SignUp]) -> list[list[SignUp]]:
    """Put those together who share an address; whoever has none stands alone."""
    homes: dict[str, list[SignUp]] = {}
    for entry in entries:
        where = address_of(entry.volunteer).lower() or f"volunteer {entry.volunteer_id}"
        homes.setdefault(where, []).append(entry)
    return list(homes.values())


def reader_of(entries: Iterable[SignUp]) -> Volunteer:
    """Return whoever reads the letter: an adult before a child at the same address."""
    people = [entry.volunteer for entry in entries]
    return next((one for one in people if one.guardian is None), people[0])


def letters_about(gathering: Gathering, now: datetime) -> tuple[LetterLine, ...]:
    """Return the letters about a gathering that did not arrive."""
    where = gathering.demonstration
    return letters_in_trouble(where, matter_of(gathering), now)


def matter_of(gathering: Gathering) -> str:
    """Name a gathering as the matter of letters in the book."""
    return f"gathering {gathering.pk}"


def call_in_words(gathering: Gathering, call: Call) -> str:
    """Say the call as a short text for a telephone; it names nobody."""
    said = {
        Decision.GO: _("Going ahead"),
        Decision.HOLD: _("On hold, please wait for word before you set out"),
        Decision.OFF: _("Called off, please don't come"),
    }[Decision(call.decision)]
    words = _("%(said)s: %(title)s, %(when)s, %(place)s.") % {
        "said": said,
        "title": gathering.title,
        "when": when(gathering, gathering.starts_at, gathering.ends_at),
        "place": gathering.place,
    }
    told = [words, call.note, gathering.demonstration.name, address(gathering)]
    return "\n".join(line for line in told if line)
