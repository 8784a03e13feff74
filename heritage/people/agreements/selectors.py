"""The words people are asked to agree to, and who has agreed to which."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Max, Model

from heritage.common.parting import Part, parted
from heritage.people.competences.selectors import is_too_young
from heritage.people.models import (
    Agreement,
    Competence,
    HealthNote,
    Skill,
    Subject,
    Volunteer,
    Wording,
    decisions_on,
    posted_gatherings,
    posted_places,
)
from heritage.season.models import Demonstration

NOTICE = """\
The organisers hold your name, how to reach you, your emergency contact, how old \
you are, the gatherings you signed up for and came to, what you did there, and \
which safety briefings you heard.

They use it to run the work, keep people safe and thank you properly, and for \
nothing else. Other volunteers read your name, and of a child the first name only. \
Visitors may read an adult's first name in the records of the tally. The lead of an \
evening also reads how to reach you.

You can see and correct this on your own page. Ask an organiser if you want a copy, \
or want it deleted. If you are not happy with the answer, say so: they owe you \
a reply."""

PHOTOGRAPH = """\
Pictures in which I can be recognised may be shown on the public pages of this \
demonstration, on its printed sheets and in its record of the season.

I can take this back whenever I like, on my own page or by telling an organiser. Then \
the pictures come off the pages at once. We can't take back what is printed \
by then, but we don't print it again.

It makes no difference to the work I may do."""

HEALTH = """\
The note I write here is kept for the organisers and for the first-aider of the day. \
Nobody else reads it, and it is never printed.

It is deleted on the day shown beside it, and at once when I take it back. I don't \
have to write one."""

STARTING_WORDS = {
    Subject.NOTICE: NOTICE,
    Subject.PHOTOGRAPH: PHOTOGRAPH,
    Subject.HEALTH: HEALTH,
}


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


def _words(subject: Subject, row: Wording | None) -> Words:
    if row is None:
        return Words(subject, 1, STARTING_WORDS[subject], None)
    return Words(subject, row.number, row.text, row.published_at)


# Health notes go 14 days after the event (our own figure; the law names none).
AFTER_GATHERING = timedelta(days=14)
AFTER_SEASON = timedelta(days=30)


def season_ends_on(demonstration: Demonstration) -> date:
    """Return the season's last day: of its stages and gatherings, or of its year."""
    last = Demonstration.objects.last_days(demonstration, posted_gatherings())
    days = [day for day in (last["planned"], last["finished"]) if day]
    if last["gathered"]:
        days.append(last["gathered"].astimezone(demonstration.zone).date())
    return max(days, default=date(demonstration.year, 12, 31))


def kept_until(*, written_on: date, last: date | None, season_end: date) -> date:
    """Return the day a note is deleted on.

    That is 14 days after the last gathering its person is signed up for; for who is
    signed up for none, 30 days after the season's end. It is never later than that
    day, and never sooner than 14 days after the note was written.
    """
    latest = season_end + AFTER_SEASON
    day = latest if last is None else min(last + AFTER_GATHERING, latest)
    return max(day, written_on + AFTER_GATHERING)


def note_ends_on(volunteer: Volunteer, written_on: date) -> date:
    """Return when a note written on a day is deleted, as things stand: two queries."""
    place = volunteer.demonstration
    places = posted_places().filter(volunteer=volunteer)
    last = places.aggregate(last=Max("ends_at"))["last"]
    return kept_until(
        written_on=written_on,
        last=local_day(last, place),
        season_end=season_ends_on(place),
    )


def local_day(moment: datetime | None, demonstration: Demonstration) -> date | None:
    """Return the day of a moment where the demonstration is, if there is one."""
    return moment.astimezone(demonstration.zone).date() if moment else None


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
    weighed: tuple[Model, ...]

    @property
    def able_parts(self) -> list[Part[AbleLine]]:
        """Of many skills those that were said at hand, the others folded."""
        return parted(
            self.able,
            lambda line: str(line.competence),
            at_hand=lambda line: line.skill is not None,
            is_tall=True,
        )


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
            if row.pk in skills or not is_too_young(volunteer, row, day)
        ),
        note=note,
        note_ends_on=note_ends_on(volunteer, day),
        photograph=_agreed(words[Subject.PHOTOGRAPH], history),
        health=_agreed(words[Subject.HEALTH], history),
        notice=_agreed(words[Subject.NOTICE], history),
        history=history,
        weighed=tuple(decisions_on(volunteer)),
    )


def _agreed(words: Words, history: tuple[Agreement, ...]) -> Agreed:
    standing = [
        row
        for row in history
        if row.withdrawn_at is None and row.wording.subject == words.subject
    ]
    return Agreed(words, standing[0] if standing else None)
