"""What the letter book shows: every letter, and those that somebody has to look at."""

import re
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.core.paginator import Page, Paginator
from django.utils.translation import gettext as _

from heritage.people.models import (
    AccountLetter,
    AccountLetterQuerySet,
    Letter,
    LetterState,
    Volunteer,
)
from heritage.season.models import Demonstration


def own_address(person: Volunteer) -> str:
    """Return the address entered for somebody or, without one, their account's."""
    return person.email or (person.user.email if person.user else "")


def address_of(person: Volunteer) -> str:
    """Return where mail about somebody goes: their own address, or their guardian's."""
    own = own_address(person)
    return own or (address_of(person.guardian) if person.guardian else "")


# Of those in trouble fewer: each has what went wrong, and a button.
ON_A_PAGE, TROUBLE_ON_A_PAGE = 13, 11
TAGS = {
    LetterState.QUEUED: "tag-waiting",
    LetterState.SENDING: "tag-waiting",
    LetterState.SENT: "tag-done",
    LetterState.FAILED: "tag-off",
    LetterState.BOUNCED: "tag-off",
    LetterState.NO_ADDRESS: "tag-due",
    LetterState.OVERTAKEN: "tag",
    LetterState.TOLD: "tag-done",
}
# Anybody who has this address may take the invitation up.
PRIVATE = re.compile(r"\S+/invitation/\S+")
TROUBLED = {LetterState.FAILED, LetterState.BOUNCED, LetterState.NO_ADDRESS}


@dataclass(frozen=True, slots=True)
class LetterLine:
    """One letter as the organiser reads it."""

    letter: Letter
    is_unknown: bool

    @property
    def state(self) -> str:
        """Where it stands, in words."""
        if self.is_unknown:
            return _("not known to have gone")
        return self.letter.get_state_display()

    @property
    def tag(self) -> str:
        return "tag-due" if self.is_unknown else TAGS[self.letter.stands]

    @property
    def is_trouble(self) -> bool:
        """Whether somebody has to do something about it."""
        return self.is_unknown or self.letter.stands in TROUBLED

    @property
    def is_tried_again(self) -> bool:
        """Whether it failed at least once and waits for its next time."""
        return self.letter.state == LetterState.QUEUED and self.letter.attempts > 0

    @property
    def can_go(self) -> bool:
        """Whether there is an address to send it to again."""
        return self.is_trouble and bool(self.goes_to)

    @property
    def goes_to(self) -> str:
        """Where it would be sent now."""
        reader = self.letter.volunteer
        return (address_of(reader) if reader else "") or self.letter.address

    @property
    def words(self) -> str:
        """What it says, but for an address that lets in anybody who knows it."""
        return without_private(self.letter.text)

    @property
    def reader(self) -> str:
        """Whom it is for."""
        return str(self.letter.volunteer or self.letter.address or _("nobody named"))

    @property
    def telephone(self) -> str:
        """The number by which they can be told, or their guardian's."""
        reader: Volunteer | None = self.letter.volunteer
        if reader is None:
            return ""
        return reader.phone or (reader.guardian.phone if reader.guardian else "")


@dataclass(frozen=True, slots=True)
class AstrayLine:
    """One letter about an account that did not arrive, as the organiser reads it."""

    letter: AccountLetter
    person: Volunteer | None

    @property
    def state(self) -> str:
        """Where it stands, in words."""
        if self.letter.state == LetterState.SENDING:
            return _("not known to have gone")
        return self.letter.get_state_display()

    @property
    def tag(self) -> str:
        return TAGS[self.letter.stands]


@dataclass(frozen=True, slots=True)
class LettersPage:
    """A page of the letter book."""

    lines: tuple[LetterLine, ...]
    page: Page[Letter]
    troubled: int
    only_trouble: bool
    astray: tuple[AstrayLine, ...]


class ToLookAt(NamedTuple):
    """Whom no mail reached, who has no address, and how many letters may have gone."""

    astray: frozenset[str]
    to_tell: frozenset[str]
    unknown: int


def without_private(words: str) -> str:
    """Return words without the addresses that let in anybody who knows them."""
    return PRIVATE.sub(_("[an address for the reader alone]"), words)


def letters_page(
    demonstration: Demonstration, now: datetime, *, only_trouble: bool, number: str
) -> LettersPage:
    """Show the book, newest first: six queries at most, however long it is."""
    rows = Letter.objects.of(demonstration)
    trouble = rows.trouble(now)
    shown = trouble if only_trouble else rows
    size = TROUBLE_ON_A_PAGE if only_trouble else ON_A_PAGE
    page = Paginator(shown.with_reader().newest_first(), size).get_page(number)
    return LettersPage(
        lines=tuple(letter_line(row, now) for row in page.object_list),
        page=page,
        troubled=trouble.count(),
        only_trouble=only_trouble,
        astray=tuple(
            AstrayLine(row, next(iter(getattr(row.user, "here", ())), None))
            for row in _astray(demonstration, now)
            .with_readers_of(demonstration)
            .newest_first()
        ),
    )


def letter_line(letter: Letter, now: datetime) -> LetterLine:
    """Say where one letter stands."""
    return LetterLine(letter, letter.is_unknown(now))


def letters_in_trouble(
    demonstration: Demonstration, about: str, now: datetime
) -> tuple[LetterLine, ...]:
    """Return the letters about one matter that did not arrive: one query."""
    rows = Letter.objects.of(demonstration).on(about).trouble(now)
    return tuple(letter_line(row, now) for row in rows.with_reader().newest_first())


def unreached(demonstration: Demonstration, now: datetime) -> frozenset[int]:
    """Return the keys of those whose letters came back lately: one query."""
    rows = Letter.objects.of(demonstration).returned().recent(now).of_somebody()
    accounts = _astray(demonstration, now).returned().values("user")
    people = demonstration.volunteers.active().of_accounts(accounts)
    keys = rows.order_by().values_list("volunteer_id", flat=True)
    return frozenset(keys.union(people.order_by().values_list("pk", flat=True)))


def to_look_at(demonstration: Demonstration, now: datetime) -> ToLookAt:
    """Count the people to phone and the letters to ask about, lately: two queries."""
    rows = Letter.objects.of(demonstration).trouble(now).recent(now).order_by()
    found = [
        (state, _who(user, person, address))
        for state, user, person, address in rows.values_list(
            "state", "volunteer__user", "volunteer", "address"
        )
    ]
    accounts = _astray(demonstration, now).order_by().values_list("state", "user")
    found += [(state, _who(user, None, "")) for state, user in accounts]
    lost = {LetterState.FAILED, LetterState.BOUNCED}
    return ToLookAt(
        astray=frozenset(who for state, who in found if state in lost),
        to_tell=frozenset(
            who for state, who in found if state == LetterState.NO_ADDRESS
        ),
        unknown=sum(state == LetterState.SENDING for state, _who in found),
    )


def _who(user: int | None, person: int | None, address: str) -> str:
    """Name a reader so that two letters to one are one telephone call."""
    if user:
        return f"user {user}"
    return f"person {person}" if person else address


def _astray(demonstration: Demonstration, now: datetime) -> AccountLetterQuerySet:
    """Keep the mail about accounts that people on the list are waiting for."""
    return AccountLetter.objects.to_members_of(demonstration).astray(now)
