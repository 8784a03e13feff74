"""How much is done: a bar for the field, a bar for each row of a tally."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from heritage.kits.charts.axes import (
    EDGE,
    LETTER,
    WIDTH,
    Scale,
    between,
    heading,
    level_axis,
    number,
    ticks,
)
from heritage.kits.drawing.marks import Drawing, Line, Mark, Rect, Text

SHORT: Final = 15


def _estimate(scale: Scale, total: float, low: float, high: float) -> list[Mark]:
    """Show where the field's end may lie: a band, and its likeliest place."""
    left, right, at = scale(low), scale(high), scale(total)
    return [
        Rect(left, 46, right - left, 30, "band", filled=True),
        Line(at, 41, at, 81, "ink", 1.6),
    ]


@dataclass(frozen=True)
class ProgressWords:
    """What is said of a field: figures go into ``done``, ``whole`` and its range."""

    title: str
    unit: str
    # With {count}.
    done: str
    # With {count}; and with {range} too.
    whole: str
    whole_in_range: str
    # With {whole}; and with {done} too.
    below: str
    told: str


def progress_bar(
    done: float,
    total: float,
    *,
    words: ProgressWords,
    low: float | None = None,
    high: float | None = None,
) -> Drawing:
    """Draw what is done against an estimated whole and that estimate's range."""
    low, high = total if low is None else low, total if high is None else high
    scale = Scale(0, max(done, total, high, 1) * 1.02, EDGE + 4, WIDTH - EDGE - 4)
    band = _estimate(scale, total, low, high)
    sure = (low, high) == (total, total)
    whole = (words.whole if sure else words.whole_in_range).format(
        count=number(total), range=between(low, high)
    )
    head = words.done.format(count=number(done))
    marks: list[Mark] = [
        heading(words.title),
        Text(scale.start, 38, head, "crop", 13, bold=True),
        *band,
        Rect(scale.start, 51, scale(done) - scale.start, 20, "crop", filled=True),
        Rect(scale.start, 46, scale.end - scale.start, 30, "ink"),
        *level_axis(scale, ticks(scale.high), 86, words.unit),
        Text(scale.start, 140, words.below.format(whole=whole), "ink", 12),
    ]
    description = words.told.format(done=head, whole=whole)
    return Drawing(WIDTH, 150, tuple(marks), words.title, description)


@dataclass(frozen=True)
class BarWords:
    """What is said of a tally: each row and its figure go into ``told``."""

    title: str
    unit: str
    # With {rows}; and where there is none.
    told: str
    none: str


def _row(
    label: str, value: float, scale: Scale, y: float, *, above: bool
) -> list[Mark]:
    """Draw one bar with its label before or above it and its figure after it."""
    top = y + 18 if above else y
    end = scale(value)
    where = (scale.start + 4, y + 13) if above else (scale.start - 6, y + 14)
    return [
        Text(*where, label, "ink", 12, "start" if above else "end"),
        Rect(scale.start, top + 2, max(end - scale.start, 1), 15, "crop", filled=True),
        Text(end + 5, top + 14, number(value), "ink", 12, bold=True),
    ]


def bars(rows: Sequence[tuple[str, float]], *, words: BarWords) -> Drawing:
    """Draw a bar for each row of label and value, in the order given."""
    longest = max((len(label) for label, _ in rows), default=0)
    most = max((value for _, value in rows), default=0)
    above = longest > SHORT
    start = EDGE if above else EDGE + 6 + longest * LETTER
    figures = 12 + LETTER * len(number(most)) * 1.15
    scale = Scale(0, max(most, 1), start, WIDTH - EDGE - figures)
    pitch, top = (44 if above else 26), 30
    foot = top + pitch * len(rows) + 4
    marks: list[Mark] = [heading(words.title)]
    for index, (label, value) in enumerate(rows):
        marks += _row(label, value, scale, top + index * pitch, above=above)
    marks.append(Line(start, top - 4, start, foot, "ink", 1))
    marks += level_axis(scale, ticks(scale.high, about=4), foot, words.unit)
    told = "; ".join(f"{label}: {number(value)}" for label, value in rows)
    description = words.told.format(rows=told) if rows else words.none
    return Drawing(WIDTH, foot + 40, tuple(marks), words.title, description)
