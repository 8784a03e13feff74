"""A dam cut through along its length."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from heritage.kits.charts.axes import WIDTH, heading, number
from heritage.kits.drawing.marks import (
    Area,
    Curve,
    Drawing,
    Line,
    Mark,
    Point,
    Polyline,
    Text,
)


@dataclass(frozen=True)
class DamWords:
    """What is said of a dam; a measure goes into each but the title."""

    title: str
    # With {length} or {depth}.
    brim: str
    floor: str
    deep: str
    water: str
    larger: str
    # With {brim}, {floor}, {depth}, {water} and {percent}.
    told: str


LEFT, RIGHT = 22.0, 244.0
BRIM, FLOOR = 78.0, 178.0
ARROW: Final = 4.0
# Of the figures: on a phone they are read without glasses.
SIZE: Final = 15.0


def metres(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") + " m"


def _across(x1: float, x2: float, y: float, words: str) -> list[Mark]:
    """Draw a measure across: a line with its arrows and figure."""
    return [
        Line(x1, y, x2, y, "muted", 0.8),
        Polyline([(x1 + ARROW, y - 3), (x1, y), (x1 + ARROW, y + 3)], "muted", 0.8),
        Polyline([(x2 - ARROW, y - 3), (x2, y), (x2 - ARROW, y + 3)], "muted", 0.8),
        Text((x1 + x2) / 2, y - 5, words, "ink", SIZE, "middle"),
    ]


def _upright(x: float, y1: float, y2: float, words: Sequence[str]) -> list[Mark]:
    middle = (y1 + y2) / 2
    return [
        Line(x, y1, x, y2, "muted", 0.8),
        Polyline([(x - 3, y1 + ARROW), (x, y1), (x + 3, y1 + ARROW)], "muted", 0.8),
        Polyline([(x - 3, y2 - ARROW), (x, y2), (x + 3, y2 - ARROW)], "muted", 0.8),
        *(
            Text(x + 6, middle - 2 + 17 * row, word, "ink", SIZE)
            for row, word in enumerate(words)
        ),
    ]


def _soil(sides: list[Point]) -> list[Mark]:
    """Draw the ground's edge, with the short strokes that mean earth."""
    ground = [(14.0, BRIM), *sides, (WIDTH - 14, BRIM)]
    marks: list[Mark] = [Polyline(ground, "ink", 2)]
    for (x1, y1), (x2, y2) in pairwise(ground):
        length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
        for k in range(1, int(length // 12) + 1):
            x, y = (x1 + (x2 - x1) * k * 12 / length, y1 + (y2 - y1) * k * 12 / length)
            lean = 6 if y2 < y1 else -6
            marks.append(Line(x, y + 2, x + lean, y + 9, "muted", 0.8))
    return marks


def _water(
    floor: tuple[float, float], share: float, measure: tuple[str, str]
) -> list[Mark]:
    """Fill a share of the dam's depth, with ripples and the water's own measure."""
    if not share:
        return []
    level = FLOOR - share * (FLOOR - BRIM)
    left = floor[0] - share * (floor[0] - LEFT)
    right = floor[1] + share * (RIGHT - floor[1])
    body = [(left, level), (floor[0], FLOOR), (floor[1], FLOOR), (right, level)]
    ripple = [
        (left + k * (right - left) / 12, level + (1.6 if k % 2 else -1.6))
        for k in range(13)
    ]
    upright = _upright((LEFT + RIGHT) / 2, level, FLOOR, measure)
    return [Area(body, "water"), Curve(ripple, "action", 1.6), *upright]


def dam_section(
    *,
    top_length: float,
    bottom_length: float,
    depth: float,
    water_depth: float,
    words: DamWords,
) -> Drawing:
    """Draw a dam's section with its measures and the depth of water, in metres.

    Heights are drawn larger than lengths, and the drawing says so.
    """
    if not 0 <= water_depth <= depth or not 0 < bottom_length <= top_length:
        raise ValueError("The water must fit the dam, and the floor its brim.")
    inset = (RIGHT - LEFT) * (1 - bottom_length / top_length) / 2
    floor = (LEFT + inset, RIGHT - inset)
    share = water_depth / depth
    brim, bottom, deep = metres(top_length), metres(bottom_length), metres(depth)
    sides = [(LEFT, BRIM), (floor[0], FLOOR), (floor[1], FLOOR), (RIGHT, BRIM)]
    marks: list[Mark] = [
        heading(words.title),
        *_water(floor, share, (words.water, metres(water_depth))),
        *_soil(sides),
        *_across(LEFT, RIGHT, BRIM - 20, words.brim.format(length=brim)),
        *_across(*floor, FLOOR + 32, words.floor.format(length=bottom)),
        *_upright(RIGHT + 12, BRIM + 14, FLOOR, [words.deep.format(depth=deep)]),
        Text(10, FLOOR + 58, words.larger, "muted", SIZE),
    ]
    description = words.told.format(
        brim=brim,
        floor=bottom,
        depth=deep,
        water=metres(water_depth),
        percent=number(round(100 * share)),
    )
    return Drawing(WIDTH, FLOOR + 62, tuple(marks), words.title, description)
