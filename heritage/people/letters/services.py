"""The letter book: each letter is written once for its key and sent at most once.

A letter goes from *queued* to *sending* by a conditional update that one worker
alone can win, and from there to *sent*. What the server surely did not take is
queued again, later and later; what may have gone stays *sending*, is shown so, and
is never sent again unless somebody asks for it.

So nobody is told twice by a machine; our own SMTP session (`heritage.common.post`)
tells the two apart. A letter that was overtaken while it waited is not sent: the
calling-off has gone to the same people as the invitation. Somebody on paper gets no
confirmation, since they asked in person; a change, a calling-off and a reminder stand
in the book with their telephone until an organiser presses "They know". A report that
names no letter of ours marks the only one of the last days to that address with that
subject, and of several none.

A letter is written under the lock on its reader, who is read anew, so that nothing is
sent once an erasing is acknowledged.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from email.utils import make_msgid, parseaddr
from enum import Enum, auto
from functools import partial

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMultiAlternatives
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _
from django_tasks import task

from heritage.common import clock, post
from heritage.kits.delivery import Failure
from heritage.people.letters.selectors import address_of
from heritage.people.letters.words import why_it_came_back
from heritage.people.models import (
    ON_THEIR_WAY,
    AccountLetter,
    AccountLetterQuerySet,
    Letter,
    LetterQuerySet,
    LetterState,
    User,
    Volunteer,
)
from heritage.people.particulars.services import require_organiser
from heritage.season.models import Demonstration

# How long after each attempt the next is made; after the last it is given up.
DELAYS = (
    timedelta(minutes=1),
    timedelta(minutes=5),
    timedelta(minutes=30),
    timedelta(hours=2),
    timedelta(hours=12),
)
LONGEST_TROUBLE = 300
LONGEST_SUBJECT = 200


class Outcome(Enum):
    """What came of one attempt."""

    WENT = auto()
    NOT_TAKEN = auto()
    NO_SERVER = auto()
    NOT_KNOWN = auto()
    NOT_MINE = auto()


@transaction.atomic
def write(
    *,
    demonstration: Demonstration,
    key: str,
    volunteer: Volunteer | None,
    address: str,
    subject: str,
    text: str,
    html: str = "",
    parts: Sequence[post.Attachment] = (),
    now: datetime,
    about: str = "",
    also: Sequence[str] = (),
    overtakes: Iterable[Volunteer] = (),
    not_before: datetime | None = None,
) -> Letter | None:
    """Write a letter, once for its key, and send it when the change is safe.

    Without an address, or with one that is none, the letter is kept all the same:
    somebody has to be told in another way. ``html`` is made from the text where it
    is not given. ``about`` names the matter, ``also`` others beside it: older letters
    about nothing else to the people that this one ``overtakes`` do not go any more.
    Until ``not_before`` it is not sent, and `take_back` unwrites it.
    Nothing is written to somebody who was erased: there is nobody left to tell.
    """
    if volunteer and not _is_there(volunteer):
        return None
    letter, is_new = Letter.objects.get_or_create(
        demonstration=demonstration,
        key=key,
        defaults={
            "volunteer": volunteer,
            "about": about,
            "also": "".join(f"\n{other}" for other in also) + "\n" if also else "",
            **_addressed(address),
            "subject": post.one_line(subject)[:LONGEST_SUBJECT],
            "text": text,
            "html": html,
            "parts": post.pack(parts),
            "queued_at": now,
            "try_at": not_before or now,
            "message_id": new_message_id(),
        },
    )
    if is_new:
        _overtake(letter, overtakes)
    if is_new and letter.address:
        transaction.on_commit(partial(_send_from, not_before, letter.pk))
    return letter


def _send_from(moment: datetime | None, key: int) -> None:
    """Have a letter sent at once, or from a moment on.

    Without a worker that can wait, the next round (`send_due`) sends what was held.
    """
    if moment is None:
        deliver.enqueue(key)
    elif deliver.get_backend().supports_defer:
        deliver.using(run_after=moment).enqueue(key)


@transaction.atomic
def take_back(
    *, demonstration: Demonstration, about: str, written_at: datetime, now: datetime
) -> int:
    """Unwrite the letters about a matter of one moment; what they overtook goes again.

    Returns how many readers know already, since somebody told them.

    Raises
    ------
    ValidationError
        If one has gone, or may have.
    """
    rows = Letter.objects.select_for_update(of=("self",)).of(demonstration).on(about)
    mine = list(rows.written_at(written_at))
    if any(row.state in REACHED or row.state == LetterState.BOUNCED for row in mine):
        raise ValidationError(_("The e-mails have already gone."))
    told = sum(row.state == LetterState.TOLD for row in mine)
    untold = [row.pk for row in mine if row.state != LetterState.TOLD]
    Letter.objects.of_keys(untold).delete()
    older = rows.overtaken_at(written_at)
    older.filter(address="").update(state=LetterState.NO_ADDRESS, try_at=now)
    older.exclude(address="").update(state=LetterState.QUEUED, try_at=now)
    return told


@transaction.atomic
def send_held(
    *, demonstration: Demonstration, about: str, written_at: datetime, now: datetime
) -> int:
    """Send the letters about a matter that wait for their moment; return how many."""
    rows = Letter.objects.of(demonstration).on(about).written_at(written_at)
    keys = list(rows.held_back(now).values_list("pk", flat=True))
    Letter.objects.of_keys(keys).update(try_at=now)
    for key in keys:
        transaction.on_commit(partial(deliver.enqueue, key))
    return len(keys)


@task()
def deliver(key: int) -> None:
    """Send one letter, unless it went or is going already."""
    attempt(key=key, now=clock.now())


def send_due(*, now: datetime) -> int:
    """Send all letters whose time has come; return how many went.

    Where the mail server cannot be reached at all, the rest waits untried.
    """
    sent = 0
    for key in list(Letter.objects.due(now).values_list("pk", flat=True)):
        outcome = attempt(key=key, now=now)
        sent += outcome is Outcome.WENT
        if outcome is Outcome.NO_SERVER:
            break
    return sent


def attempt(*, key: int, now: datetime) -> Outcome:
    """Try to send a letter, if nobody else does; tell what came of it."""
    if not _claim(key, now):
        return Outcome.NOT_MINE
    letter = Letter.objects.get(pk=key)
    try:
        post.hand_over(_mail(letter))
    except post.NotKnownError as unknown:
        _note(letter, LetterState.SENDING, trouble=_cut(unknown))
        return Outcome.NOT_KNOWN
    except post.NotTakenError as refusal:
        _put_off(letter, refusal, now)
        return Outcome.NO_SERVER if refusal.unreachable else Outcome.NOT_TAKEN
    _note(letter, LetterState.SENT, sent_at=now, trouble="")
    return Outcome.WENT


def new_message_id() -> str:
    """Return a name for one letter that no other mail in the world bears."""
    return make_msgid("letter", domain=_our_domain())


def is_our_message_id(name: str) -> bool:
    """Tell whether a letter was named here, whatever became of it since."""
    return name.endswith(f".letter@{_our_domain()}>")


def _our_domain() -> str:
    sender = parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    return sender.rpartition("@")[2] or "localhost"


def _is_there(volunteer: Volunteer) -> bool:
    """Tell whether somebody is not erased, nor will be until the letter is written.

    The caller may have read the row long before.
    """
    rows = Volunteer.objects.select_for_update(no_key=True).not_erased()
    return bool(rows.of_keys([volunteer.pk]).values_list("pk"))


def _overtake(letter: Letter, people: Iterable[Volunteer]) -> None:
    """Let no older letter go that says nothing but what this one says anew.

    When this one was written is kept with them: it may be taken back.
    """
    rows = Letter.objects.of(letter.demonstration).to(people).unsent().before(letter)
    older = rows.on_any(letter.matters)
    stale = [row.pk for row in older if row.matters <= letter.matters]
    rows.of_keys(stale).update(state=LetterState.OVERTAKEN, try_at=letter.queued_at)


def _addressed(address: str) -> dict[str, str]:
    """Return where a letter goes, or what is wrong with the address, and its state."""
    trouble = ""
    if address:
        try:
            validate_email(address)
        except ValidationError as error:
            trouble = f"{error.messages[0]} ({post.one_line(address)[:200]})"
    if trouble or not address:
        return {"address": "", "state": LetterState.NO_ADDRESS, "trouble": trouble}
    return {"address": address, "state": LetterState.QUEUED, "trouble": ""}


def _claim(key: int, now: datetime) -> bool:
    """Take a letter for sending; of many who try at once, one succeeds.

    The claim is safe in the database before the server hears of the letter.
    """
    with transaction.atomic(durable=True):
        rows = Letter.objects.queued().filter(pk=key)
        claimed = rows.update(
            state=LetterState.SENDING, attempts=F("attempts") + 1, try_at=now
        )
    return claimed == 1


def _mail(letter: Letter) -> EmailMultiAlternatives:
    return post.compose(
        subject=letter.subject,
        text=letter.text,
        html=letter.html,
        to=letter.address,
        parts=letter.parts,
        message_id=letter.message_id,
    )


def _put_off(letter: Letter, refusal: post.NotTakenError, now: datetime) -> None:
    """Queue a letter again that the server has not got, or give it up."""
    if refusal.for_good or letter.attempts > len(DELAYS):
        _note(letter, LetterState.FAILED, trouble=_cut(refusal))
        return
    later = now + DELAYS[letter.attempts - 1]
    _note(letter, LetterState.QUEUED, trouble=_cut(refusal), try_at=later)


def _note(letter: Letter, state: LetterState, **fields: object) -> None:
    mine = Letter.objects.sending().filter(pk=letter.pk)
    mine.update(state=state, **fields)


def _cut(error: Exception) -> str:
    return str(error)[:LONGEST_TROUBLE]


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
    require_organiser(letter.demonstration, by)
    letter = _hold(letter, now)
    reader = letter.volunteer
    to = (address_of(reader) if reader else "") or letter.address
    if not to:
        raise ValidationError(
            _("We have no e-mail address for %s. Enter one, or tell them yourself.")
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
    require_organiser(letter.demonstration, by)
    return mark_told(letter=letter, now=now)


@transaction.atomic
def mark_told(*, letter: Letter, now: datetime) -> Letter:
    """Write down that the reader knows; that the asker may say so was settled."""
    letter = _hold(letter, now)
    letter.state = LetterState.TOLD
    letter.save(update_fields=["state"])
    return letter


@transaction.atomic
def note_account_told(*, letter: AccountLetter, by: User, now: datetime) -> None:
    """Write down that an account's owner knows what went astray."""
    reader = Volunteer.objects.managed_by(by).active().of_account(letter.user)
    if not reader.exists():
        raise ValidationError(_("Only their organiser can say so."))
    rows = AccountLetter.objects.astray(now).filter(pk=letter.pk)
    if not rows.update(state=LetterState.TOLD, text=""):
        raise ValidationError(_("This e-mail has gone, or is on its way."))


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
    letter.trouble = why_it_came_back(failure)[:LONGEST_TROUBLE]
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
    letters: list[AnyLetter] = []
    for rows in _reached():
        to = rows.addressed_to(failure.address).with_subject(failure.subject)
        letters.extend(to.tried_since(now - REPORTED_WITHIN)[:2])
    return letters[0] if len(letters) == 1 else None


def _reached() -> tuple[LetterQuerySet, AccountLetterQuerySet]:
    """Return both books' letters that may have arrived, held till this is done."""
    return (
        Letter.objects.select_for_update(of=("self",)).in_states(REACHED),
        AccountLetter.objects.select_for_update(of=("self",)).in_states(REACHED),
    )


def _hold(letter: Letter, now: datetime) -> Letter:
    """Take hold of a letter that is in trouble, as it is now."""
    rows = Letter.objects.select_for_update(of=("self",)).trouble(now)
    held = rows.with_reader().filter(pk=letter.pk).first()
    if held is None:
        raise ValidationError(_("This e-mail has gone, or is on its way."))
    return held


@transaction.atomic
def stop_all(*, demonstration: Demonstration) -> None:
    """Let nothing go that was on its way: where it was written it may have gone."""
    rows = Letter.objects.of(demonstration).in_states(ON_THEIR_WAY)
    rows.update(state=LetterState.OVERTAKEN)
