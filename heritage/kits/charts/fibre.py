"""From crop to line: what was expected at each step, and what was weighed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from heritage.kits.charts.axes import EDGE, WIDTH, Scale, between, heading
from heritage.kits.drawing.marks import Drawing, Line, Mark, Rect, Text

PITCH: Final = 76.0
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
    top = y + 31
    marks: list[Mark] = [
        Text(EDGE, y + 10, row.label, "ink", 12, bold=True),
        Text(EDGE, y + 25, _expected(row, words), "muted", 12),
        Rect(low, top, high - low, 16, "band", filled=True),
        Line(likely, top - 2, likely, top + 18, "ink", 1.4),
        Line(scale.start, top, scale.start, top + 16, "ink", 1),
    ]
    if row.measured:
        start, end = scale.start, scale(row.measured)
        last = scale(row.measured + row.to_come)
        marks += [
            Rect(start, top + 4, end - start, 8, "crop", filled=True),
            Rect(end, top + 4, last - end, 8, "crop"),
            Text(EDGE, top + 30, _weighed(row, words), "crop", 12),
        ]
    return marks


def _expected(row: FibreRow, words: FibreWords) -> str:
    ends = (float(kilograms(one).replace(",", "")) for one in (row.low, row.high))
    return words.expected.format(range=between(*ends), likely=kilograms(row.likely))


def _weighed(row: FibreRow, words: FibreWords) -> str:
    """Say what was weighed and what may still come; nothing before the scale is out."""
    said = [words.measured.format(kg=kilograms(row.measured))] if row.measured else []
    if row.measured and row.to_come:
        said.append(words.to_come.format(kg=kilograms(row.to_come)))
    return ", ".join(said)


def _said(row: FibreRow, words: FibreWords) -> str:
    weighed = _weighed(row, words)
    expected = _expected(row, words)
    return f"{expected}, {weighed}" if weighed else expected
