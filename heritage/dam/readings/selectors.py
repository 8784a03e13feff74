"""What a logger's file says, line by line, and what water could hardly give.

A file may have commas, semicolons or tabs; decimal comma or point; headings or none;
ISO or day-first dates; UTF-8, UTF-16 or Latin-1. Nothing is written here.
"""

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from decimal import Decimal
from io import StringIO
from typing import Final, NamedTuple

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.calc import water
from heritage.dam.models import Reading, Ret


class Read(NamedTuple):
    """A moment and the temperature then."""

    at: datetime
    temp_c: Decimal


def doubt(read: Read, neighbours: Iterable[Read]) -> str:
    """Say why a reading can hardly be, beside those before and after; or nothing."""
    if water.could_be_fahrenheit(float(read.temp_c)):
        celsius = f"{water.to_celsius(float(read.temp_c)):.1f}"
        words = _("Is that in °F? %(temp)s °F is %(celsius)s °C.")
        return words % {"temp": read.temp_c, "celsius": celsius}
    if read.temp_c > water.WARMEST_C:
        return _("%s °C is warmer than a dam gets. Read it again.") % read.temp_c
    for other in neighbours:
        apart = abs(read.at - other.at)
        change = abs(float(read.temp_c - other.temp_c))
        if change > water.most_change(apart / timedelta(hours=1)):
            return _jump(read, other, apart)
    return ""


def _jump(read: Read, other: Read, apart: timedelta) -> str:
    hours = round(apart / timedelta(hours=1), 1)
    words = _(
        "%(temp)s °C, and %(other)s °C %(hours)s hours %(when)s: water hardly changes "
        "so fast. Read it again."
    )
    return words % {
        "temp": read.temp_c,
        "other": other.temp_c,
        "hours": f"{hours:g}",
        "when": _("earlier") if other.at < read.at else _("later"),
    }


ISO_DAY: Final = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?!\d)")
DAY_FIRST: Final = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})(?!\d)")
CLOCK: Final = re.compile(
    r"[T,\s]*(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([ap]\.?m\.?)?"
    r"\s*(Z|UTC|GMT|[+-][01]\d(?::?\d{2})?)?",
    re.I,
)
OFFSET: Final = re.compile(r"([+-])([01]?\d):?(\d{2})?")
_NUMBER: Final = re.compile(r"([+-]?\d{1,6}(?:[.,]\d{1,12})?)\s*(?:°?\s*[cC])?")


def holds_a_day(text: str) -> bool:
    """Tell whether a date stands anywhere in a cell."""
    return bool(ISO_DAY.search(text) or DAY_FIRST.search(text))


def degrees(text: str) -> Decimal:
    """Read a water temperature, to a tenth of a degree.

    Raises
    ------
    ValueError
        With the sentence that says what is wrong.
    """
    match = _NUMBER.fullmatch(text.replace("\N{MINUS SIGN}", "-").strip())
    if not text:
        raise ValueError(_("no temperature"))
    if not match:
        raise ValueError(_("“%s” is not a number") % text[:20])
    temp = Decimal(match[1].replace(",", ".")).quantize(Decimal("0.1"))
    if not -5 <= temp <= 60:
        raise ValueError(_("%s °C: dam water is between -5 and 60 °C") % temp)
    return temp


def moment(text: str, zone: tzinfo) -> datetime:
    """Read a date with its time of day: ISO, or the day first.

    Raises
    ------
    ValueError
        With the sentence that says what is wrong.
    """
    if not text.strip():
        raise ValueError(_("no time"))
    iso, day_first = ISO_DAY.match(text), DAY_FIRST.match(text)
    match = iso or day_first
    if not match:
        raise ValueError(_("“%s” is not a date") % text[:20])
    clock = CLOCK.fullmatch(text[match.end() :].rstrip())
    if not clock:
        raise ValueError(_("no time of day"))
    parts = [int(part) for part in match.groups()]
    year, month, day = parts if iso else parts[::-1]
    try:
        naive = datetime(_year(year), month, day, *_hours(clock))  # noqa: DTZ001
    except ValueError as error:
        raise ValueError(
            _("there is no such day or hour (is the day first?)")
        ) from error
    return _aware(naive, offset(clock[5]) if clock[5] else zone)


def _year(year: int) -> int:
    """Return the whole year; one that no logger has seen is refused."""
    whole = year if year > 99 else 2000 + year
    if not 1970 <= whole <= 2200:
        raise ValueError(str(year))
    return whole


def _hours(clock: re.Match[str]) -> tuple[int, int, int]:
    hour, half = int(clock[1]), (clock[4] or "").lower()[:1]
    if half:
        if not 1 <= hour <= 12:
            raise ValueError(clock[0])
        hour = hour % 12 + (12 if half == "p" else 0)
    return hour, int(clock[2]), int(clock[3] or 0)


def offset(text: str) -> tzinfo:
    """Return the offset from UTC that a file states, such as Z, GMT or +01:00."""
    match = OFFSET.fullmatch(text)
    if not match:
        return UTC
    size = timedelta(hours=int(match[2]), minutes=int(match[3] or 0))
    return timezone(-size if match[1] == "-" else size)


def _aware(naive: datetime, zone: tzinfo) -> datetime:
    """Say which instant a local time is; refuse one that the clocks skip or repeat."""
    first, second = (naive.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.utcoffset() != second.utcoffset():
        raise ValueError(_("the clocks changed: this time came twice, or not at all"))
    return first.astimezone(UTC)


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
class FileLine:
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


def read_file(data: bytes, *, zone: tzinfo) -> tuple[FileLine, ...]:
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
        match = _OFFSET.search(cells[index])
        if match:
            return offset(match[1] or "Z")
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


def _line(number: int, cells: list[str], columns: _Columns) -> FileLine:
    """Read one line, or say what is wrong with it."""
    text = "  ".join(cells)[:LONGEST_SHOWN]
    at, temp, why_not = None, None, ""
    try:
        _refuse_two_commas(cells, columns)
        at = moment(" ".join(_cells(cells, columns.time)), columns.zone)
        temp = degrees("".join(_cells(cells, (columns.temp,))))
    except ValueError as problem:
        why_not = str(problem)
    return FileLine(number, text, at, temp, why_not)


def _cells(cells: list[str], wanted: tuple[int, ...]) -> Iterator[str]:
    return (cells[i] for i in wanted if i < len(cells))


def _refuse_two_commas(cells: list[str], columns: _Columns) -> None:
    if len(cells) > columns.count and any(cells[columns.count :]):
        raise ValueError(
            _("more columns than above: is a decimal comma taken for a new column?")
        )


@dataclass(frozen=True, slots=True)
class Preview:
    """Every line of a file with its verdict; nothing of it is kept yet."""

    lines: tuple[FileLine, ...]

    @property
    def good(self) -> tuple[FileLine, ...]:
        return tuple(line for line in self.lines if line.is_good and not line.doubt)

    @property
    def doubtful(self) -> tuple[FileLine, ...]:
        """Those that water could hardly give: kept only if somebody says so."""
        return tuple(line for line in self.lines if line.is_good and line.doubt)

    @property
    def bad(self) -> tuple[FileLine, ...]:
        return tuple(line for line in self.lines if not line.is_good)

    @property
    def rows(self) -> list[Read]:
        """What would be kept."""
        return _reads(self.good)

    @property
    def doubtful_rows(self) -> list[Read]:
        """What would be kept besides, if somebody says so."""
        return _reads(self.doubtful)


def _reads(lines: Sequence[FileLine]) -> list[Read]:
    return [
        Read(line.at, line.temp_c)
        for line in lines
        if line.at and line.temp_c is not None
    ]


def preview_readings(*, ret: Ret, data: bytes, now: datetime) -> Preview:
    """Judge every line of a logger's file. Nothing is written.

    Raises
    ------
    ValidationError
        If the file as a whole cannot be taken.
    """
    lines = read_file(data, zone=ret.dam.demonstration.zone)
    standing = Reading.objects.in_ret(ret).standing()
    known = [Read(*row) for row in standing.values_list("at", "temp_c")]
    recorded = {read.at for read in known}
    first_seen: dict[datetime, int] = {}
    judged = []
    for line in lines:
        why_not = line.why_not
        if line.at and not why_not:
            why_not = _verdict(line.at, ret, now, first_seen, recorded)
        if line.at and not why_not:
            first_seen[line.at] = line.number
        judged.append(replace(line, why_not=why_not))
    doubts = _doubts(_reads([line for line in judged if line.is_good]), known)
    return Preview(
        tuple(
            replace(line, doubt=doubts.get(line.at, "")) if line.at else line
            for line in judged
        )
    )


def _doubts(new: Sequence[Read], known: Sequence[Read]) -> dict[datetime, str]:
    """Say which of a file's readings water could hardly give, by their moments.

    Each is held against the last one that nobody doubts, of the file or of the book,
    so that a stretch that is wrong is asked about whole.
    """
    before: list[Read] = []
    doubts = {}
    in_book = set(known)
    for read in sorted([*new, *known]):
        words = "" if read in in_book else doubt(read, before)
        if words:
            doubts[read.at] = words
        else:
            before = [read]
    return doubts


def out_of_time(ret: Ret, at: datetime, now: datetime) -> str:
    """Say why a moment is no moment of the ret, or nothing."""
    if at < ret.began_at:
        return _("before the flax went under water")
    if ret.lifted_at and at > ret.lifted_at:
        return _("after the flax was lifted")
    if at > now:
        return _("that moment has not come yet")
    return ""


def _verdict(
    at: datetime,
    ret: Ret,
    now: datetime,
    first_seen: dict[datetime, int],
    recorded: set[datetime],
) -> str:
    if at in first_seen:
        return _("the same moment as line %d") % first_seen[at]
    if at in recorded:
        return _("there is a reading for this moment already")
    return out_of_time(ret, at, now)
