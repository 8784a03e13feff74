"""Forecasts drawn with their doubt: the ret's progress, the chance of finishing."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
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
# Of the legend: the width of half a row, and its height.
HALF, ROW = 130.0, 18.0
# So many dates fit beneath a ret.
DATES: Final = 5


def plain_day(day: date) -> str:
    """Write a date in English, like 12 Aug."""
    return f"{day.day} {day:%b}"


@dataclass(frozen=True)
class RetWords:
    """What is said of a ret; its figures go into those that take them."""

    title: str
    # With {day}, a date, as all that follow.
    first_test: str
    today: str
    no_readings: str
    water: str
    axis: str
    range: str
    may_be_done: str
    so_far: str
    expected: str
    read: str
    tested: str
    # With {day}, {likely}, {low} and {high}.
    told_progress: str
    # With {first}, {early} and {late}.
    told_tests: str
    # With {hours}.
    told_every: str
    told_lift: str


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
    readings: Sequence[tuple[float, float]], x: Scale, top: float, words: RetWords
) -> list[Mark]:
    """Draw the water's readings as dots over the same days, below their name."""
    name = Text(EDGE, top - 4, words.water, "muted", 12)
    if not readings:
        return [name, Text(LEFT + 4, top + 30, words.no_readings, "muted", 12)]
    temps = [temp for _, temp in readings]
    low, high = int(min(temps)) - 1, int(max(temps)) + 2
    y = Scale(low, high, top + 64, top + 6)
    return [
        name,
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


def _today(today: float | None, x: Scale, word: str) -> list[Mark]:
    if today is None:
        return []
    line = Line(x(today), TOP + 4, x(today), FOOT + 92, "ink", 0.8)
    return [*flag(x(today), TOP + 4, TOP + 14, word), line]


def _first_test(day: float, x: Scale, words: str) -> list[Mark]:
    at = x(day)
    anchor: Anchor = "end" if at > WIDTH / 2 + 30 else "start"
    side = -4 if anchor == "end" else 4
    return [
        Line(at, TOP - 8, at, FOOT, "action", 2),
        Text(at + side, TOP - 10, words, "action", 12, anchor, bold=True),
    ]


def _tests_made(days: Sequence[float], x: Scale) -> list[Mark]:
    """Mark on the foot of the chart when somebody tested."""
    inside = [day for day in days if x.low <= day <= x.high]
    return [Circle(x(day), FOOT, 4, "ink", filled=True) for day in inside]


def _legend(y: float, words: RetWords) -> list[Mark]:
    """Name every mark that is not named where it stands, two to a row."""
    right = LEFT + HALF
    rows = (y, y + ROW, y + 2 * ROW)
    return [
        Rect(LEFT, y - 10, 18, 12, "band", filled=True),
        Text(LEFT + 23, y, words.range, "ink", 12),
        Rect(right, y - 10, 18, 12, "light", filled=True),
        Rect(right, y - 10, 18, 12, "muted", weight=0.8),
        Text(right + 23, y, words.may_be_done, "ink", 12),
        Polyline([(LEFT, rows[1] - 4), (LEFT + 18, rows[1] - 4)], "crop", 3),
        Text(LEFT + 23, rows[1], words.so_far, "ink", 12),
        Polyline(
            [(right, rows[1] - 4), (right + 18, rows[1] - 4)], "crop", 2, dash=True
        ),
        Text(right + 23, rows[1], words.expected, "ink", 12),
        Circle(LEFT + 9, rows[2] - 4, 3, "action", filled=True),
        Text(LEFT + 23, rows[2], words.read, "ink", 12),
        Circle(right + 9, rows[2] - 4, 4, "ink", filled=True),
        Text(right + 23, rows[2], words.tested, "ink", 12),
    ]


@dataclass(frozen=True)
class RetCourse:
    """A ret's progress with its band, over days since the dam was filled.

    ``began`` is when it was, by the clock of the place. ``likely``, ``low`` and
    ``high`` are shares of an expected whole, 0 to 1 and beyond, one for each of
    ``days``. ``date_said`` writes a date as the reader does.
    """

    began: datetime
    days: Sequence[float]
    likely: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]
    date_said: Callable[[date], str] = plain_day

    def date_words(self, day: float) -> str:
        """Write the date of a day since the filling."""
        return self.date_said((self.began + timedelta(days=day)).date())

    def midnights(self, last: float, about: int) -> list[float]:
        """Return where some days begin, evenly spread up to the last."""
        start = self.began.replace(hour=0, minute=0, second=0, microsecond=0)
        first = 1 - (self.began - start) / timedelta(days=1)
        every = max(1, -int(-(last - first) // about))
        count = int((last - first) // every) + 1
        return [first + every * step for step in range(max(0, count))]

    def __post_init__(self) -> None:
        if not len(self.days) == len(self.likely) == len(self.low) == len(self.high):
            raise ValueError("Days, likely, low and high need the same length.")
        if len(self.days) < 2:
            raise ValueError("A course needs two days at least.")


@dataclass(frozen=True)
class RetTests:
    """When to test: the first day, the days that may find it done, then how often."""

    first: float
    window: tuple[float, float]
    every_hours: float | None = None
    made: Sequence[float] = ()


def ret_curve(
    course: RetCourse,
    tests: RetTests,
    words: RetWords,
    *,
    readings: Sequence[tuple[float, float]] = (),
    today: float | None = None,
) -> Drawing:
    """Draw a ret's course.

    ``readings`` are pairs of day and water temperature. [°C]
    """
    x = Scale(0, max(course.days[-1], tests.window[1]), LEFT, WIDTH - EDGE - 4)
    y = Scale(0, max(1.0, min(max(course.high), 1.25)), FOOT, TOP + 4)
    line = [min(value, y.high) for value in course.likely]
    shares = Scale(y.low * 100, y.high * 100, y.start, y.end)
    first = words.first_test.format(day=course.date_words(tests.first))
    dates = course.midnights(x.high, DATES)
    marks: list[Mark] = [
        heading(words.title),
        *_test_days(tests.window, x),
        _band(course.days, course.low, course.high, x, y),
        *upright_axis(shares, (0, 25, 50, 75, 100), LEFT, x.end, "%"),
        *_first_test(tests.first, x, first),
        *_progress_lines(course.days, line, today, x, y),
        Line(x.start, FOOT, x.end, FOOT, "ink", 1),
        *_temperatures(readings, x, FOOT + 28, words),
        *_tests_made(tests.made, x),
        *_today(today, x, words.today),
        *level_axis(
            x, dates, FOOT + 94, words.axis, labels=list(map(course.date_words, dates))
        ),
        *_legend(FOOT + 148, words),
    ]
    told = [_progress_told(course, today, words), *_tests_told(course, tests, words)]
    told.append(words.told_lift)
    return Drawing(
        WIDTH, FOOT + 156 + 2 * ROW, tuple(marks), words.title, " ".join(told)
    )


def _progress_told(course: RetCourse, today: float | None, words: RetWords) -> str:
    """Say in words how far the ret is."""
    now = course.days[-1] if today is None else today
    at = max((i for i, day in enumerate(course.days) if day <= now), default=0)
    return words.told_progress.format(
        day=course.date_words(course.days[at]),
        likely=f"{course.likely[at]:.0%}",
        low=f"{course.low[at]:.0%}",
        high=f"{course.high[at]:.0%}",
    )


def _tests_told(course: RetCourse, tests: RetTests, words: RetWords) -> Iterator[str]:
    """Say in words when to test."""
    early, late = map(course.date_words, tests.window)
    first = course.date_words(tests.first)
    yield words.told_tests.format(first=first, early=early, late=late)
    if tests.every_hours is not None:
        yield words.told_every.format(hours=number(tests.every_hours))


@dataclass(frozen=True)
class ChanceWords:
    """What is said of the chance of having finished, with its days and shares."""

    title: str
    axis: str
    # With {first}, {first_day}, {last} and {last_day}.
    told: str
    # With {day}.
    even: str
    likely: str
    never_even: str


def _first_reaching(rows: Sequence[tuple[date, float]], share: float) -> str | None:
    return next((plain_day(day) for day, chance in rows if chance >= share), None)


def chance_by_day(rows: Sequence[tuple[date, float]], *, words: ChanceWords) -> Drawing:
    """Draw the chance of having finished by the end of each day, 0 to 1."""
    if not rows:
        raise ValueError("A chance by day needs at least one day.")
    foot = 176.0
    x = Scale(0, len(rows), LEFT, WIDTH - EDGE)
    y = Scale(0, 100, foot, 34)
    wide = (x.end - x.start) / len(rows)
    marks: list[Mark] = [
        heading(words.title),
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
    labels = [plain_day(rows[index][0]) for index in shown]
    middles = [index + 0.5 for index in shown]
    marks += level_axis(x, middles, foot, words.axis, labels=labels)
    description = " ".join(_chances_told(rows, words))
    return Drawing(WIDTH, foot + 40, tuple(marks), words.title, description)


def _chances_told(
    rows: Sequence[tuple[date, float]], words: ChanceWords
) -> Iterator[str]:
    (first_day, first), (last_day, last) = rows[0], rows[-1]
    yield words.told.format(
        first=f"{first:.0%}",
        first_day=plain_day(first_day),
        last=f"{last:.0%}",
        last_day=plain_day(last_day),
    )
    even, likely = _first_reaching(rows, 0.5), _first_reaching(rows, 0.9)
    yield words.even.format(day=even) if even else words.never_even
    if likely:
        yield words.likely.format(day=likely)
