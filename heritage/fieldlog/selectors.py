"""What the field page needs to know, and what the evening's book shows."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from heritage.calc.weather import thunder_hold
from heritage.dam.models import Ret
from heritage.fieldlog.models import CLOSES, FieldNote, Receipt
from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import Light, light_of, shown_name
from heritage.people.models import Volunteer


@dataclass(frozen=True, slots=True)
class Person:
    """One of tonight's names, and how they stand in the books."""

    volunteer: Volunteer
    arrived_at: datetime | None
    left_at: datetime | None
    beets: int
    walk_in: str

    @property
    def name(self) -> str:
        return shown_name(self.volunteer)


@dataclass(frozen=True, slots=True)
class FieldState:
    """Tonight, as the server knows it: all that a phone is told."""

    gathering: Gathering
    people: list[Person]
    rets: list[Ret]
    resume_at: datetime | None
    light: Light
    closes_at: datetime


@dataclass(frozen=True, slots=True)
class FieldBook:
    """What came in from the field at one gathering."""

    gathering: Gathering
    notes: list[FieldNote]
    thunder: list[datetime]
    resume_at: datetime | None
    receipts: list[Receipt]


def field_state(gathering: Gathering) -> FieldState:
    """Return tonight's names and how things stand: six queries."""
    turnout = {row.volunteer_id: row for row in gathering.turnout.all()}
    beets = {
        row.key: row.beets for row in gathering.entries.all().summed_by("volunteer")
    }
    written_in = {
        row.volunteer_id: str(row.key) for row in gathering.receipts.all().walk_ins()
    }
    people = []
    for person in _tonight(gathering, [*turnout, *beets]):
        row = turnout.get(person.pk)
        people.append(
            Person(
                volunteer=person,
                arrived_at=row.arrived_at if row else None,
                left_at=row.left_at if row else None,
                beets=beets.get(person.pk, 0),
                walk_in=written_in.get(person.pk, ""),
            )
        )
    rets = Ret.objects.of(gathering.demonstration).going().newest_first()
    return FieldState(
        gathering=gathering,
        people=people,
        rets=list(rets.select_related("dam")),
        resume_at=thunder_hold(gathering.thunder.all().moments()),
        light=light_of(gathering),
        closes_at=gathering.ends_at + CLOSES,
    )


def field_book(gathering: Gathering, receipts: int = 200) -> FieldBook:
    """Return what came in from the field, the newest receipts first: three queries."""
    thunder = gathering.thunder.all().moments()
    return FieldBook(
        gathering=gathering,
        notes=list(gathering.notes.all().for_book()),
        thunder=thunder,
        resume_at=thunder_hold(thunder),
        receipts=list(gathering.receipts.all().for_book()[:receipts]),
    )


def _tonight(gathering: Gathering, in_the_books: list[int]) -> list[Volunteer]:
    """Return those expected, those who came and those credited, by name."""
    expected = gathering.sign_ups.held().values("volunteer")
    rows = Volunteer.objects.of(gathering.demonstration)
    tonight = Q(pk__in=in_the_books) | Q(pk__in=expected)
    return list(rows.filter(tonight).by_name())
