"""The light of one evening."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from heritage.kits.charts.axes import (
    EDGE,
    WIDTH,
    Scale,
    clock,
    flag,
    heading,
    level_axis,
)
from heritage.kits.drawing.marks import Drawing, Line, Mark, Rect, Text
from heritage.kits.drawing.tones import Role

TOP, DEEP = 44.0, 34.0
FLAG_PITCH: Final = 17.0


@dataclass(frozen=True)
class LightWords:
    """What is said of an evening's light; its times go into those that take them."""

    title: str
    # With {start} and {end}.
    asked: str
    asked_told: str
    # What is named, and how each is told of, with {name} and {at}.
    stop: str
    sunset: str
    dusk: str
    told: str
    no_sunset: str
    no_dusk: str
    axis: str


@dataclass(frozen=True)
class EveningHours:
    """An evening's moments in wall-clock hours since midnight.

    ``starts`` and ``ends`` are the gathering's asked times, ``stop`` is when work
    must stop for want of light. A sunset or dusk that does not come is ``None``.
    """

    starts: float
    ends: float
    sunset: float | None
    dusk: float | None
    stop: float | None


def clock_hours(moment: datetime, day: date) -> float:
    """Give hours on the wall clock since ``day`` began; past midnight is over 24.

    ``moment`` is in the place's own zone already.
    """
    days = (moment.date() - day).days
    return days * 24 + moment.hour + moment.minute / 60 + moment.second / 3600


def _sky(
    scale: Scale, sunset: float | None, dusk: float | None, after: float
) -> list[Mark]:
    """Shade the bar: day, then dusk, then dark."""
    # With no sunset there is no dark; with no dusk, twilight lasts all night.
    set_at = scale.high if sunset is None else sunset
    dark_at = scale.high if dusk is None else dusk
    parts: list[tuple[float, float, Role]] = [
        (scale.low, set_at, "light"),
        (set_at, dark_at, "dusk"),
        (dark_at, after, "dark"),
    ]
    inside = [
        (max(left, scale.low), min(right, scale.high), role)
        for left, right, role in parts
    ]
    return [
        Rect(scale(left), TOP, scale(right) - scale(left), DEEP, role, filled=True)
        for left, right, role in inside
        if left < right
    ]


def _asked(scale: Scale, evening: EveningHours, words: str) -> list[Mark]:
    left, right, y = scale(evening.starts), scale(evening.ends), TOP + DEEP / 2
    return [
        Line(left, y, right, y, "crop", 7),
        Line(left, TOP + 6, left, TOP + DEEP - 6, "crop", 2.5),
        Line(right, TOP + 6, right, TOP + DEEP - 6, "crop", 2.5),
        Text(max(left, EDGE), TOP - 7, words, "crop", 12, bold=True),
    ]


def _told(
    evening: EveningHours, moments: Sequence[tuple[str, float]], words: LightWords
) -> str:
    start, end = clock(evening.starts), clock(evening.ends)
    told = [words.asked_told.format(start=start, end=end)]
    told += [words.told.format(name=name, at=clock(at)) for name, at in moments]
    if evening.sunset is None:
        told.append(words.no_sunset)
    elif evening.dusk is None:
        told.append(words.no_dusk)
    return " ".join(told)


def _hours(scale: Scale, y: float, label: str) -> list[Mark]:
    low, high = int(scale.low), int(scale.high)
    whole = range(low, high + 1, 1 if high - low <= 9 else 2)
    names = [f"{hour % 24}" for hour in whole]
    return level_axis(scale, whole, y, label, labels=names)


def _named(evening: EveningHours, words: LightWords) -> list[tuple[str, float]]:
    """Name each moment that comes this evening."""
    named = [
        (words.stop, evening.stop),
        (words.sunset, evening.sunset),
        (words.dusk, evening.dusk),
    ]
    return [(name, at) for name, at in named if at is not None]


def light_window(evening: EveningHours, words: LightWords) -> Drawing:
    """Draw an evening's time bar: what is asked, sunset, dusk and when to stop."""
    moments = _named(evening, words)
    known = [evening.starts, evening.ends, *(at for _, at in moments)]
    high = int(max(known) + 1.5)
    scale = Scale(int(min(known) - 0.5), high, EDGE + 6, WIDTH - EDGE - 6)
    start, end = clock(evening.starts), clock(evening.ends)
    marks: list[Mark] = [
        heading(words.title),
        *_sky(scale, evening.sunset, evening.dusk, high),
        *_asked(scale, evening, words.asked.format(start=start, end=end)),
        Rect(scale.start, TOP, scale.end - scale.start, DEEP, "ink"),
    ]
    foot = TOP + DEEP
    shown = sorted((at, name) for name, at in moments)
    for row, (at, name) in enumerate(shown):
        y = foot + FLAG_PITCH * (row + 1)
        marks += flag(scale(at), TOP, y, f"{name} {clock(at)}")
    if evening.stop is not None:
        x = scale(evening.stop)
        marks.append(Line(x, TOP - 4, x, foot + 4, "action", 3))
    axis = foot + FLAG_PITCH * len(shown) + 10
    marks += _hours(scale, axis, words.axis)
    told = _told(evening, moments, words)
    return Drawing(WIDTH, axis + 40, tuple(marks), words.title, told)
