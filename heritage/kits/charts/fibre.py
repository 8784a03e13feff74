"""From crop to line: what was expected at each step, and what was weighed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from heritage.kits.charts.axes import EDGE, WIDTH, Scale, between, heading
from heritage.kits.drawing.marks import Drawing, Line, Mark, Rect, Text

PITCH: Final = 62.0
TOP: Final = 34.0


@dataclass(frozen=True)
class FibreRow:
    """One step: the range expected before, what was weighed, what may still come."""

    label: str
    low: float
    likely: float
    high: float
    measured: float
    to_come: float


@dataclass(frozen=True)
class FibreWords:
    """What is said of each step; figures go in as words."""

    title: str
    # With {range} and {likely}.
    expected: str
    # With {kg}.
    measured: str
    # With {kg}.
    to_come: str
    own_scale: str
    # With {rows}.
    told: str


def kilograms(value: float) -> str:
    """Write a weight as near as it is known."""
    if value >= 100:
        return f"{value:,.0f}"
    return f"{value:.1f}" if value >= 1 else f"{value:.2f}"


def fibre_account(rows: Sequence[FibreRow], words: FibreWords) -> Drawing:
    """Draw each step on a scale of its own: a band, a bar, and what may still come."""
    marks: list[Mark] = [heading(words.title)]
    for index, row in enumerate(rows):
        marks += _step(row, words, TOP + index * PITCH)
    foot = TOP + len(rows) * PITCH
    marks.append(Text(EDGE, foot + 6, words.own_scale, "muted", 12))
    told = "; ".join(f"{row.label}: {_said(row, words)}" for row in rows)
    said = words.told.format(rows=told)
    return Drawing(WIDTH, foot + 16, tuple(marks), words.title, said)


def _step(row: FibreRow, words: FibreWords, y: float) -> list[Mark]:
    most = max(row.high, row.measured + row.to_come, 1e-6)
    scale = Scale(0, most * 1.02, EDGE, WIDTH - EDGE)
    low, high, likely = scale(row.low), scale(row.high), scale(row.likely)
    marks: list[Mark] = [
        Text(EDGE, y + 10, row.label, "ink", 12, bold=True),
        Text(EDGE, y + 25, _said(row, words), "muted", 12),
        Rect(low, y + 31, high - low, 16, "band", filled=True),
        Line(likely, y + 29, likely, y + 49, "ink", 1.4),
    ]
    start, measured = scale.start, scale(row.measured)
    if row.measured:
        bar = Rect(start, y + 35, measured - start, 8, "crop", filled=True)
        marks.append(bar)
    if row.measured and row.to_come:
        end = scale(row.measured + row.to_come)
        marks.append(Rect(measured, y + 35, end - measured, 8, "crop"))
    marks.append(Line(start, y + 31, start, y + 47, "ink", 1))
    return marks


def _said(row: FibreRow, words: FibreWords) -> str:
    """Say the range in words, then what was weighed."""
    span = between(
        *(float(kilograms(one).replace(",", "")) for one in (row.low, row.high))
    )
    said = [words.expected.format(range=span, likely=kilograms(row.likely))]
    if row.measured:
        said.append(words.measured.format(kg=kilograms(row.measured)))
    if row.measured and row.to_come:
        said.append(words.to_come.format(kg=kilograms(row.to_come)))
    return ", ".join(said)
