"""A moment typed on a form, by the clock on the wall, or standing in a file's cell."""

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _


class LocalMoment(forms.DateTimeField):
    """A moment by the clock on the wall; the view has set whose wall."""

    widget = forms.DateTimeInput(
        attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
    )
    default_error_messages = {
        "invalid": _("Enter the day and time, like 12/08/2026 18:40."),
        "required": _("Give the day and the time."),
    }

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", ["%d/%m/%Y %H:%M", "%d.%m.%Y %H:%M"])
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> datetime | None:
        try:
            return super().to_python(value)
        except ValidationError as error:
            if error.code != "ambiguous_timezone":
                raise
            raise ValidationError(
                _(
                    "The clocks changed then: that time came twice, or not at all. "
                    "Choose a time a little before or after."
                )
            ) from error


_ISO_DAY: Final = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?!\d)")
_DAY_FIRST: Final = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4}|\d{2})(?!\d)")
_CLOCK: Final = re.compile(
    r"[T,\s]*(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([ap]\.?m\.?)?"
    r"\s*(Z|UTC|GMT|[+-][01]\d(?::?\d{2})?)?",
    re.I,
)
_OFFSET: Final = re.compile(r"([+-])([01]?\d):?(\d{2})?")


def day_in(text: str) -> re.Match[str] | None:
    """Return the date that a cell begins with, if it does."""
    return _ISO_DAY.match(text) or _DAY_FIRST.match(text)


def holds_a_day(text: str) -> bool:
    """Tell whether a date stands anywhere in a cell."""
    return bool(_ISO_DAY.search(text) or _DAY_FIRST.search(text))


def is_time_of_day(text: str) -> bool:
    """Tell whether a cell is a time of day and nothing else."""
    return bool(_CLOCK.fullmatch(text))


def moment_in(text: str, zone: tzinfo) -> datetime:
    """Read a date with its time of day: ISO, or the day first.

    Raises
    ------
    ValueError
        With the sentence that says what is wrong.
    """
    if not text.strip():
        raise ValueError(gettext("no time"))
    iso, day_first = _ISO_DAY.match(text), _DAY_FIRST.match(text)
    match = iso or day_first
    if not match:
        raise ValueError(gettext("“%s” isn't a date") % text[:20])
    clock = _CLOCK.fullmatch(text[match.end() :].rstrip())
    if not clock:
        raise ValueError(gettext("no time of day"))
    parts = [int(part) for part in match.groups()]
    year, month, day = parts if iso else parts[::-1]
    try:
        naive = datetime(_year(year), month, day, *_hours(clock))  # noqa: DTZ001
    except ValueError as error:
        raise ValueError(
            gettext("there's no such day or hour (is the day first?)")
        ) from error
    return _aware(naive, offset_in(clock[5]) if clock[5] else zone)


def _year(year: int) -> int:
    """Return the whole year; one that no instrument has seen is refused."""
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


def offset_in(text: str) -> tzinfo:
    """Return the offset from UTC that a file states, such as Z, GMT or +01:00."""
    match = _OFFSET.fullmatch(text)
    if not match:
        return UTC
    size = timedelta(hours=int(match[2]), minutes=int(match[3] or 0))
    return timezone(-size if match[1] == "-" else size)


def _aware(naive: datetime, zone: tzinfo) -> datetime:
    """Say which instant a local time is; refuse one that the clocks skip or repeat."""
    first, second = (naive.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if first.utcoffset() != second.utcoffset():
        raise ValueError(
            gettext("the clocks changed, so this time came twice or not at all")
        )
    return first.astimezone(UTC)
