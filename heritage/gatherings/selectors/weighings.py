"""The young people whose work at the machines an organiser weighs."""

from dataclasses import dataclass
from datetime import datetime

from heritage.calc import young_people
from heritage.calc.young_people import ADULT, AgeRule
from heritage.gatherings.models import SignUp, StationKind, Weighing
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class YoungPerson:
    """Somebody under 18, what was decided for them, and places against it."""

    volunteer: Volunteer
    decisions: tuple[Weighing, ...]
    places_against: tuple[SignUp, ...]


@dataclass(frozen=True, slots=True)
class WeighingPage:
    """Who may be weighed for what, and every decision that holds."""

    rule: AgeRule | None
    works: tuple[StationKind, ...]
    people: tuple[YoungPerson, ...]


def works_to_weigh(demonstration: Demonstration) -> tuple[StationKind, ...]:
    """Return the kinds of work an organiser weighs for the young, by whose rules."""
    place = demonstration.jurisdiction
    return tuple(
        kind for kind in StationKind if young_people.least_age(place, kind).review_below
    )


def old_enough_to_weigh(demonstration: Demonstration) -> int:
    """Return the age under which no decision opens the machines."""
    place = demonstration.jurisdiction
    ages = [
        young_people.least_age(place, kind).least_age
        for kind in works_to_weigh(demonstration)
    ]
    return min(ages, default=ADULT)


def young_people_of(demonstration: Demonstration, now: datetime) -> list[Volunteer]:
    """Return those whose work may be weighed, by name: one query.

    Somebody a year too young is among them: they may be old enough by the evening.
    """
    day = now.astimezone(demonstration.zone).date()
    least = old_enough_to_weigh(demonstration) - 1
    rows = Volunteer.objects.of(demonstration).active().minors()
    folk = rows.select_related("guardian").by_name()
    return [person for person in folk if least <= person.age_on(day) < ADULT]


def weighing_page(demonstration: Demonstration, now: datetime) -> WeighingPage:
    """List the young people with what was decided for each: three queries."""
    works = works_to_weigh(demonstration)
    folk = young_people_of(demonstration, now)
    keys = [person.pk for person in folk]
    decisions = list(Weighing.objects.among(keys).holding().newest_first())
    refused = {(row.volunteer_id, row.work) for row in decisions if not row.may}
    places = SignUp.objects.live().to_come(now).at_work(keys, works)
    against = [row for row in places if (row.volunteer_id, row.station.kind) in refused]
    place = demonstration.jurisdiction
    return WeighingPage(
        rule=young_people.least_age(place, works[0]) if works else None,
        works=works,
        people=tuple(
            YoungPerson(
                person,
                tuple(row for row in decisions if row.volunteer_id == person.pk),
                tuple(row for row in against if row.volunteer_id == person.pk),
            )
            for person in folk
        ),
    )
