"""What went wrong with letters: what came back, and what somebody does about it."""

from datetime import datetime, timedelta
from functools import partial

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.kits.delivery import Failure
from heritage.people.models import (
    AccountLetter,
    AccountLetterQuerySet,
    Letter,
    LetterQuerySet,
    LetterState,
    User,
    Volunteer,
)
from heritage.people.selectors import address_of
from heritage.people.services.answering import require_organiser
from heritage.people.services.letters import (
    LONGEST_TROUBLE,
    deliver,
    is_our_message_id,
    new_message_id,
)

REACHED = (LetterState.SENT, LetterState.SENDING)
# So long at the least mail servers try before they report (RFC 5321, 4.5.4.1: four or
# five days); a letter from before is not what a report without its name is about.
REPORTED_WITHIN = timedelta(days=6)

AnyLetter = Letter | AccountLetter


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
def note_account_told(*, letter: AccountLetter, by: User, now: datetime) -> None:
    """Write down that an account's owner knows what went astray."""
    reader = Volunteer.objects.managed_by(by).active().of_account(letter.user)
    if not reader.exists():
        raise ValidationError(_("Only an organiser of theirs can say so."))
    rows = AccountLetter.objects.astray(now).filter(pk=letter.pk)
    if not rows.update(state=LetterState.TOLD, text=""):
        raise ValidationError(_("This letter has gone, or is on its way already."))


@transaction.atomic
def note_failure(*, failure: Failure, now: datetime) -> AnyLetter | None:
    """Write down that a letter came back; None if it is not known which.

    The letter is found by its own name or, where the report carries none of ours, as
    the only one of late to that address with that subject: of several it is not known
    which came back, and none is marked.
    """
    letter = _named(failure) or _alike(failure, now)
    if letter is None:
        return None
    letter.state = LetterState.BOUNCED
    letter.trouble = failure.reason[:LONGEST_TROUBLE]
    fields = ["state", "trouble"]
    if isinstance(letter, AccountLetter):
        letter.text = ""
        fields.append("text")
    letter.save(update_fields=fields)
    return letter


def _named(failure: Failure) -> AnyLetter | None:
    for rows in _reached():
        if letter := rows.of_messages(failure.message_ids).first():
            return letter
    return None


def _alike(failure: Failure, now: datetime) -> AnyLetter | None:
    """Return the only letter that the report can be about, whose name it lacks.

    A name that was given here is that of a letter which was sent anew under another,
    told or deleted since: then it is about no letter that stands.
    """
    ours = any(map(is_our_message_id, failure.message_ids))
    if ours or not (failure.address and failure.subject):
        return None
    found: list[AnyLetter] = []
    for rows in _reached():
        to = rows.addressed_to(failure.address).with_subject(failure.subject)
        found.extend(to.tried_since(now - REPORTED_WITHIN)[:2])
    return found[0] if len(found) == 1 else None


def _reached() -> tuple[LetterQuerySet, AccountLetterQuerySet]:
    """Return both books' letters that may have arrived, held till this is done."""
    return (
        Letter.objects.select_for_update(of=("self",)).in_states(REACHED),
        AccountLetter.objects.select_for_update(of=("self",)).in_states(REACHED),
    )


def _hold(letter: Letter, by: User, now: datetime) -> Letter:
    """Take hold of a letter that is in trouble, as it is now."""
    require_organiser(letter.demonstration, by)
    rows = Letter.objects.select_for_update(of=("self",)).trouble(now)
    held = rows.with_reader().filter(pk=letter.pk).first()
    if held is None:
        raise ValidationError(_("This letter has gone, or is on its way already."))
    return held
