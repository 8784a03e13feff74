"""What a logger's file says, line by line, before anything of it is judged.

A file may have any of six marks between its columns, a decimal comma or point, °C or
°F, headings or none, ISO or day-first dates, UTF-8, UTF-16 or Latin-1. What it does not
say, whose clock and which of its temperatures, is asked by a `Look`.
"""

import csv
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from decimal import Decimal
from io import StringIO
from typing import Final, NamedTuple

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.common.moments import (
    day_in,
    holds_a_day,
    is_time_of_day,
    moment_in,
    offset_in,
)

MAX_BYTES: Final = 4 * 1024 * 1024
MAX_ROWS: Final = 60_000
LONGEST_CELL: Final = 1000
NO_ROWS: Final = gettext_lazy(
    "This file is not built in rows and columns. Save the log as CSV."
)
LONGEST_SHOWN: Final = 80
# Loggers write their name, number and settings above the headings.
PREAMBLE_LINES: Final = 30
TENTH: Final = Decimal("0.1")

_SPACES, _WIDE_SPACES = " ", "  "
_MARKS: Final = ("\t", ";", "|", ",", _WIDE_SPACES, _SPACES)
_NUMBER: Final = re.compile(r"([+-]?\d{1,6}(?:[.,]\d{1,12})?)\s*(?:°?\s*([cCfF]))?")
_TIME_WORD: Final = re.compile(r"date|time|stamp|datum|zeit|moment", re.I)
_TEMP_WORD: Final = re.compile(r"temp|celsius|fahrenheit|water|probe|°\s*[cf]", re.I)
_BARE_UNIT: Final = re.compile(r"\W*[cf]\W*", re.I)
_FAHRENHEIT: Final = re.compile(r"fahrenheit|°\s*f\b|\(f\)", re.I)
_OFFSET: Final = re.compile(r"\b(?:gmt|utc)\b\s*([+-][01]?\d(?::?\d{2})?)?", re.I)


def mean_of(temps: Sequence[Decimal]) -> Decimal:
    """Return the mean of some temperatures, to a tenth of a degree."""
    return (sum(temps, Decimal(0)) / len(temps)).quantize(TENTH)


class Same(models.TextChoices):
    """What stands where the book has another temperature for a moment of the file."""

    BOOK = "book", gettext_lazy("keep what is in the book")
    MEAN = "mean", gettext_lazy("take the mean of the two; both are kept")
    FILE = "file", gettext_lazy("take the file's; the book's is kept, struck")


class Look(NamedTuple):
    """How a file is to be read; empty is as the file says, or as is usual.

    ``clock`` is an offset from UTC; ``unit`` is c or f; ``columns`` are the places of
    the temperatures, whose mean is taken.
    """

    clock: str = ""
    unit: str = ""
    columns: tuple[int, ...] = ()
    same: str = Same.BOOK.value


class Column(NamedTuple):
    """A column that may be the water's temperature: its place, heading and a sample."""

    place: int
    heading: str
    sample: str


class FileLine(NamedTuple):
    """One line of the file: what it says, what becomes of it, or why it is left out.

    ``apart`` is how far its temperatures lie apart, in °C; ``joined_to`` the line that
    speaks for it, where two are of one moment; ``is_known`` says the book has it.
    """

    number: int
    text: str
    at: datetime | None = None
    temp_c: Decimal | None = None
    why_not: str = ""
    doubt: str = ""
    note: str = ""
    apart: float = 0.0
    joined_to: int = 0
    is_known: bool = False

    @property
    def is_good(self) -> bool:
        return not self.why_not


@dataclass(frozen=True, slots=True)
class LoggerFile:
    """A file as it was read: its lines, and what was found out about it.

    It has no lines while it must first be asked which ``columns`` are the water.
    """

    lines: tuple[FileLine, ...]
    columns: tuple[Column, ...]
    chosen: tuple[int, ...]
    is_fahrenheit: bool
    states_its_time: bool

    @property
    def is_asking(self) -> bool:
        """Whether nobody has said yet which of its temperatures is the water's."""
        return not self.chosen


class _Columns(NamedTuple):
    """Where the moment and the temperatures stand, in which unit and whose time."""

    times: tuple[int, ...]
    temps: tuple[Column, ...]
    width: int
    zone: tzinfo
    is_fahrenheit: bool = False
    states_its_time: bool = False
    has_headings: bool = True

    def chosen(self, wanted: Sequence[int]) -> tuple[int, ...]:
        """Return the temperatures to read: those asked for, or the only one."""
        places = [one.place for one in self.temps]
        told = tuple(place for place in places if place in wanted)
        if told or (self.has_headings and len(places) > 1):
            return told
        return tuple(places[:1])


Numbered = list[tuple[int, list[str]]]


def read_file(data: bytes, *, zone: tzinfo, look: Look = Look()) -> LoggerFile:  # noqa: B008
    """Read every line that could hold a reading, good or bad.

    Raises
    ------
    ValidationError
        If the file as a whole cannot be taken: too large, no text, no readings.
    """
    if len(data) > MAX_BYTES:
        raise ValidationError(
            _("The file is larger than 4 MB. Save a shorter stretch of the log.")
        )
    text = _decode(data)
    zone = offset_in(look.clock) if look.clock else zone
    numbered = _cut(text, _mark(text, zone))
    start, columns = _columns(numbered, zone)
    body = numbered[start:]
    if len(body) > MAX_ROWS:
        raise ValidationError(
            _("The file has more than 60,000 rows. Save a shorter stretch of the log.")
        )
    if not body:
        raise ValidationError(
            _("There's nothing below the headings. Choose another file.")
        )
    if look.unit:
        columns = columns._replace(is_fahrenheit=look.unit == "f")
    chosen = columns.chosen(look.columns)
    return LoggerFile(
        lines=tuple(_lines(body, columns, chosen)) if chosen else (),
        columns=columns.temps,
        chosen=chosen,
        is_fahrenheit=columns.is_fahrenheit,
        states_its_time=columns.states_its_time,
    )


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


def _mark(text: str, zone: tzinfo) -> str:
    """Return the mark between columns: that by which most of the first lines read."""
    head = "\n".join(text.splitlines()[: 2 * PREAMBLE_LINES])
    return max(_MARKS, key=lambda mark: _read_by(head, mark, zone))


def _read_by(head: str, mark: str, zone: tzinfo) -> int:
    """Count the first lines that a mark lets be read; -1 if it finds no columns."""
    try:
        rows = _cut(head, mark)
        start, columns = _columns(rows, zone)
    except ValidationError:
        return -1
    places = [one.place for one in columns.temps[:1]]
    return sum(line.is_good for line in _lines(rows[start:], columns, places))


def _cut(text: str, mark: str) -> Numbered:
    """Cut the text into rows of cells, numbered as the file's lines."""
    if mark in (_SPACES, _WIDE_SPACES):
        parts = re.compile(r"\s+" if mark == _SPACES else r"\s{2,}")
        lines = enumerate(text.splitlines(), start=1)
        rows = [(number, parts.split(line.strip())) for number, line in lines]
        return [(number, cells) for number, cells in rows if any(cells)]
    reader = csv.reader(StringIO(text, newline=""), delimiter=mark)
    try:
        rows = [(reader.line_num, [c.strip() for c in cells]) for cells in reader]
    except csv.Error as error:
        raise ValidationError(NO_ROWS) from error
    # What csv itself allows, another library may have changed.
    if any(len(cell) > LONGEST_CELL for _number, cells in rows for cell in cells):
        raise ValidationError(NO_ROWS)
    return [(number, cells) for number, cells in rows if any(cells)]


def _columns(rows: Numbered, zone: tzinfo) -> tuple[int, _Columns]:
    """Find the columns by their headings or, without any, by what stands in them."""
    for index, (_number, cells) in enumerate(rows[:PREAMBLE_LINES]):
        below = rows[index + 1][1] if index + 1 < len(rows) else []
        columns = _by_heading(cells, below, zone)
        if columns:
            return index + 1, columns
        columns = _by_content(cells, zone)
        if columns:
            return index, columns
    raise ValidationError(
        _(
            "We couldn't find the times or the temperatures. The file needs one "
            "column with the date and time, and one with the water temperature."
        )
    )


def _by_heading(cells: list[str], below: list[str], zone: tzinfo) -> _Columns | None:
    if any(holds_a_day(cell) for cell in cells):
        return None
    times = [i for i, cell in enumerate(cells) if _TIME_WORD.search(cell)]
    temps = [i for i, cell in enumerate(cells) if _is_temp(cell) and i not in times]
    if not times or not temps:
        return None
    # A date beside its time of day makes one moment; more columns are others.
    apart = len(times) > 1 and not re.search(r"time|zeit|stamp", cells[times[0]], re.I)
    used = tuple(times[:2]) if apart else (times[0],)
    stated = _stated(cells, used)
    return _Columns(
        times=used,
        temps=tuple(_column(i, cells[i], below) for i in temps),
        width=len(cells),
        zone=stated or zone,
        is_fahrenheit=bool(_FAHRENHEIT.search(cells[temps[0]])),
        states_its_time=stated is not None,
    )


def _is_temp(heading: str) -> bool:
    return bool(_TEMP_WORD.search(heading) and not _BARE_UNIT.fullmatch(heading))


def _column(place: int, heading: str, below: list[str]) -> Column:
    return Column(place, heading[:40], below[place][:12] if place < len(below) else "")


def _stated(cells: list[str], used: tuple[int, ...]) -> tzinfo | None:
    """Return the offset from UTC that a heading states, if one does."""
    for index in used:
        match = _OFFSET.search(cells[index])
        if match:
            return offset_in(match[1] or "Z")
    return None


def _by_content(cells: list[str], zone: tzinfo) -> _Columns | None:
    for index, cell in enumerate(cells):
        day = day_in(cell)
        if not day:
            continue
        beside = cells[index + 1] if index + 1 < len(cells) else ""
        apart = day.end() == len(cell) and is_time_of_day(beside)
        used = (index, index + 1) if apart else (index,)
        temp = used[-1] + 1
        if temp < len(cells):
            count = _whole_count(cells, temp)
            places = [
                i for i in range(temp, count) if i == temp or _is_number(cells[i])
            ]
            temps = tuple(_column(i, _("column %d") % (i + 1), cells) for i in places)
            return _Columns(used, temps, count, zone, has_headings=False)
    return None


def _is_number(cell: str) -> bool:
    return bool(_NUMBER.fullmatch(cell))


def _whole_count(cells: list[str], temp: int) -> int:
    """Count the columns; two whole numbers side by side may be one, cut in two."""
    pair = cells[temp : temp + 2]
    cut = len(pair) == 2 and all(cell.lstrip("+-").isdigit() for cell in pair)
    return temp + 1 if cut else len(cells)


def _lines(
    rows: Numbered, columns: _Columns, chosen: Sequence[int]
) -> Iterator[FileLine]:
    """Read each line, or say what is wrong with it."""
    read = _one_of(columns, chosen)
    for number, cells in rows:
        text = "  ".join(cells)[:LONGEST_SHOWN]
        try:
            at, temps = read(cells)
        except ValueError as problem:
            yield FileLine(number, text, why_not=str(problem))
        else:
            temp = mean_of(temps)
            apart = float(max(temps) - min(temps))
            yield FileLine(number, text, at, temp, apart=apart)


def _one_of(
    columns: _Columns, chosen: Sequence[int]
) -> Callable[[list[str]], tuple[datetime, list[Decimal]]]:
    """Return what reads one row of a file with these columns."""

    def read(cells: list[str]) -> tuple[datetime, list[Decimal]]:
        if len(cells) > columns.width and any(cells[columns.width :]):
            raise ValueError(
                _(
                    "more columns than the rows above. Has a decimal comma split a "
                    "number in two?"
                )
            )
        known = len(cells)
        at = moment_in(
            " ".join(cells[i] for i in columns.times if i < known), columns.zone
        )
        temps = [
            degrees(cells[i] if i < known else "", columns.is_fahrenheit)
            for i in chosen
        ]
        return at, temps

    return read


def degrees(text: str, is_fahrenheit: bool = False) -> Decimal:
    """Read a water temperature, to a tenth of a degree Celsius.

    A cell that says its own unit is believed.

    Raises
    ------
    ValueError
        With the sentence that says what is wrong.
    """
    if not text:
        raise ValueError(_("no temperature"))
    match = _NUMBER.fullmatch(text.replace("\N{MINUS SIGN}", "-"))
    if not match:
        raise ValueError(_("“%s” isn't a number") % text[:20])
    temp = Decimal(match[1].replace(",", "."))
    if match[2] in ("f", "F") or (is_fahrenheit and not match[2]):
        temp = (temp - 32) * 5 / 9
    temp = temp.quantize(TENTH)
    if not -5 <= temp <= 60:
        raise ValueError(_("%s °C: dam water is between -5 and 60 °C") % temp)
    return temp
