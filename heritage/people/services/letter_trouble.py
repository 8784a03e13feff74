"""What went wrong with letters: what came back, and what somebody does about it."""

from datetime import datetime
from functools import partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.kits.delivery import Failure
from heritage.people.models import Letter, LetterState, User
from heritage.people.selectors import address_of
from heritage.people.services.answering import require_organiser
from heritage.people.services.letters import (
    LONGEST_TROUBLE,
    deliver,
    new_message_id,
)

REACHED = (LetterState.SENT, LetterState.SENDING)


@transaction.atomic
def send_again(*, letter: Letter, by: User, now: datetime) -> Letter:
    """Send a letter once more, to where its reader is reached now.

    Raises
    ------
    ValidationError
        If it has gone or is going, or there is nowhere to send it.
    """
    letter = _hold(letter, by, now)
    reader = letter.volunteer
    to = (address_of(reader) if reader else "") or letter.address
    if not to:
        raise ValidationError(
            _("No address is known for %s. Enter one first, or tell them yourself.")
            % (reader or _("the reader"))
        )
    if letter.state == LetterState.BOUNCED:
        # Reports on the letter that came back must not be taken for this one's.
        letter.message_id = new_message_id()
    letter.address, letter.state, letter.trouble = to, LetterState.QUEUED, ""
    letter.attempts, letter.try_at = 0, now
    letter.save(
        update_fields=[
            *("address", "state", "trouble", "attempts", "try_at", "message_id")
        ]
    )
    transaction.on_commit(partial(deliver.enqueue, letter.pk))
    return letter


@transaction.atomic
def note_told(*, letter: Letter, by: User, now: datetime) -> Letter:
    """Write down that the reader has been told in another way."""
    letter = _hold(letter, by, now)
    letter.state = LetterState.TOLD
    letter.save(update_fields=["state"])
    return letter


@transaction.atomic
def note_failure(*, failure: Failure) -> Letter | None:
    """Write down that a letter came back; None if it is none of ours.

    The letter is found by its own name or, where the report does not carry it, as
    the newest to that address with that subject.
    """
    rows = Letter.objects.select_for_update(of=("self",)).in_states(REACHED)
    letter = rows.of_messages(failure.message_ids).first()
    if letter is None and failure.address and failure.subject:
        named = rows.addressed_to(failure.address).with_subject(failure.subject)
        letter = named.newest_first().first()
    if letter is None:
        return None
    letter.state = LetterState.BOUNCED
    letter.trouble = failure.reason[:LONGEST_TROUBLE]
    letter.save(update_fields=["state", "trouble"])
    return letter


def _hold(letter: Letter, by: User, now: datetime) -> Letter:
    """Take hold of a letter that is in trouble, as it is now."""
    require_organiser(letter.demonstration, by)
    rows = Letter.objects.select_for_update(of=("self",)).trouble(now)
    held = rows.with_reader().filter(pk=letter.pk).first()
    if held is None:
        raise ValidationError(_("This letter has gone, or is on its way already."))
    return held
