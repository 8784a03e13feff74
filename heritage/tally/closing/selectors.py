"""An evening's sheet: who came, from when to when, and what each pulled."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from heritage.gatherings.gate.selectors import TurnoutRow, turnout_page
from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer
from heritage.tally.selectors import EveningBook, evening_book


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One person's line: their times, the book's beets, and those they said."""

    turnout: TurnoutRow
    booked: int
    # What they wrote of themselves, and nobody has confirmed.
    said: int

    @property
    def volunteer(self) -> Volunteer:
        return self.turnout.volunteer


@dataclass(frozen=True, slots=True)
class EveningSheet:
    """Everybody who came or was expected, with what the gate and the phone have."""

    gathering: Gathering
    rows: tuple[SheetRow, ...]
    others: tuple[Volunteer, ...]
    book: EveningBook
    is_over: bool

    @property
    def came(self) -> int:
        return sum(row.turnout.came for row in self.rows)


def evening_sheet(gathering: Gathering, reader: User, now: datetime) -> EveningSheet:
    """Return an evening's sheet for who writes it: eleven queries at most.

    What the reader says they pulled themselves is for somebody else to confirm.
    """
    page, book = turnout_page(gathering, now), evening_book(gathering)
    booked = {row.volunteer.pk: row.beets for row in book.rows}
    said: dict[int, int] = {}
    for log in book.unanswered:
        if log.volunteer.user_id != reader.pk:
            said[log.volunteer_id] = said.get(log.volunteer_id, 0) + log.beets
    rows = [*page.rows, *_only_booked(page.rows, book)]
    known = {row.volunteer.pk for row in rows}
    return EveningSheet(
        gathering=gathering,
        rows=tuple(
            SheetRow(
                row, booked.get(row.volunteer.pk, 0), said.get(row.volunteer.pk, 0)
            )
            for row in rows
        ),
        others=tuple(one for one in page.others if one.pk not in known),
        book=book,
        is_over=now >= gathering.ends_at,
    )


def _only_booked(rows: Iterable[TurnoutRow], book: EveningBook) -> Iterable[TurnoutRow]:
    """Return those who have beets, or said so, and are on no list."""
    there = {row.volunteer.pk for row in rows}
    people = {row.volunteer.pk: row.volunteer for row in book.rows}
    people |= {log.volunteer_id: log.volunteer for log in book.unanswered}
    return [
        TurnoutRow(person, "", None, None)
        for pk, person in people.items()
        if pk not in there
    ]
