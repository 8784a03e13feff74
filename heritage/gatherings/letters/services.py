"""The day before: what to bring, when and where, once to every household."""

import hashlib
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.briefings.selectors import heard_pairs
from heritage.gatherings.ground.selectors import evening_of, matter_of
from heritage.gatherings.ground.services import require_lead
from heritage.gatherings.letters import mail
from heritage.gatherings.letters.selectors import homes_to_remind, to_remind_of
from heritage.gatherings.models import Gathering, SignUp
from heritage.people.letters import services as letters
from heritage.people.letters.selectors import address_of
from heritage.people.models import Letter, User


def remind(*, now: datetime) -> int:
    """Remind everybody with a place whose gathering is tomorrow; return how many.

    Who has had a letter about it since the reminder was due, and who asked for the
    place later than that, needs none. It may be asked for as often as one likes.
    """
    rows = Gathering.objects.going_ahead().for_page().select_related("first_aider")
    return sum(_remind_of(row, now) for row in to_remind_of(rows, now))


@transaction.atomic
def note_told(*, gathering: Gathering, letter: Letter, by: User, now: datetime) -> None:
    """Write down that the reader of a letter about the gathering was telephoned.

    The lead says so of their own gathering's letters, and an organiser of any.
    """
    require_lead(gathering, by)
    mine = Letter.objects.of(gathering.demonstration).on(matter_of(gathering))
    if not mine.filter(pk=letter.pk).exists():
        raise ValidationError(_("This e-mail is about another gathering."))
    letters.mark_told(letter=letter, now=now)


def _remind_of(gathering: Gathering, now: datetime) -> int:
    homes = homes_to_remind(gathering)
    entries = [entry for home in homes for entry in home]
    missing = _to_hear(entries) if homes else {}
    for home in homes:
        for entry in home:
            entry.gathering = gathering
        to_hear = [missing[entry.pk] for entry in home if entry.pk in missing]
        key = _key(gathering, home)
        mail.reminder(gathering, home, key=key, now=now, to_hear=to_hear)
    return len(homes)


def _to_hear(entries: list[SignUp]) -> dict[int, str]:
    """Say, by place, what somebody has yet to hear before they start."""
    asked = [(entry, entry.station.briefing) for entry in entries]
    heard = heard_pairs(
        [entry.volunteer for entry in entries],
        [briefing for _entry, briefing in asked if briefing],
    )
    return {
        entry.pk: f"{entry.volunteer.name}: {briefing}"
        for entry, briefing in asked
        if briefing and (entry.volunteer_id, briefing.pk) not in heard
    }


def _key(gathering: Gathering, home: list[SignUp]) -> str:
    """Name the reminder of one day to one household, without writing its address."""
    who = address_of(home[0].volunteer).lower() or str(home[0].volunteer_id)
    mark = hashlib.sha256(who.encode()).hexdigest()[:16]
    day = evening_of(gathering.starts_at, gathering.demonstration)
    return f"reminder:{gathering.pk}:{day.isoformat()}:{mark}"
