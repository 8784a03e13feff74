"""The words people are asked to agree to, and who has agreed to which."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from heritage.people.models import Agreement, Subject, Volunteer, Wording
from heritage.people.selectors.starting_words import STARTING_WORDS
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Words:
    """The words on a subject as they stand; never published, they are our own."""

    subject: Subject
    number: int
    text: str
    published_at: datetime | None


def current_words(demonstration: Demonstration, subject: str) -> Words:
    """Return the newest words on a subject, or those to start with: one query."""
    return _words(Subject(subject), demonstration.wordings.on(subject).first())


def all_words(demonstration: Demonstration) -> dict[str, Words]:
    """Return the words on every subject: one query."""
    newest: dict[str, Wording] = {}
    for row in demonstration.wordings.oldest_first():
        newest[row.subject] = row
    return {one.value: _words(one, newest.get(one.value)) for one in Subject}


def photograph_agreement(volunteer: Volunteer) -> Agreement | None:
    """Return what somebody agreed to on being photographed, if it still stands."""
    return photograph_agreements([volunteer]).get(volunteer.pk)


def photograph_agreements(volunteers: Iterable[Volunteer]) -> dict[int, Agreement]:
    """Return the standing agreement of each on photographs, by their key: one query.

    Somebody who agreed to several versions stands by the newest of them.
    """
    keys = [person.pk for person in volunteers]
    rows = Agreement.objects.standing().on(Subject.PHOTOGRAPH).by_any(keys)
    return {row.volunteer_id: row for row in reversed(list(rows.newest_first()))}


def _words(subject: Subject, row: Wording | None) -> Words:
    if row is None:
        return Words(subject, 1, STARTING_WORDS[subject], None)
    return Words(subject, row.number, row.text, row.published_at)
