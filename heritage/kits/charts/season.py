"""The stages against the calendar."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from heritage.kits.charts.axes import EDGE, EN_DASH, LETTER, WIDTH, Scale, heading
from heritage.kits.drawing.marks import Anchor, Area, Drawing, Line, Mark, Rect, Text

Span = tuple[date, date]
ROW: Final = 27.0
TOP: Final = 46.0
LEAST: Final = 3.0
NAME: Final = 30.0


def plain_day(day: date) -> str:
    """Write a date in English, like 12 Aug."""
    return f"{day.day} {day:%b}"


def plain_month(day: date) -> str:
    """Write a date's month in English, like Aug."""
    return f"{day:%b}"


@dataclass(frozen=True)
class SeasonWords:
    """What is said of the season; ``today`` and ``told_today`` take a {day}.

    ``day_said`` and ``month_said`` write a date and its month as the reader does.
    """

    title: str
    planned: str
    done: str
    forecast: str
    likeliest: str
    no_date: str
    today: str
    told_today: str
    day_said: Callable[[date], str] = plain_day
    month_said: Callable[[date], str] = plain_month


@dataclass(frozen=True)
class StageBar:
    """One stage: what was planned, what is forecast, what was done."""

    name: str
    planned: Span | None = None
    forecast: Span | None = None
    likely: date | None = None
    done: Span | None = None


def _span(span: Span, words: SeasonWords) -> str:
    first, last = (words.day_said(day) for day in span)
    return first if first == last else f"{first}{EN_DASH}{last}"


def _dates(stages: Sequence[StageBar]) -> list[date]:
    spans = [s for stage in stages for s in (stage.planned, stage.forecast, stage.done)]
    return [day for span in spans if span for day in span]


def _month_starts(first: date, last: date) -> list[date]:
    months, at = [], first.replace(day=1)
    while at <= last:
        if at >= first:
            months.append(at)
        at = (at + timedelta(days=32)).replace(day=1)
    return months


def _calendar(
    scale: Scale, first: date, last: date, foot: float, words: SeasonWords
) -> list[Mark]:
    """Rule the months, naming as many as there is room for."""
    months = _month_starts(first, last)
    marks: list[Mark] = []
    free = 0.0
    # The month the season opens in has no first day to stand at.
    if not months or scale(months[0].toordinal()) - scale.start > NAME:
        name = words.month_said(first)
        marks.append(Text(scale.start + 2, TOP - 8, name, "muted", 12))
        free = scale.start + NAME
    for month in months:
        x = scale(month.toordinal())
        marks.append(Line(x, TOP - 4, x, foot, "hairline", 0.5))
        if x >= free and x + 22 < WIDTH:
            name = words.month_said(month)
            marks.append(Text(x + 2, TOP - 8, name, "muted", 12))
            free = x + NAME
    return marks


def _box(span: Span, scale: Scale) -> tuple[float, float]:
    """Give a span's left edge and width; its last day counts whole."""
    left, right = scale(span[0].toordinal()), scale(span[1].toordinal() + 1)
    return left, max(right - left, LEAST)


def _stage(stage: StageBar, scale: Scale, y: float) -> list[Mark]:
    marks: list[Mark] = [Text(EDGE, y + 17, stage.name, "ink", 12)]
    if stage.forecast:
        left, wide = _box(stage.forecast, scale)
        marks.append(Rect(left, y + 6, wide, 14, "band", filled=True))
    if stage.likely:
        x, mid = scale(stage.likely.toordinal() + 0.5), y + 13
        diamond = [(x, mid - 7), (x + 5, mid), (x, mid + 7), (x - 5, mid)]
        marks.append(Area(diamond, "action"))
    if stage.done:
        left, wide = _box(stage.done, scale)
        marks.append(Rect(left, y + 8, wide, 10, "crop", filled=True))
    if stage.planned:
        left, wide = _box(stage.planned, scale)
        marks.append(Rect(left, y + 4, wide, 18, "ink", weight=1.2))
    return marks


def _legend(stages: Sequence[StageBar], y: float, words: SeasonWords) -> list[Mark]:
    """Name the marks that are drawn, and no others."""
    marks: list[Mark] = []
    x = EDGE
    for name, word in (
        ("planned", words.planned),
        ("done", words.done),
        ("forecast", words.forecast),
        ("likely", words.likeliest),
    ):
        if any(getattr(stage, name) for stage in stages):
            marks += [_sample(name, x, y), Text(x + 23, y, word, "ink", 12)]
            x += 35 + LETTER * len(word)
    return marks


def _sample(name: str, x: float, y: float) -> Mark:
    if name == "likely":
        mid = x + 13
        return Area(
            [(mid, y - 11), (mid + 5, y - 4), (mid, y + 3), (mid - 5, y - 4)], "action"
        )
    if name == "planned":
        return Rect(x, y - 11, 18, 14, "ink", weight=1.2)
    if name == "done":
        return Rect(x, y - 9, 18, 10, "crop", filled=True)
    return Rect(x, y - 11, 18, 14, "band", filled=True)


def _told(stage: StageBar, words: SeasonWords) -> str:
    parts = []
    if stage.done:
        parts.append(f"{words.done} {_span(stage.done, words)}")
    if stage.forecast:
        parts.append(f"{words.forecast} {_span(stage.forecast, words)}")
    if stage.likely:
        parts.append(f"{words.likeliest} {words.day_said(stage.likely)}")
    if stage.planned:
        parts.append(f"{words.planned} {_span(stage.planned, words)}")
    return f"{stage.name}: {', '.join(parts) or words.no_date}."


def season_strip(
    stages: Sequence[StageBar],
    *,
    words: SeasonWords,
    today: date | None = None,
) -> Drawing:
    """Draw each stage as a row: planned in outline, forecast as a band, done solid."""
    days = [*_dates(stages), *([today] if today else [])]
    if not days:
        raise ValueError("A season needs at least one date.")
    first, last = min(days) - timedelta(days=4), max(days) + timedelta(days=6)
    longest = max((len(stage.name) for stage in stages), default=0)
    left = EDGE + 8 + LETTER * min(longest, 20)
    scale = Scale(first.toordinal(), last.toordinal(), left, WIDTH - EDGE)
    foot = TOP + ROW * len(stages)
    marks: list[Mark] = [heading(words.title)]
    marks += _calendar(scale, first, last, foot, words)
    for index, stage in enumerate(stages):
        y = TOP + index * ROW
        marks.append(Line(EDGE, y, WIDTH - EDGE, y, "hairline", 0.5))
        marks += _stage(stage, scale, y)
    marks.append(Line(EDGE, foot, WIDTH - EDGE, foot, "ink", 1))
    if today:
        x = scale(today.toordinal() + 0.5)
        name = words.today.format(day=words.day_said(today))
        anchor: Anchor = "end" if x > WIDTH - 60 else "middle"
        marks.append(Line(x, TOP - 4, x, foot + 5, "action", 1.6))
        marks.append(Text(x, foot + 18, name, "action", 12, anchor, bold=True))
    marks += _legend(stages, foot + 42, words)
    description = " ".join(_told(stage, words) for stage in stages)
    if today:
        description += " " + words.told_today.format(day=words.day_said(today))
    return Drawing(WIDTH, foot + 52, tuple(marks), words.title, description)
