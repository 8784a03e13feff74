"""Temperatures of days: what a file says, line by line, and what is kept."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from django.utils.translation import gettext as _

from heritage.growth.models import WarmDay
from heritage.kits.forecast import Forecast
from heritage.kits.tables.read import TableRow
from heritage.season.models import Demonstration

SHOWN: Final = 7
# The day on which clocks go forward has one fewer.
HOURS_OF_A_DAY: Final = 23
# No day in these islands was ever hotter; a file in degrees Fahrenheit would be.
HOTTEST_C: Final = 45
WAYS: Final = ("%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d-%m-%Y", "%d %b %Y", "%d %B %Y")
NUMBER: Final = re.compile(r"[+-]?\d{1,3}(?:[.,]\d{1,6})?")
LOWEST: Final = re.compile(r"\bmin|tmin|low", re.I)
HIGHEST: Final = re.compile(r"\bmax|tmax|high", re.I)


class DayOfWarmth(NamedTuple):
    """A day with its lowest and highest temperature."""

    day: date
    tmin_c: Decimal
    tmax_c: Decimal


@dataclass(frozen=True, slots=True)
class ReadDays:
    """What a file says: its good days, and why other lines can't be taken."""

    days: tuple[DayOfWarmth, ...]
    troubles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WarmthPage:
    """The newest temperatures, and how many there are."""

    days: tuple[WarmDay, ...]
    number: int
    first: date | None


def warmth_page(demonstration: Demonstration) -> WarmthPage:
    """Return the temperatures, newest first: one query."""
    rows = list(WarmDay.objects.of(demonstration).newest_first())
    return WarmthPage(tuple(rows[:SHOWN]), len(rows), rows[-1].day if rows else None)


def whole_days(forecast: Forecast, zone: ZoneInfo) -> list[DayOfWarmth]:
    """Return the lowest and highest of each day whose hours are all forecast."""
    by_day: dict[date, list[float]] = {}
    for hour in forecast.hours:
        day = hour.starts.astimezone(zone).date()
        by_day.setdefault(day, []).append(hour.temp_c)
    return [
        DayOfWarmth(day, _tenths(min(temps)), _tenths(max(temps)))
        for day, temps in by_day.items()
        if len(temps) >= HOURS_OF_A_DAY
    ]


def _tenths(degrees: float) -> Decimal:
    return Decimal(round(10 * degrees)) / 10


def read_days(lines: Sequence[TableRow]) -> ReadDays:
    """Read a table's lines: a day, its lowest and its highest temperature.

    Headings that say which is which are followed; without them, the first two numbers
    after the day are taken, the lower as the lowest.
    """
    columns = _columns(lines)
    days: list[DayOfWarmth] = []
    troubles: list[str] = []
    for line in lines:
        if not any(_day(cell) for cell in line.cells) and not days and not troubles:
            # Headings, and what stands above them.
            continue
        try:
            days.append(_read(line, columns))
        except ValueError as error:
            figures = {"line": line.number, "why": error}
            troubles.append(_("Line %(line)d: %(why)s") % figures)
    return ReadDays(tuple(days), tuple(troubles))


def _columns(lines: Sequence[TableRow]) -> tuple[int, int] | None:
    """Find the columns of lowest and highest by their headings."""
    for line in lines:
        if any(_day(cell) for cell in line.cells):
            return None
        low = [at for at, cell in enumerate(line.cells) if LOWEST.search(cell)]
        high = [at for at, cell in enumerate(line.cells) if HIGHEST.search(cell)]
        if low and high and low[0] != high[0]:
            return low[0], high[0]
    return None


def _read(line: TableRow, columns: tuple[int, int] | None) -> DayOfWarmth:
    found = [(at, day) for at, cell in enumerate(line.cells) if (day := _day(cell))]
    if not found:
        raise ValueError(_("there is no day in it, like 2026-05-14."))
    at, day = found[0]
    if columns:
        low, high = (_degrees(line.cells[column]) for column in columns)
    else:
        after = [cell for cell in line.cells[at + 1 :] if cell]
        numbers = [number for cell in after if (number := _degrees(cell)) is not None]
        low, high = (*sorted(numbers[:2]), None, None)[:2]
    if low is None or high is None:
        raise ValueError(_("two temperatures are needed, lowest and highest."))
    if low > high:
        raise ValueError(_("the lowest is above the highest."))
    if high > HOTTEST_C:
        raise ValueError(_("%s °C is hotter than any day. Was it in °F?") % high)
    return DayOfWarmth(day, low, high)


def _day(cell: str) -> date | None:
    """Read a day, ISO or the day first; a time of day after it is passed over."""
    text = re.split(r"[T ]\d{1,2}:\d{2}", cell.strip())[0]
    for way in WAYS:
        try:
            return datetime.strptime(text, way).date()  # noqa: DTZ007
        except ValueError:
            continue
    return None


def _degrees(cell: str) -> Decimal | None:
    text = cell.replace("\N{MINUS SIGN}", "-").replace("°C", "").strip()
    if not NUMBER.fullmatch(text):
        return None
    return Decimal(text.replace(",", ".")).quantize(Decimal("0.1"))
