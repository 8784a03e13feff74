"""What the book comes to for one person, or for each of them."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from heritage.calc.tally import Statement
from heritage.gatherings.gate.selectors import as_hours
from heritage.gatherings.models import Gathering, Turnout
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration
from heritage.tally.models import Entry, OwnLog, Work, WorkKind
from heritage.tally.selectors import Pay, Stay, hours_by, settled


class StatementLine(NamedTuple):
    """One gathering on a person's statement; there may be very many of these."""

    title: str
    starts_at: datetime
    beets: int
    seconds: int

    @property
    def hours(self) -> Decimal:
        return as_hours(self.seconds)


@dataclass(frozen=True, slots=True)
class PersonStatement:
    """What the book comes to for one person; ``unconfirmed`` beets are not paid."""

    volunteer: Volunteer
    demonstration: Demonstration
    lines: list[StatementLine]
    settled: Statement
    work: list[tuple[str, int]]
    unconfirmed: int

    @property
    def is_thanked(self) -> bool:
        """Tell whether the book holds anything that somebody did."""
        return bool(self.lines or self.work)

    @property
    def beets(self) -> int:
        return sum(line.beets for line in self.lines)

    @property
    def hours(self) -> Decimal:
        return as_hours(sum(line.seconds for line in self.lines))

    @property
    def pay(self) -> Pay:
        return Pay(self.settled.farthings)


@dataclass(frozen=True, slots=True)
class PersonTotal:
    """What somebody's statement comes to, without its lines."""

    volunteer: Volunteer
    beets: int
    hours: Decimal
    settled: Statement
    unconfirmed: int

    @property
    def pay(self) -> Pay:
        return Pay(self.settled.farthings)


def totals(demonstration: Demonstration) -> list[PersonTotal]:
    """Return what everybody's statement comes to, by name: five queries."""
    sums = Entry.objects.of(demonstration).summed_by("volunteer")
    beets = {row.key: row.beets for row in sums}
    hours = hours_by(demonstration, "volunteer")
    unconfirmed = _unconfirmed(demonstration, None)
    work = Work.objects.of(demonstration).filter(volunteer__isnull=False)
    named = {*beets, *hours, *unconfirmed, *(key for key, _ in work.sums_by_person())}
    return [
        PersonTotal(
            person,
            beets.get(person.pk, 0),
            hours.get(person.pk, Decimal(0)),
            settled(beets.get(person.pk, 0), demonstration),
            unconfirmed.get(person.pk, 0),
        )
        for person in Volunteer.objects.of(demonstration).unmerged().by_name()
        if person.pk in named
    ]


def statement(volunteer: Volunteer) -> PersonStatement:
    """Return what the book comes to for one person: five queries."""
    return _statements(volunteer.demonstration, [volunteer])[0]


def statements(
    demonstration: Demonstration, *, thanked: bool = False
) -> list[PersonStatement]:
    """Return everybody's statement, by name: six queries, however many they are.

    With ``thanked``, only of those who did something.
    """
    everybody = list(Volunteer.objects.of(demonstration).unmerged().by_name())
    rows = _statements(demonstration, everybody)
    said = [one for one in rows if one.is_thanked or one.unconfirmed]
    return [one for one in said if one.is_thanked] if thanked else said


def _statements(
    demonstration: Demonstration, people: list[Volunteer]
) -> list[PersonStatement]:
    one = people[0] if len(people) == 1 else None
    lines = _lines(demonstration, people, one)
    work = _work(demonstration, one)
    unconfirmed = _unconfirmed(demonstration, one)
    return [
        PersonStatement(
            person,
            demonstration,
            lines[person.pk],
            settled(sum(line.beets for line in lines[person.pk]), demonstration),
            work.get(person.pk, []),
            unconfirmed.get(person.pk, 0),
        )
        for person in people
    ]


def _lines(
    demonstration: Demonstration, people: list[Volunteer], one: Volunteer | None
) -> dict[int, list[StatementLine]]:
    """Return each person's gatherings in order: three queries."""
    beets = _beets(demonstration, one)
    stays = _stays(demonstration, one)
    came: dict[int, set[int]] = {person.pk: set() for person in people}
    for person, gathering in (*beets, *stays):
        # The lines of somebody merged come to nothing, and are nobody's statement.
        if person in came:
            came[person].add(gathering)
    asked = set().union(*came.values())
    rows = list(Gathering.objects.filter(pk__in=asked).in_order())
    # The rows are in order: where each stands is all that sorting a person's takes.
    place = {row.pk: number for number, row in enumerate(rows)}
    return {
        person: [
            StatementLine(
                rows[number].title,
                rows[number].starts_at,
                beets.get((person, rows[number].pk), 0),
                stays.get((person, rows[number].pk), 0),
            )
            for number in sorted(place[gathering] for gathering in gatherings)
        ]
        for person, gatherings in came.items()
    }


def _beets(
    demonstration: Demonstration, one: Volunteer | None
) -> dict[tuple[int, int], int]:
    rows = Entry.objects.of(demonstration)
    return (rows.by(one) if one else rows).summed_by_person_and_evening()


def _stays(
    demonstration: Demonstration, one: Volunteer | None
) -> dict[tuple[int, int], int]:
    """Return how long each was where, in seconds."""
    rows = Turnout.objects.of(demonstration).filter(left_at__isnull=False)
    rows = rows.by(one) if one else rows
    stays = rows.values_list("volunteer", "gathering", Stay())
    return {(person, gathering): seconds for person, gathering, seconds in stays}


def _work(
    demonstration: Demonstration, one: Volunteer | None
) -> dict[int, list[tuple[str, int]]]:
    rows = Work.objects.of(demonstration).filter(volunteer__isnull=False)
    sums = (rows.filter(volunteer=one) if one else rows).sums_by_person()
    work: dict[int, list[tuple[str, int]]] = {}
    for kind in WorkKind:
        for (person, of_kind), amount in sums.items():
            if of_kind == kind and amount:
                work.setdefault(person, []).append((str(kind.label), amount))
    return work


def _unconfirmed(demonstration: Demonstration, one: Volunteer | None) -> dict[int, int]:
    rows = OwnLog.objects.of(demonstration).unanswered()
    return (rows.filter(volunteer=one) if one else rows).beets_by_person()
