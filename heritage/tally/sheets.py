"""The book as files for a spreadsheet: CSV and XLSX."""

from collections.abc import Iterable, Iterator, Sequence

from django.utils.translation import gettext as _

from heritage.kits.tables.write import Cell, csv_table, xlsx_book
from heritage.tally.selectors import BookLine
from heritage.tally.statements.selectors import PersonStatement


def book_csv(lines: Iterable[BookLine]) -> Iterator[str]:
    """Write the book as CSV, a line at a time; UTF-8 with its mark before it."""
    return csv_table(_heads(), (_cells(line) for line in lines))


def book_xlsx(
    lines: Iterable[BookLine],
    work: Iterable[BookLine],
    people: Sequence[PersonStatement],
) -> bytes:
    """Write the book as a workbook: the lines, other work, and people's sums."""
    heads = [_("Name"), _("Beets"), _("Stooks"), _("Beets over"), _("Hours")]
    heads += [_("Token pay, farthings"), _("Token pay"), _("Still to be confirmed")]
    return xlsx_book(
        [
            (_("Book"), _heads(), (_cells(line) for line in lines)),
            (_("Other work"), _heads(), (_cells(line) for line in work)),
            (_("People"), heads, (_sums(person) for person in people)),
        ]
    )


def _heads() -> list[str]:
    return [
        _("Line"),
        _("Day"),
        _("Gathering"),
        _("Name"),
        _("Plot"),
        _("Pulled or done"),
        _("How many"),
        _("Comes from"),
        _("Crew"),
        _("Corrects line"),
        _("Reason or note"),
        _("Entered at"),
        _("Entered by"),
    ]


def _cells(line: BookLine) -> list[Cell]:
    return [
        line.number,
        f"{line.evening:%Y-%m-%d}",
        line.gathering,
        line.person,
        line.plot,
        line.what,
        line.amount,
        line.source,
        line.crew,
        line.corrects or "",
        line.reason,
        f"{line.entered_at:%Y-%m-%d %H:%M}",
        line.entered_by,
    ]


def _sums(person: PersonStatement) -> list[Cell]:
    return [
        person.volunteer.name,
        person.beets,
        person.settled.stooks,
        person.settled.beets_over,
        str(person.hours),
        person.settled.farthings,
        person.pay.old,
        person.unconfirmed,
    ]
