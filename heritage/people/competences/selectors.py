"""Who can do what, as far as an organiser has confirmed it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from heritage.calc.young_people import ADULT, least_age
from heritage.people.models import Competence, Skill, Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class CompetenceLine:
    """Something people can do, and who stands where with it."""

    competence: Competence
    able: tuple[Skill, ...]
    waiting: tuple[Skill, ...]
    run_out: tuple[Skill, ...]


@dataclass(frozen=True, slots=True)
class CompetencePage:
    """The whole list, what waits to be confirmed, and what might be added."""

    lines: tuple[CompetenceLine, ...]
    waiting: tuple[Skill, ...]
    offered: tuple[Competence, ...]


def competence_page(demonstration: Demonstration, day: date) -> CompetencePage:
    """List who can do what on a day, and what waits: two queries."""
    rows = list(demonstration.competences.by_title())
    skills = list(Skill.objects.of(demonstration).in_force().for_page())
    lines = tuple(_line(row, skills, day) for row in rows)
    return CompetencePage(
        lines=lines,
        waiting=tuple(skill for line in lines for skill in line.waiting),
        offered=tuple(_offered(demonstration, rows)),
    )


def claims_waiting(demonstration: Demonstration) -> int:
    """Count what people say they can do that nobody has answered: one query."""
    return Skill.objects.of(demonstration).in_force().claimed().count()


def _line(row: Competence, skills: list[Skill], day: date) -> CompetenceLine:
    mine = [skill for skill in skills if skill.competence_id == row.pk]
    return CompetenceLine(
        competence=row,
        able=tuple(skill for skill in mine if skill.is_good_on(day)),
        waiting=tuple(skill for skill in mine if skill.is_waiting),
        run_out=tuple(skill for skill in mine if skill.has_run_out(day)),
    )


def first_aiders(demonstration: Demonstration, day: date) -> list[Volunteer]:
    """Return the adults whose first aid is confirmed and good on a day: one query."""
    people = Volunteer.objects.of(demonstration).active().able_in_first_aid(day)
    return [person for person in people.by_name() if person.age_on(day) >= ADULT]


def able_pairs(
    volunteers: Iterable[Volunteer], competences: Iterable[int], day: date
) -> set[tuple[int, int]]:
    """Return (volunteer key, competence key) wherever it is confirmed on a day.

    ``competences`` are keys, as stations hold them.
    """
    people = [person.pk for person in volunteers]
    rows = Skill.objects.confirmed(day).among(people, competences)
    return set(rows.values_list("volunteer_id", "competence_id"))


def starting_competences(demonstration: Demonstration) -> list[Competence]:
    """Return the list an organiser may begin with, as rows that are not kept yet."""
    return _offered(demonstration, demonstration.competences.all())


def _offered(
    demonstration: Demonstration, known: Iterable[Competence]
) -> list[Competence]:
    titles = {row.title.casefold() for row in known}
    return [
        Competence(
            demonstration=demonstration, title=title, asks=asks, is_first_aid=aid
        )
        for title, asks, aid, _work in STARTING
        if title.casefold() not in titles
    ]


def least_age_for(competence: Competence) -> int:
    """Return how old somebody must be for the work a skill is for; 0 if any age.

    Only what is on our own list says which work that is; whatever an organiser calls a
    skill, the age of each station holds besides.
    """
    work = WORK_OF.get(competence.title.casefold(), "")
    if not work:
        return 0
    return least_age(competence.demonstration.jurisdiction, work).least_age


def is_too_young(volunteer: Volunteer, competence: Competence, day: date) -> bool:
    """Tell whether a skill is for work that somebody may not do at their age."""
    return volunteer.age_on(day) < least_age_for(competence)


# Our own words, and the work whose least age is the skill's; an organiser keeps those
# that their field needs.
STARTING = [
    ("First aid", "A certificate in first aid at work or of a kind like it.", True, ""),
    (
        "Drives a tractor",
        "A licence or a certificate, and a trial drive.",
        False,
        "drive",
    ),
    (
        "Works the puller",
        "Shown how by the puller's keeper, and watched.",
        False,
        "feed",
    ),
    (
        "Strong swimmer",
        "Says so of themselves; keeps watch at the dam.",
        False,
        "tread",
    ),
    (
        "Throws a rescue line",
        "Has thrown one ashore, watched by an organiser.",
        False,
        "tread",
    ),
    (
        "Works the breaker",
        "Shown how, and watched, with the guard in place.",
        False,
        "feed",
    ),
    ("Demonstrates scutching", "Shown how, and watched.", False, ""),
    ("Demonstrates spinning", "Has spun for visitors before.", False, ""),
    ("Leads an evening", "Has been beside a lead for an evening.", False, ""),
]
WORK_OF = {title.casefold(): work for title, _asks, _aid, work in STARTING}
