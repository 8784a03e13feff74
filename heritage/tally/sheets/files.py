"""The book as files for a spreadsheet: CSV and XLSX.

A name or a reason that begins like a formula must stay what it is when the file is
opened: such text gets an apostrophe before it, in both formats.
"""

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from io import BytesIO, StringIO
from typing import Any

from django.utils.translation import gettext as _
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from heritage.tally.selectors import PersonStatement
from heritage.tally.selectors.lines import BookLine

Cell = str | int
# What a spreadsheet may take for the start of a formula.
STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
# What a sheet's XML cannot hold.
UNWRITABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def plain(text: str) -> str:
    """Return text that no spreadsheet takes for a formula."""
    text = UNWRITABLE.sub("", text)
    return f"'{text}" if text.lstrip(" ").startswith(STARTS) else text


def book_csv(lines: Iterable[BookLine]) -> Iterator[str]:
    """Write the book as CSV, a line at a time; UTF-8 with its mark before it."""
    yield "\ufeff"
    yield _csv_row(_heads())
    for line in lines:
        yield _csv_row(_cells(line))


def book_xlsx(
    lines: Iterable[BookLine],
    work: Iterable[BookLine],
    people: Sequence[PersonStatement],
) -> bytes:
    """Write the book as a workbook: the lines, other work, and people's sums."""
    book = Workbook(write_only=True)
    _fill(book, _("Book"), _heads(), (_cells(line) for line in lines))
    _fill(book, _("Other work"), _heads(), (_cells(line) for line in work))
    heads = [_("Name"), _("Beets"), _("Stooks"), _("Beets over"), _("Hours")]
    heads += [_("Token pay, farthings"), _("Token pay"), _("Still to be confirmed")]
    _fill(book, _("People"), heads, (_sums(person) for person in people))
    made = BytesIO()
    book.save(made)
    return made.getvalue()


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


def _csv_row(cells: Sequence[Cell]) -> str:
    made = StringIO()
    csv.writer(made).writerow(
        [plain(cell) if isinstance(cell, str) else cell for cell in cells]
    )
    return made.getvalue()


def _fill(
    book: Workbook, title: str, heads: Sequence[str], rows: Iterable[Sequence[Cell]]
) -> None:
    sheet = book.create_sheet(title)
    sheet.append(list(heads))
    for row in rows:
        sheet.append([_xlsx_cell(sheet, cell) for cell in row])


def _xlsx_cell(sheet: Any, cell: Cell) -> object:
    if not isinstance(cell, str):
        return cell
    made = WriteOnlyCell(sheet, plain(cell))
    made.data_type = "s"
    return made
