"""What is held of one person beside their contact, and what may be done with it."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from heritage.people.models import (
    Agreement,
    Competence,
    HealthNote,
    Skill,
    Subject,
    Volunteer,
)
from heritage.people.selectors.notes import note_ends_on
from heritage.people.selectors.wordings import Words, all_words


@dataclass(frozen=True, slots=True)
class AbleLine:
    """Something on the organiser's list, and where one person stands with it."""

    competence: Competence
    skill: Skill | None
    day: date

    @property
    def state(self) -> str:
        """One word for where they stand."""
        skill = self.skill
        if skill is None:
            return "unsaid"
        if skill.refused_at:
            return "refused"
        if skill.is_waiting:
            return "waiting"
        return "run_out" if skill.has_run_out(self.day) else "good"


@dataclass(frozen=True, slots=True)
class Agreed:
    """The words on a subject, and which version somebody agreed to, if any."""

    words: Words
    standing: Agreement | None

    @property
    def has_changed(self) -> bool:
        """Whether the words are others than those agreed to."""
        return bool(self.standing and self.standing.wording.number != self.words.number)


@dataclass(frozen=True, slots=True)
class AboutPage:
    """One person, what they can do, their note and what they agreed to."""

    volunteer: Volunteer
    is_self: bool
    is_answering: bool
    is_organiser: bool
    able: tuple[AbleLine, ...]
    note: HealthNote | None
    note_ends_on: date
    photograph: Agreed
    health: Agreed
    notice: Agreed
    history: tuple[Agreement, ...]
    # What was weighed for them stands above people: it is reached by name alone.
    weighed: tuple[Any, ...]


def about_page(
    volunteer: Volunteer,
    *,
    reader: Volunteer | None,
    is_organiser: bool,
    now: datetime,
) -> AboutPage:
    """Show what is held of somebody to themselves, their guardian or an organiser.

    Eight queries.
    """
    place = volunteer.demonstration
    day = now.astimezone(place.zone).date()
    skills = {row.competence_id: row for row in volunteer.skills.for_page()}
    note = HealthNote.objects.about([volunteer.pk]).readable(day).first()
    history = tuple(volunteer.agreements.newest_first())
    words = all_words(place)
    own = reader is not None and reader.pk == volunteer.pk
    answers = reader is not None and reader.pk == volunteer.guardian_id
    return AboutPage(
        volunteer=volunteer,
        is_self=own,
        is_answering=own or answers,
        is_organiser=is_organiser,
        able=tuple(
            AbleLine(row, skills.get(row.pk), day)
            for row in place.competences.by_title()
        ),
        note=note,
        note_ends_on=note_ends_on(volunteer, day),
        photograph=_agreed(words[Subject.PHOTOGRAPH], history),
        health=_agreed(words[Subject.HEALTH], history),
        notice=_agreed(words[Subject.NOTICE], history),
        history=history,
        weighed=tuple(volunteer.weighings.holding().newest_first()),
    )


def _agreed(words: Words, history: tuple[Agreement, ...]) -> Agreed:
    standing = [
        row
        for row in history
        if row.withdrawn_at is None and row.wording.subject == words.subject
    ]
    return Agreed(words, standing[0] if standing else None)
