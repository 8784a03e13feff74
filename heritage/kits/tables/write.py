"""Tables written as CSV and XLSX, harmless whatever somebody typed.

A name or a reason that begins like a formula must stay what it is when the file is
opened: such text gets an apostrophe before it, in both formats. `unplain` takes that
apostrophe away again, so a file of ours can be read back as it was.
"""

import csv
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from io import BytesIO, StringIO
from typing import Any

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

Cell = str | int
MARK = "\ufeff"
# What a spreadsheet may take for the start of a formula, wherever the reader
# lives: the wide and small forms of these too, and the minus that books are set with.
SIGNS = "=+-@\u2212"
# What may stand before one without being seen: every kind of space, control and
# format sign (category Z and C), and these, which are letters or marks by category.
UNSEEN = frozenset(
    "\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\uffa0"
    + "".join(map(chr, range(0xFE00, 0xFE10)))
)
BREAKS = "\t\r\n"
# What a sheet's XML cannot hold.
UNWRITABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def plain(text: str) -> str:
    """Return text that no spreadsheet takes for a formula."""
    text = UNWRITABLE.sub("", text)
    return f"'{text}" if _may_be_formula(text) else text


def unplain(text: str) -> str:
    """Return text as it was before `plain` put an apostrophe to it."""
    marked = text.startswith("'") and _may_be_formula(text)
    return text[1:] if marked else text


def _may_be_formula(text: str) -> bool:
    """Tell whether the first sign to be seen could begin a formula.

    Apostrophes before it are counted in, so that text which came with one is told
    from text which got one.
    """
    for sign in text.lstrip("'"):
        if sign in BREAKS or unicodedata.normalize("NFKC", sign)[:1] in SIGNS:
            return True
        if unicodedata.category(sign)[0] not in "ZC" and sign not in UNSEEN:
            return False
    return False


def csv_line(cells: Sequence[Cell]) -> str:
    """Write one line of CSV."""
    file = StringIO()
    csv.writer(file).writerow(
        [plain(cell) if isinstance(cell, str) else cell for cell in cells]
    )
    return file.getvalue()


def csv_table(heads: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[str]:
    """Write a table as CSV, a line at a time; UTF-8 with its mark before it."""
    yield MARK
    yield csv_line(heads)
    for row in rows:
        yield csv_line(row)


def xlsx_book(
    sheets: Iterable[tuple[str, Sequence[str], Iterable[Sequence[Cell]]]],
) -> bytes:
    """Write a workbook: for each sheet its title, its headings and its rows."""
    book = Workbook(write_only=True)
    for title, heads, rows in sheets:
        sheet = book.create_sheet(title)
        sheet.append([_cell(sheet, head) for head in heads])
        for row in rows:
            sheet.append([_cell(sheet, cell) for cell in row])
    file = BytesIO()
    book.save(file)
    return file.getvalue()


def _cell(sheet: Any, cell: Cell) -> object:
    if not isinstance(cell, str):
        return cell
    written = WriteOnlyCell(sheet, plain(cell))
    written.data_type = "s"
    return written
