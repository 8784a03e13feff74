"""The field as a plan that empties from the gate, plot by plot."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random
from typing import Final

from heritage.kits.drawing.marks import Area, Drawing, Line, Mark, Point, Polyline, Rect
from heritage.kits.drawing.pen import stroke

WIDTH: Final = 360
HEIGHT: Final = 230
HEDGE: Final = 13
# A share known this closely is drawn with a clean edge.
CLEAN: Final = 0.03
TEETH: Final = 26
ROW: Final = 10


@dataclass(frozen=True)
class Patch:
    """A plot: its area, and the least and most of it that may be pulled, 0 to 1."""

    area: float
    low: float
    high: float

    @property
    def is_known(self) -> bool:
        """Whether the edge of what stands is known well enough to be drawn."""
        return self.high - self.low <= CLEAN


def field_plan(patches: Sequence[Patch], *, title: str, told: str) -> Drawing:
    """Draw what stands and what is pulled, with a frayed edge where it is guessed.

    ``told`` says the same in words. The plots stand side by side, each as wide as its
    share of the area; where they lie in truth the drawing does not know.
    """
    chance = Random(len(patches))  # noqa: S311
    inner = WIDTH - 2 * HEDGE
    whole = sum(patch.area for patch in patches) or 1
    marks: list[Mark] = [
        Rect(0, 0, WIDTH, HEIGHT, "grass", filled=True),
        Rect(HEDGE, HEDGE, inner, HEIGHT - 2 * HEDGE, "soil", filled=True),
    ]
    left = float(HEDGE)
    for patch in patches:
        right = left + inner * patch.area / whole
        marks += _patch(patch, left, right, chance)
        if left > HEDGE:
            marks.append(stroke([(left, HEDGE), (left + 1, HEIGHT - HEDGE)], 1.6))
        left = right
    return Drawing(WIDTH, HEIGHT, (*marks, *_hedge(chance)), title, told)


def _patch(patch: Patch, left: float, right: float, chance: Random) -> Iterator[Mark]:
    top, deep = float(HEDGE), float(HEIGHT - 2 * HEDGE)
    sure, perhaps = (top + deep * (1 - share) for share in (patch.high, patch.low))
    if patch.is_known:
        sure = perhaps = top + deep * (1 - (patch.low + patch.high) / 2)
    edge = _edge(patch, left, right, sure, perhaps, chance)
    yield from _stubble(left, right, perhaps, chance)
    if perhaps > top + 1:
        yield Area([(left, top), *edge, (right, top)], "flax")
        yield from _stems(left, right, top, sure, chance)
    if patch.is_known and top + 1 < sure < top + deep - 1:
        yield stroke(edge, 2)


def _edge(
    patch: Patch,
    left: float,
    right: float,
    sure: float,
    perhaps: float,
    chance: Random,
) -> list[Point]:
    """Return the lower edge of what stands: straight where known, else torn."""
    teeth = max(4, round(TEETH * (right - left) / WIDTH))
    step = (right - left) / teeth
    if patch.is_known:
        return [
            (left + place * step, sure + chance.uniform(-1, 1))
            for place in range(teeth + 1)
        ]
    torn = [(left, sure)]
    for place in range(teeth):
        tip = chance.uniform(sure, perhaps)
        torn += [
            (left + (place + 0.5) * step, tip),
            (left + (place + 1) * step, sure + chance.uniform(0, 0.2) * (tip - sure)),
        ]
    return torn


def _stems(
    left: float, right: float, top: float, sure: float, chance: Random
) -> Iterator[Mark]:
    """Draw stems with their bolls where the crop surely stands."""
    feet = [
        (x + chance.uniform(-2.5, 2.5), y + chance.uniform(-2, 2))
        for y in _steps(top + 13, sure - 1, 17)
        for x in _steps(left + 6, right - 4, ROW)
    ]
    yield from (
        Polyline([(x, y), (x + 0.8, y - 6), (x + 0.2, y - 10)], "ink", 1)
        for x, y in feet
    )
    yield from (Line(x + 0.2, y - 10, x + 0.3, y - 10, "ink", 2.8) for x, y in feet)


def _stubble(left: float, right: float, top: float, chance: Random) -> Iterator[Mark]:
    for x in _steps(left + 7, right - 4, 2 * ROW):
        for y in _steps(top + 9, HEIGHT - HEDGE - 7, 16):
            start = y + chance.uniform(-3, 3)
            yield Line(x, start, x + chance.uniform(-0.8, 0.8), start + 7, "crop", 1)


def _hedge(chance: Random) -> Iterator[Mark]:
    """Draw the hedge round the field, open at the gate below."""
    ends = (0.78, 0.9)
    middle = HEDGE / 2
    for x in _steps(4, WIDTH - 4, 11):
        yield _bush(x, middle, chance)
        if not ends[0] < x / WIDTH < ends[1]:
            yield _bush(x, HEIGHT - middle, chance)
    for y in _steps(HEDGE + 4, HEIGHT - HEDGE, 11):
        yield _bush(middle, y, chance)
        yield _bush(WIDTH - middle, y, chance)
    left, right = (share * WIDTH for share in ends)
    bars = [
        [(left, y), (right, y - 0.6)] for y in (HEIGHT - HEDGE + 2, HEIGHT - HEDGE + 7)
    ]
    bars += [[(x, HEIGHT - HEDGE - 2), (x, HEIGHT - 1)] for x in (left, right)]
    yield from (stroke(bar, 2, smooth=False) for bar in bars)


def _bush(x: float, y: float, chance: Random) -> Mark:
    """Draw one tuft, as a stroke so that all of them are one path."""
    x, y = x + chance.uniform(-1.5, 1.5), y + chance.uniform(-1.5, 1.5)
    around = [
        (x - 4, y + 2),
        (x - 4, y - 2),
        (x, y - 4),
        (x + 4, y - 2),
        (x + 4, y + 2),
    ]
    return Polyline(around, "ink", 1)


def _steps(first: float, last: float, step: float) -> Iterator[float]:
    while first <= last:
        yield first
        first += step
