"""Tables read from CSV and XLSX, bounded in every direction, every cell as text.

Nothing in a file is worked out: a formula's cell gives the value that was saved with
it, and text that looks like a formula stays text. A formula without a saved value,
as some programs write it, is empty, and its line says so.
"""

import csv
import zipfile
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from enum import StrEnum
from io import BytesIO, StringIO
from typing import Any, Final, NamedTuple

from openpyxl import load_workbook

from heritage.kits.tables.write import unplain

BYTES_MOST: Final = 2 * 1024 * 1024
ROWS_MOST: Final = 2_000
COLUMNS_MOST: Final = 40
CELL_MOST: Final = 1_000
# An honest list of two thousand people unpacks to well under a tenth of this.
UNPACKED_MOST: Final = 30 * 1024 * 1024
PARTS_MOST: Final = 200
# Spreadsheets leave empty lines behind; so many are passed over, no more.
LINES_MOST: Final = 20_000
ZIP = b"PK\x03\x04"
# The oldest workbooks, and those with a password, are no zip but this.
OLD_BOOK = b"\xd0\xcf\x11\xe0"
DELIMITERS = (",", ";", "\t")
SHOWN = 25


class Why(StrEnum):
    """Why a file cannot be read as a table."""

    EMPTY = "empty"
    TOO_BIG = "too_big"
    TOO_MANY_ROWS = "too_many_rows"
    TOO_MANY_COLUMNS = "too_many_columns"
    CELL_TOO_LONG = "cell_too_long"
    UNPACKS_TOO_BIG = "unpacks_too_big"
    OLD_WORKBOOK = "old_workbook"
    NOT_A_WORKBOOK = "not_a_workbook"
    NOT_TEXT = "not_text"


class UnreadableError(ValueError):
    """A file that cannot be read as a table, with why."""

    def __init__(self, why: Why) -> None:
        super().__init__(why.value)
        self.why = why


class TableRow(NamedTuple):
    """One line of a table: its number in the file, from 1, and its cells.

    ``unsaved`` are the columns, from 0, whose formulas came without their values.
    """

    number: int
    cells: tuple[str, ...]
    unsaved: tuple[int, ...] = ()


class Formula(str):
    """What stands in a cell whose formula came without its value: nothing."""

    __slots__ = ()


def read_table(data: bytes) -> list[TableRow]:
    """Read a file's filled lines, all of one width.

    Parameters
    ----------
    data : bytes
        A CSV file (UTF-8, UTF-16 with its mark, or Windows-1252; commas, semicolons
        or tabs) or an XLSX workbook, whose first filled sheet in sight
        is read.

    Returns
    -------
    list of TableRow
        At least one; empty lines are left out, and cells are trimmed.

    Raises
    ------
    UnreadableError
        If the file is empty, too large in any direction, or no table.
    """
    if len(data) > BYTES_MOST:
        raise UnreadableError(Why.TOO_BIG)
    if data.startswith(OLD_BOOK):
        raise UnreadableError(Why.OLD_WORKBOOK)
    sheets = _book(data) if data.startswith(ZIP) else iter([_csv(data)])
    for sheet in sheets:
        if lines := _filled(sheet):
            width = max(len(line.cells) for line in lines)
            return [
                line._replace(cells=line.cells + ("",) * (width - len(line.cells)))
                for line in lines
            ]
    raise UnreadableError(Why.EMPTY)


def _filled(rows: Iterable[Iterable[str]]) -> list[TableRow]:
    lines: list[TableRow] = []
    for number, row in enumerate(rows, start=1):
        if number > LINES_MOST:
            raise UnreadableError(Why.TOO_MANY_ROWS)
        cells = _trimmed(row)
        if not cells:
            continue
        if len(cells) > COLUMNS_MOST:
            raise UnreadableError(Why.TOO_MANY_COLUMNS)
        if max(map(len, cells)) > CELL_MOST:
            raise UnreadableError(Why.CELL_TOO_LONG)
        # The headings are a line too.
        if len(lines) > ROWS_MOST:
            raise UnreadableError(Why.TOO_MANY_ROWS)
        unsaved = (at for at, cell in enumerate(cells) if isinstance(cell, Formula))
        lines.append(TableRow(number, tuple(map(str, cells)), tuple(unsaved)))
    return lines


def _trimmed(row: Iterable[str]) -> list[str]:
    cells = [
        cell if isinstance(cell, Formula) else " ".join(unplain(cell).split())
        for cell in row
    ]
    while cells and not cells[-1] and not isinstance(cells[-1], Formula):
        cells.pop()
    return cells


def _csv(data: bytes) -> list[list[str]]:
    text = _text(data)
    first, _, rest = text.partition("\n")
    # Some spreadsheets say their delimiter in a line of its own.
    if first.strip().lower().startswith("sep=") and len(first.strip()) == len("sep=,"):
        return _cut(rest, first.strip()[-1])
    return _cut(text, _delimiter(text))


def _text(data: bytes) -> str:
    try:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            text = data.decode("utf-16")
        else:
            text = _eight_bit(data)
    except UnicodeDecodeError as error:
        raise UnreadableError(Why.NOT_TEXT) from error
    if "\x00" in text:
        raise UnreadableError(Why.NOT_TEXT)
    return text


def _eight_bit(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252")


def _cut(text: str, delimiter: str) -> list[list[str]]:
    try:
        return list(csv.reader(StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise UnreadableError(Why.CELL_TOO_LONG) from error


def _delimiter(text: str) -> str:
    """Choose what cuts the first lines into the most columns, most evenly."""
    head = "".join(text.splitlines(keepends=True)[:SHOWN])

    def evenness(delimiter: str) -> tuple[int, int]:
        rows = [row for row in _cut(head, delimiter) if any(row)]
        width = len(rows[0]) if rows else 1
        same = sum(len(row) == width for row in rows)
        return (same if width > 1 else 0, width)

    return max(DELIMITERS, key=evenness)


def _book(data: bytes) -> Iterator[Iterator[list[str]]]:
    try:
        _require_honest_parts(data)
        values = load_workbook(BytesIO(data), read_only=True, data_only=True)
        formulas = load_workbook(BytesIO(data), read_only=True)
        for sheet, asked in zip(values.worksheets, formulas.worksheets, strict=True):
            # What the sender of the book does not see is not meant.
            if sheet.sheet_state == "visible":
                yield (
                    [_cell(value, formula) for value, formula in zip(*row, strict=True)]
                    for row in zip(_rows(sheet), _rows(asked), strict=True)
                )
    except UnreadableError:
        raise
    # A crafted or broken workbook fails in as many ways as there are parts in it.
    except Exception as error:
        raise UnreadableError(Why.NOT_A_WORKBOOK) from error


def _rows(sheet: Any) -> Iterator[tuple[Any, ...]]:
    sheet.reset_dimensions()
    rows: Iterator[tuple[Any, ...]] = sheet.iter_rows(max_col=COLUMNS_MOST + 1)
    return rows


def _cell(value: Any, formula: Any) -> str:
    """Say what a cell holds, or that its formula came without a value.

    A formula that gave empty text says by its type (``str``) that it was worked out.
    """
    asked = formula.data_type == "f" and value.value is None
    return Formula() if asked and value.data_type != "str" else _said(value.value)


def _require_honest_parts(data: bytes) -> None:
    """Refuse a workbook that unpacks too big, or whose XML declares entities."""
    with zipfile.ZipFile(BytesIO(data)) as parts:
        infos = parts.infolist()
        if len(infos) > PARTS_MOST or sum(p.file_size for p in infos) > UNPACKED_MOST:
            raise UnreadableError(Why.UNPACKS_TOO_BIG)
        # No more is ever unpacked from a part than the size checked here.
        for part in infos:
            if part.filename.lower().endswith((".xml", ".rels")):
                words = parts.read(part).replace(b"\x00", b"")
                if b"<!DOCTYPE" in words or b"<!ENTITY" in words:
                    raise UnreadableError(Why.NOT_A_WORKBOOK)


def _said(value: Any) -> str:
    """Say a cell's value as somebody would have typed it."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        at_midnight = value.time() == datetime.min.time()
        return f"{value:%Y-%m-%d}" if at_midnight else f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, date):
        return f"{value:%Y-%m-%d}"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
