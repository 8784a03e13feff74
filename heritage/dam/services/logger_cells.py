"""What one cell of a logger's file says: a moment, or a temperature."""

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from decimal import Decimal
from typing import Final

from django.utils.translation import gettext as _

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
    found = _NUMBER.fullmatch(text.replace("\N{MINUS SIGN}", "-").strip())
    if not text:
        raise ValueError(_("no temperature"))
    if not found:
        raise ValueError(_("“%s” is not a number") % text[:20])
    temp = Decimal(found[1].replace(",", ".")).quantize(Decimal("0.1"))
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
    found = iso or day_first
    if not found:
        raise ValueError(_("“%s” is not a date") % text[:20])
    clock = CLOCK.fullmatch(text[found.end() :].rstrip())
    if not clock:
        raise ValueError(_("no time of day"))
    parts = [int(part) for part in found.groups()]
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
    found = OFFSET.fullmatch(text)
    if not found:
        return UTC
    size = timedelta(hours=int(found[2]), minutes=int(found[3] or 0))
    return timezone(-size if found[1] == "-" else size)


def _aware(naive: datetime, zone: tzinfo) -> datetime:
    """Say which instant a local time is; refuse one that the clocks skip or repeat."""
    first, second = (naive.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.utcoffset() != second.utcoffset():
        raise ValueError(_("the clocks changed: this time came twice, or not at all"))
    return first.astimezone(UTC)
