"""A bar for each row of a tally."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from heritage.kits.charts.axes import (
    EDGE,
    WIDTH,
    Scale,
    heading,
    level_axis,
    number,
    ticks,
)
from heritage.kits.charts.axes import LETTER as CHART_LETTER
from heritage.kits.drawing.marks import Drawing, Line, Mark, Rect, Text

SHORT: Final = 15
# Of the labels and figures: there is room for more than a chart's own size.
SIZE: Final = 14.0
LETTER: Final = CHART_LETTER * 7 / 6


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
        Text(*where, label, "ink", SIZE, "start" if above else "end"),
        Rect(scale.start, top + 2, max(end - scale.start, 1), 15, "crop", filled=True),
        Text(end + 5, top + 14, number(value), "ink", SIZE, bold=True),
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
    values = ticks(scale.high, about=4)
    marks += level_axis(scale, values, foot, words.unit, size=SIZE)
    told = "; ".join(f"{label}: {number(value)}" for label, value in rows)
    description = words.told.format(rows=told) if rows else words.none
    return Drawing(WIDTH, foot + 44, tuple(marks), words.title, description)
