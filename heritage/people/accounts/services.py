"""An account's secrets, sealed in the database, and the mail about it.

The code by mail always works, so a password is an extra: somebody who forgets it takes
it away after signing in by code, and needs no old one for it but a sign-in of the last
quarter of an hour.

Mail about an account has a book of its own, since an account is of no one
demonstration. It is sent as the letter book sends
(`heritage.people.letters.services`): one worker wins a letter by a conditional update
that is safe before the server hears of it. It is tried again within seconds and
minutes, only while a code is of use, and its words are deleted as soon as it has gone
or is given up, at the latest when they are of no use: a code after 15 minutes, a
notice after a day. Without a worker the tries come with ``tend``. Organisers are shown
that the last one to somebody on their list did not arrive or came back, and why;
nobody is shown the words.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from functools import partial
from hashlib import sha256
from typing import Any, NamedTuple

from allauth.mfa.models import Authenticator
from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _
from django_tasks import task

from heritage.common import clock, post
from heritage.common.sealed import WrongKeyError, reseal
from heritage.people.letters.services import (
    LONGEST_SUBJECT,
    LONGEST_TROUBLE,
    Outcome,
    new_message_id,
)
from heritage.people.models import AccountLetter, LetterState, User

# What a row keeps that opens the lock: the phone's secret, and what the spare codes
# are made from. The library's third way of keeping codes is a list of them.
SECRETS = ("secret", "seed")
SECRET_LISTS = ("migrated_codes",)


@transaction.atomic
def put_hint_away(*, user: User, page: str) -> None:
    """Show an account the hint of a page no more."""
    owner = User.objects.select_for_update().get(pk=user.pk)
    if page not in owner.hints_read:
        owner.hints_read = [*owner.hints_read, page]
        owner.save(update_fields=["hints_read"])


class Resealed(NamedTuple):
    """How many rows stand under the key in use now, and whose do not open."""

    done: int
    shut: list[str]


def with_secrets(data: dict[str, Any], change: Callable[[str], str]) -> dict[str, Any]:
    """Return a lock's data with every secret in it changed."""
    changed = dict(data)
    for name in SECRETS:
        if name in changed:
            changed[name] = change(changed[name])
    for name in SECRET_LISTS:
        if name in changed:
            changed[name] = [change(text) for text in changed[name]]
    return changed


@transaction.atomic
def reseal_all() -> Resealed:
    """Seal every second lock under the key in use, so that older keys may go."""
    done, shut = 0, set()
    rows = Authenticator.objects.select_for_update(of=("self",)).order_by("pk")
    for lock in rows.select_related("user"):
        try:
            lock.data = with_secrets(lock.data, reseal)
        except WrongKeyError:
            shut.add(lock.user.email)
            continue
        lock.save(update_fields=["data"])
        done += 1
    return Resealed(done, sorted(shut))


# Somebody stands with the phone in their hand, so the first tries follow at once.
DELAYS = (
    timedelta(seconds=20),
    timedelta(minutes=1),
    timedelta(minutes=3),
    timedelta(minutes=5),
    timedelta(minutes=30),
    timedelta(hours=2),
    timedelta(hours=8),
)


@transaction.atomic
def write(
    *, address: str, subject: str, text: str, now: datetime, good_for: timedelta
) -> AccountLetter:
    """Write a letter about an account, once a minute for the same words."""
    words = f"{address}\n{subject}\n{text}\n{now:%Y-%m-%dT%H:%M}"
    letter, is_new = AccountLetter.objects.get_or_create(
        key=sha256(words.encode()).hexdigest(),
        defaults={
            "user": User.objects.filter(email__iexact=address).first(),
            "address": address,
            "subject": post.one_line(subject)[:LONGEST_SUBJECT],
            "text": text,
            "queued_at": now,
            "try_at": now,
            "good_until": now + good_for,
            "message_id": new_message_id(),
        },
    )
    if is_new:
        transaction.on_commit(partial(deliver_account_letter.enqueue, letter.pk))
    return letter


@task()
def deliver_account_letter(key: int) -> None:
    """Send one letter about an account, unless it went or is going already."""
    attempt(key=key, now=clock.now())


def send_due(*, now: datetime) -> int:
    """Send all whose time has come; return how many went.

    Words that a stopped worker left half-way go once they are of no use.
    """
    AccountLetter.objects.sending().out_of_use(now).update(text="")
    keys = list(AccountLetter.objects.due(now).values_list("pk", flat=True))
    return sum(attempt(key=key, now=now) is Outcome.WENT for key in keys)


def attempt(*, key: int, now: datetime) -> Outcome:
    """Try to send a letter, if nobody else does; tell what came of it."""
    if not _claim(key, now):
        return Outcome.NOT_MINE
    letter = AccountLetter.objects.get(pk=key)
    if now >= letter.good_until:
        # The last try said why; a code that is no longer good helps nobody.
        _give_up(letter, letter.trouble or _("It came too late to be of use."))
        return Outcome.NOT_TAKEN
    mail = post.compose(
        subject=letter.subject,
        text=letter.text,
        to=letter.address,
        message_id=letter.message_id,
    )
    try:
        post.hand_over(mail)
    except post.NotKnownError as unknown:
        _note(letter, state=LetterState.SENDING, text="", trouble=_cut(unknown))
        return Outcome.NOT_KNOWN
    except post.NotTakenError as refusal:
        _put_off(letter, refusal, now)
        return Outcome.NO_SERVER if refusal.unreachable else Outcome.NOT_TAKEN
    _note(letter, state=LetterState.SENT, text="", sent_at=now, trouble="")
    return Outcome.WENT


def _claim(key: int, now: datetime) -> bool:
    with transaction.atomic(durable=True):
        claimed = (
            AccountLetter.objects.queued()
            .filter(pk=key)
            .update(state=LetterState.SENDING, attempts=F("attempts") + 1, try_at=now)
        )
    return claimed == 1


def _put_off(letter: AccountLetter, refusal: post.NotTakenError, now: datetime) -> None:
    """Queue a letter again that the server has not got, or give it up."""
    tries = len(DELAYS)
    later = now + DELAYS[min(letter.attempts, tries) - 1]
    if refusal.for_good or letter.attempts > tries or later >= letter.good_until:
        _give_up(letter, _cut(refusal))
        return
    _note(letter, state=LetterState.QUEUED, trouble=_cut(refusal), try_at=later)
    if deliver_account_letter.get_backend().supports_defer:
        deliver_account_letter.using(run_after=later).enqueue(letter.pk)


def _give_up(letter: AccountLetter, why: str) -> None:
    _note(letter, state=LetterState.FAILED, text="", trouble=why)


def _note(letter: AccountLetter, **fields: object) -> None:
    AccountLetter.objects.sending().filter(pk=letter.pk).update(**fields)


def _cut(error: Exception) -> str:
    return str(error)[:LONGEST_TROUBLE]


@transaction.atomic
def open_again(
    *, numbers: Sequence[int], lines: Mapping[int, tuple[str, str]]
) -> dict[int, int]:
    """Make the accounts that a season's rows speak of; return the number of each here.

    ``lines`` are names and addresses on the list. By the address somebody signs in as
    they did, with a code and no password; it is a keeper's own account where that has
    it. Without one, or where two share it, the account stays shut.
    """
    here = {user.email.casefold(): user.pk for user in User.objects.all()}
    taken = set(here.values())
    next_free = max([*numbers, *taken, 0]) + 1
    found: dict[int, int] = {}
    for number in numbers:
        name, email = lines.get(number, ("", ""))
        known = here.get(email.casefold())
        if known and known not in found.values():
            found[number] = known
            continue
        if number in taken:
            free, next_free = next_free, next_free + 1
        else:
            free = number
        found[number] = free
        here[_open(free, name, "" if known else email).casefold()] = free
    return found


def _open(number: int, name: str, email: str) -> str:
    """Make one account, shut where it has no address; return its address."""
    user = User(pk=number, name=name, email=email)
    user.set_unusable_password()
    if not email:
        user.email, user.is_active = f"account-{number}@taken-in.invalid", False
    user.full_clean()
    user.save(force_insert=True)
    return user.email
