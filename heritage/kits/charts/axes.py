"""Scales, ticks and rules that every chart shares.

A chart is drawn 360 units wide, so that on a narrow phone its words stand at 12
pixels and on paper above 12 points.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from heritage.kits.drawing.marks import Anchor, Line, Mark, Text

WIDTH: Final = 360.0
EDGE: Final = 10.0
SIZE: Final = 12.0
# Half an em is close to the mean width of a letter in the house face.
LETTER: Final = 0.53 * SIZE
EN_DASH: Final = "\N{EN DASH}"


@dataclass(frozen=True)
class Scale:
    """Maps values to places along one axis."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        span = self.high - self.low
        share = (value - self.low) / span if span else 0.0
        return self.start + share * (self.end - self.start)


def ticks(high: float, *, about: int = 5, low: float = 0) -> list[float]:
    """Give round values from ``low`` to ``high``, about so many of them."""
    rough = max(high - low, 1e-9) / about
    power = 10 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= 0.999 * rough)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [k * step for k in range(first, last + 1)]


def number(value: float) -> str:
    """Write a number as people do: no needless decimals, thousands parted."""
    return f"{value:,.0f}" if float(value).is_integer() else f"{value:,.1f}"


def between(low: float, high: float) -> str:
    """Write a range, or one number if both ends are the same."""
    ends = number(low), number(high)
    return ends[0] if ends[0] == ends[1] else EN_DASH.join(ends)


def clock(hour: float) -> str:
    """Write hours since midnight as a clock shows them, also past midnight."""
    minutes = round(hour * 60)
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def level_axis(
    scale: Scale,
    values: Iterable[float],
    y: float,
    label: str,
    *,
    labels: Sequence[str] | None = None,
    size: float = SIZE,
) -> list[Mark]:
    """Draw an axis along the foot of a chart, with its label beneath."""
    values = list(values)
    words = labels if labels is not None else [number(value) for value in values]
    marks: list[Mark] = [Line(scale.start, y, scale.end, y, "ink", 1)]
    for value, word in zip(values, words, strict=True):
        x = scale(value)
        marks.append(Line(x, y, x, y + 4, "ink", 1))
        marks.append(Text(x, y + 5 + size, word, "ink", size, "middle"))
    middle = (scale.start + scale.end) / 2
    marks.append(Text(middle, y + 9 + 2 * size, label, "muted", size, "middle"))
    return marks


def upright_axis(
    scale: Scale, values: Iterable[float], x: float, across: float, unit: str = ""
) -> list[Mark]:
    """Draw an axis up the side, with hairlines across the chart."""
    marks: list[Mark] = []
    for value in values:
        y = scale(value)
        marks.append(Line(x, y, across, y, "hairline", 0.5))
        word = f"{number(value)}{unit}"
        marks.append(Text(x - 5, y + 4, word, "ink", SIZE, "end"))
    return marks


def flag(x: float, top: float, baseline: float, words: str) -> list[Mark]:
    """Name a moment: a thin line down to its words, to the left if they fit there.

    So of several flags, each lower and further right, none crosses another.
    """
    left = x - 4 - len(words) * LETTER > 2
    return [
        Line(x, top, x, baseline, "ink", 0.8),
        Text(x - 4 if left else x + 4, baseline, words, "ink", SIZE, _side(left=left)),
    ]


def _side(*, left: bool) -> Anchor:
    return "end" if left else "start"


def heading(title: str) -> Text:
    return Text(EDGE, 16, title, "ink", 13, bold=True)
