"""Forecasts drawn with their doubt: the ret's progress, the chance of finishing."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from heritage.kits.charts.axes import (
    EDGE,
    WIDTH,
    Scale,
    flag,
    heading,
    level_axis,
    number,
    ticks,
    upright_axis,
)
from heritage.kits.drawing.marks import (
    Anchor,
    Area,
    Circle,
    Drawing,
    Line,
    Mark,
    Polyline,
    Rect,
    Text,
)

LEFT: Final = 46.0
TOP, FOOT = 46.0, 176.0


def _progress_lines(
    days: Sequence[float],
    values: Sequence[float],
    today: float | None,
    x: Scale,
    y: Scale,
) -> list[Mark]:
    """Draw what has passed in full and what is forecast in dashes."""
    now = days[-1] if today is None else today
    points = [(x(d), y(v)) for d, v in zip(days, values, strict=True)]
    past = [p for p, d in zip(points, days, strict=True) if d <= now]
    ahead = [p for p, d in zip(points, days, strict=True) if d >= now]
    # The two halves share a point, so that the line does not break at today.
    if past and ahead and past[-1] != ahead[0]:
        ahead = [past[-1], *ahead]
    lines: list[Mark] = [Polyline(past, "crop", 3)] if len(past) > 1 else []
    return lines + ([Polyline(ahead, "crop", 2, dash=True)] if len(ahead) > 1 else [])


def _temperatures(
    readings: Sequence[tuple[float, float]], x: Scale, top: float, foot: float
) -> list[Mark]:
    """Draw the water's readings as dots over the same days."""
    if not readings:
        return [Text(LEFT + 4, top + 30, "No readings yet", "muted", 12)]
    temps = [temp for _, temp in readings]
    low, high = int(min(temps)) - 1, int(max(temps)) + 2
    y = Scale(low, high, foot, top + 6)
    return [
        *upright_axis(y, ticks(high, low=low, about=3), LEFT, x.end, "°"),
        *(Circle(x(day), y(temp), 3, "action", filled=True) for day, temp in readings),
    ]


def _test_days(window: tuple[float, float], x: Scale) -> list[Mark]:
    """Shade the days on which tests may find the ret done."""
    left, right = x(max(window[0], x.low)), x(min(window[1], x.high))
    if right <= left:
        return []
    box = (left, TOP, right - left, FOOT - TOP)
    return [Rect(*box, "light", filled=True), Rect(*box, "muted", weight=0.8)]


def _band(
    days: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    x: Scale,
    y: Scale,
) -> Mark:
    top = [(x(d), y(min(v, y.high))) for d, v in zip(days, high, strict=True)]
    under = [(x(d), y(min(v, y.high))) for d, v in zip(days, low, strict=True)]
    return Area([*top, *reversed(under)], "band")


def _today(today: float | None, x: Scale) -> list[Mark]:
    if today is None:
        return []
    line = Line(x(today), TOP + 4, x(today), FOOT + 92, "ink", 0.8)
    return [*flag(x(today), TOP + 4, TOP + 14, "Today"), line]


def _first_test(day: float, x: Scale) -> list[Mark]:
    words, at = f"First test: day {number(round(day, 1))}", x(day)
    anchor: Anchor = "end" if at > WIDTH / 2 + 30 else "start"
    side = -4 if anchor == "end" else 4
    return [
        Line(at, TOP - 8, at, FOOT, "action", 2),
        Text(at + side, TOP - 10, words, "action", 12, anchor, bold=True),
    ]


def _legend(y: float) -> list[Mark]:
    return [
        Rect(LEFT, y - 10, 18, 12, "band", filled=True),
        Text(LEFT + 23, y, "range", "ink", 12),
        Rect(LEFT + 74, y - 10, 18, 12, "light", filled=True),
        Rect(LEFT + 74, y - 10, 18, 12, "hairline", weight=0.5),
        Text(LEFT + 97, y, "tests may find it done", "ink", 12),
    ]


def ret_curve(
    *,
    days: Sequence[float],
    progress: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    first_test: float,
    window: tuple[float, float],
    readings: Sequence[tuple[float, float]] = (),
    today: float | None = None,
    test_every_hours: float | None = None,
    title: str = "The ret so far",
) -> Drawing:
    """Draw a ret's progress with its band, over days since the dam was filled.

    ``progress``, ``low`` and ``high`` are shares of an expected whole, 0 to 1 and
    beyond. ``window`` holds the earliest and the latest day on which tests may find
    it done. ``readings`` are pairs of day and water temperature. [°C]
    """
    if not len(days) == len(progress) == len(low) == len(high) > 1:
        raise ValueError("Days, progress, low and high need the same length, over 1.")
    x = Scale(0, max(days[-1], window[1]), LEFT, WIDTH - EDGE - 4)
    y = Scale(0, max(1.0, min(max(high), 1.25)), FOOT, TOP + 4)
    line = [min(value, y.high) for value in progress]
    shares = Scale(y.low * 100, y.high * 100, y.start, y.end)
    marks: list[Mark] = [
        heading(title),
        *_test_days(window, x),
        _band(days, low, high, x, y),
        *upright_axis(shares, (0, 25, 50, 75, 100), LEFT, x.end, "%"),
        *_first_test(first_test, x),
        *_progress_lines(days, line, today, x, y),
        Line(x.start, FOOT, x.end, FOOT, "ink", 1),
        Text(EDGE, FOOT + 24, "Water, °C", "muted", 12),
        *_temperatures(readings, x, FOOT + 28, FOOT + 92),
    ]
    marks += _today(today, x)
    label = "days since the dam was filled"
    marks += level_axis(x, ticks(x.high, about=6), FOOT + 94, label)
    marks += _legend(FOOT + 148)
    said = _told(days, progress, low, high, first_test, window, today, test_every_hours)
    return Drawing(WIDTH, FOOT + 156, tuple(marks), title, said)


def _told(
    days: Sequence[float],
    progress: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    first_test: float,
    window: tuple[float, float],
    today: float | None,
    every: float | None,
) -> str:
    """Say in words what the curve shows at its latest known day."""
    now = days[-1] if today is None else today
    at = max((i for i, day in enumerate(days) if day <= now), default=0)
    parts = [
        f"On day {number(round(days[at], 1))} progress is about "
        f"{progress[at]:.0%}, between {low[at]:.0%} and {high[at]:.0%}.",
        f"First test on day {number(round(first_test, 1))}; tests may find it done "
        f"between day {number(round(window[0], 1))} and day "
        f"{number(round(window[1], 1))}.",
    ]
    if every is not None:
        parts.append(f"Then test every {number(every)} hours.")
    parts.append("Only a test of the stems tells when to lift.")
    return " ".join(parts)


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"


def _first_reaching(rows: Sequence[tuple[date, float]], share: float) -> str | None:
    return next((_day(day) for day, chance in rows if chance >= share), None)


def chance_by_day(
    rows: Sequence[tuple[date, float]],
    *,
    title: str = "Chance of having finished",
) -> Drawing:
    """Draw the chance of having finished by the end of each day, 0 to 1."""
    if not rows:
        raise ValueError("A chance by day needs at least one day.")
    foot = 176.0
    x = Scale(0, len(rows), LEFT, WIDTH - EDGE)
    y = Scale(0, 100, foot, 34)
    wide = (x.end - x.start) / len(rows)
    marks: list[Mark] = [
        heading(title),
        *upright_axis(y, (0, 25, 50, 75, 100), LEFT, x.end, "%"),
    ]
    for index, (_, chance) in enumerate(rows):
        top = y(100 * chance)
        left = x(index) + wide * 0.12
        marks.append(Rect(left, top, wide * 0.76, foot - top, "crop", filled=True))
    half = y(50)
    marks.append(Line(x.start, half, x.end, half, "action", 1.6, dash=True))
    every = -(-len(rows) // 5)
    shown = list(range(0, len(rows), every))
    labels = [_day(rows[index][0]) for index in shown]
    middles = [index + 0.5 for index in shown]
    marks += level_axis(x, middles, foot, "by the end of", labels=labels)
    return Drawing(WIDTH, foot + 40, tuple(marks), title, _chances_told(rows))


def _chances_told(rows: Sequence[tuple[date, float]]) -> str:
    first, last = rows[0], rows[-1]
    span = f"{first[1]:.0%} by {_day(first[0])}, {last[1]:.0%} by {_day(last[0])}."
    even, likely = _first_reaching(rows, 0.5), _first_reaching(rows, 0.9)
    if even is None:
        return f"{span} An even chance is not reached in these days."
    more = f" Nine in ten by {likely}." if likely else ""
    return f"{span} An even chance by {even}.{more}"
