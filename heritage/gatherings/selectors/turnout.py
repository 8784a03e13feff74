"""Who was expected, who came, and who is in the field now."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from heritage.gatherings.models import Gathering, Turnout
from heritage.people.models import Volunteer


@dataclass(frozen=True, slots=True)
class TurnoutRow:
    """One person on the list: where they were expected, and their times if here."""

    volunteer: Volunteer
    station: str
    arrived_at: datetime | None
    left_at: datetime | None

    @property
    def came(self) -> bool:
        return self.arrived_at is not None

    @property
    def seconds(self) -> int:
        """How long they were there; of whoever has not left nothing is counted yet."""
        if self.arrived_at is None or self.left_at is None:
            return 0
        return int((self.left_at - self.arrived_at).total_seconds())

    @property
    def hours(self) -> Decimal | None:
        return as_hours(self.seconds) if self.left_at else None


@dataclass(frozen=True, slots=True)
class TurnoutPage:
    """A gathering's list, the head-count, and who may still be written in."""

    gathering: Gathering
    rows: list[TurnoutRow]
    here: list[Volunteer]
    others: list[Volunteer]

    @property
    def came(self) -> int:
        return sum(row.came for row in self.rows)

    @property
    def hours(self) -> Decimal:
        """The hours of all who have left."""
        return as_hours(sum(row.seconds for row in self.rows))

    @property
    def not_left(self) -> int:
        """How many came and have no time of leaving."""
        return sum(row.came and row.left_at is None for row in self.rows)


def as_hours(seconds: int) -> Decimal:
    """Write whole minutes in hours, to a tenth, an exact half going to the even."""
    return Decimal(round(seconds // 60 / 6)).scaleb(-1)


def turnout_page(gathering: Gathering, now: datetime) -> TurnoutPage:
    """Return the list, those signed up and the walk-ins by name: three queries."""
    marks = {row.volunteer_id: row for row in _marks(gathering)}
    expected = {
        row.volunteer_id: row
        for row in gathering.sign_ups.expected().select_related("volunteer", "station")
    }
    everybody = list(Volunteer.objects.of(gathering.demonstration).active().by_name())
    people = {row.volunteer_id: row.volunteer for row in expected.values()}
    people |= {row.volunteer_id: row.volunteer for row in marks.values()}
    rows = [
        _row(
            person,
            expected[person.pk].station.title if person.pk in expected else "",
            marks.get(person.pk),
        )
        for person in sorted(people.values(), key=lambda one: (one.name, one.pk))
    ]
    here = [row.volunteer for row in marks.values() if _is_here(row, now)]
    others = [person for person in everybody if person.pk not in people]
    return TurnoutPage(gathering, rows, here, others)


def _marks(gathering: Gathering) -> list[Turnout]:
    return list(gathering.turnout.select_related("volunteer").by_name())


def _row(person: Volunteer, station: str, mark: Turnout | None) -> TurnoutRow:
    if mark is None:
        return TurnoutRow(person, station, None, None)
    return TurnoutRow(person, station, mark.arrived_at, mark.left_at)


def _is_here(mark: Turnout, now: datetime) -> bool:
    return mark.arrived_at <= now and (mark.left_at is None or mark.left_at > now)
