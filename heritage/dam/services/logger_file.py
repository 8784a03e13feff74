"""A temperature logger's file, line by line: read as it stands, never guessed at.

Nothing here reaches the database. Commas, semicolons or tabs; decimal comma or point;
with headings or without; ISO or day-first dates; UTF-8, UTF-16 or Latin-1.
"""

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from decimal import Decimal
from io import StringIO
from typing import Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.dam.services.logger_cells import (
    CLOCK,
    DAY_FIRST,
    ISO_DAY,
    degrees,
    holds_a_day,
    moment,
    offset,
)

MAX_BYTES: Final = 1024 * 1024
MAX_ROWS: Final = 20_000
LONGEST_SHOWN: Final = 80
# Loggers write their name, number and settings above the headings.
PREAMBLE_LINES: Final = 30

_TIME_WORD: Final = re.compile(r"date|time|stamp|datum|zeit|moment", re.I)
_TEMP_WORD: Final = re.compile(r"temp|celsius|fahrenheit|water|°\s*[cf]", re.I)
_FAHRENHEIT: Final = re.compile(r"fahrenheit|°\s*f\b|\(f\)", re.I)
_OFFSET: Final = re.compile(r"\b(?:gmt|utc)\b\s*([+-][01]?\d(?::?\d{2})?)?", re.I)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the file: what it says, or why it cannot be taken."""

    number: int
    text: str
    at: datetime | None = None
    temp_c: Decimal | None = None
    why_not: str = ""
    doubt: str = ""

    @property
    def is_good(self) -> bool:
        return not self.why_not


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where the moment and the warmth stand, and in whose time."""

    time: tuple[int, ...]
    temp: int
    count: int
    zone: tzinfo


def read_file(data: bytes, *, zone: tzinfo) -> tuple[Line, ...]:
    """Read every line that could hold a reading, good or bad.

    Raises
    ------
    ValidationError
        If the file as a whole cannot be taken: too large, no text, no readings.
    """
    if len(data) > MAX_BYTES:
        raise ValidationError(
            _("The file is larger than 1 MB. Save a shorter stretch of the log.")
        )
    numbered = _rows(_decode(data))
    start, columns = _columns(numbered, zone)
    body = numbered[start:]
    if len(body) > MAX_ROWS:
        raise ValidationError(
            _("The file has more than 20,000 rows. Save a shorter stretch of the log.")
        )
    lines = tuple(_line(number, cells, columns) for number, cells in body)
    if not lines:
        raise ValidationError(_("There are headings in this file, but no readings."))
    return lines


def _decode(data: bytes) -> str:
    """Turn the bytes into text; every byte is a Latin-1 letter if nothing else."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    elif b"\0" in data[:2]:
        encodings = ["utf-16-le" if data[1:2] == b"\0" else "utf-16-be"]
    else:
        encodings = ["utf-8-sig", "latin-1"]
    for encoding in encodings:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise ValidationError(
        _("This is not a text file. Save the log as CSV, then choose that file.")
    )


def _rows(text: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(StringIO(text, newline=""), delimiter=_delimiter(text))
    try:
        rows = [(reader.line_num, [c.strip() for c in cells]) for cells in reader]
    except csv.Error as error:
        raise ValidationError(
            _("This file is not built in rows and columns. Save the log as CSV.")
        ) from error
    return [(number, cells) for number, cells in rows if any(cells)]


def _delimiter(text: str) -> str:
    """Return the mark between columns: what a comma means depends on it."""
    sample = "\n".join(text.splitlines()[: PREAMBLE_LINES * 2])
    for mark in ("\t", ";"):
        if mark in sample:
            return mark
    return ","


def _columns(
    rows: Sequence[tuple[int, list[str]]], zone: tzinfo
) -> tuple[int, _Columns]:
    """Find the columns by their headings or, without any, by what stands in them."""
    for index, (_number, cells) in enumerate(rows[:PREAMBLE_LINES]):
        columns = _by_heading(cells, zone)
        if columns:
            return index + 1, columns
        columns = _by_content(cells, zone)
        if columns:
            return index, columns
    raise ValidationError(
        _(
            "No column of times and no column of temperatures was found. The file "
            "needs a column with the date and time and one with the water in °C."
        )
    )


def _by_heading(cells: list[str], zone: tzinfo) -> _Columns | None:
    if any(holds_a_day(cell) for cell in cells):
        return None
    times = [i for i, cell in enumerate(cells) if _TIME_WORD.search(cell)]
    temps = [
        i for i, cell in enumerate(cells) if _TEMP_WORD.search(cell) and i not in times
    ]
    if not times or not temps:
        return None
    if _FAHRENHEIT.search(cells[temps[0]]):
        raise ValidationError(
            _("These temperatures are in Fahrenheit. Save the log in °C.")
        )
    # A date beside its time of day makes one moment; more columns are others.
    apart = len(times) > 1 and not re.search(r"time|zeit|stamp", cells[times[0]], re.I)
    used = tuple(times[:2]) if apart else (times[0],)
    return _Columns(used, temps[0], len(cells), _stated(cells, used, zone))


def _stated(cells: list[str], used: tuple[int, ...], zone: tzinfo) -> tzinfo:
    """Return the offset that a heading states, or else the demonstration's zone."""
    for index in used:
        found = _OFFSET.search(cells[index])
        if found:
            return offset(found[1] or "Z")
    return zone


def _by_content(cells: list[str], zone: tzinfo) -> _Columns | None:
    for index, cell in enumerate(cells):
        day = ISO_DAY.match(cell) or DAY_FIRST.match(cell)
        if not day:
            continue
        beside = cells[index + 1] if index + 1 < len(cells) else ""
        apart = day.end() == len(cell) and CLOCK.fullmatch(beside)
        used = (index, index + 1) if apart else (index,)
        temp = used[-1] + 1
        if temp < len(cells):
            return _Columns(used, temp, _whole_count(cells, temp), zone)
    return None


def _whole_count(cells: list[str], temp: int) -> int:
    """Count the columns; two whole numbers side by side may be one, cut in two."""
    pair = cells[temp : temp + 2]
    cut = len(pair) == 2 and all(cell.lstrip("+-").isdigit() for cell in pair)
    return temp + 1 if cut else len(cells)


def _line(number: int, cells: list[str], columns: _Columns) -> Line:
    """Read one line, or say what is wrong with it."""
    text = "  ".join(cells)[:LONGEST_SHOWN]
    problems: list[str] = []
    at = temp = None
    try:
        _refuse_two_commas(cells, columns)
        at = moment(" ".join(_cells(cells, columns.time)), columns.zone)
        temp = degrees("".join(_cells(cells, (columns.temp,))))
    except ValueError as problem:
        problems.append(str(problem))
    return Line(number, text, at, temp, "".join(problems))


def _cells(cells: list[str], wanted: tuple[int, ...]) -> Iterator[str]:
    return (cells[i] for i in wanted if i < len(cells))


def _refuse_two_commas(cells: list[str], columns: _Columns) -> None:
    if len(cells) > columns.count and any(cells[columns.count :]):
        raise ValueError(
            _("more columns than above: is a decimal comma taken for a new column?")
        )
