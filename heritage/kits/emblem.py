"""The notebook's own mark: a flax flower, five veined petals, seen from above."""

import math
from functools import cache

from heritage.kits.drawing.marks import Circle, Curve, Drawing, Line, Mark, Point


def _turned(points: list[Point], degrees: float) -> list[Point]:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(50 + x * cos - y * sin, 50 + x * sin + y * cos) for x, y in points]


def _petal(degrees: float) -> list[Mark]:
    edge: list[Point] = [
        (-3, -7),
        (-17, -24),
        (-22, -37),
        (-13, -45),
        (0, -43),
        (13, -45),
        (22, -37),
        (17, -24),
        (3, -7),
    ]
    veins: list[list[Point]] = [
        [(0, -12), (0, -26), (0, -38)],
        [(-1.5, -13), (-6, -26), (-9, -37)],
        [(1.5, -13), (6, -26), (9, -37)],
        [(-3, -13), (-11, -25), (-15.5, -34)],
        [(3, -13), (11, -25), (15.5, -34)],
    ]
    return [
        Curve(_turned(edge, degrees), "ground", closed=True, filled=True),
        Curve(_turned(edge, degrees), "action", 2),
        *(Curve(_turned(vein, degrees), "action", 0.9) for vein in veins),
    ]


def _heart() -> list[Mark]:
    stamens = [_turned([(0, -4), (0, -12)], 72 * k + 36) for k in range(5)]
    return [
        Circle(50, 50, 5, "ground", filled=True),
        Circle(50, 50, 5, "action", weight=1.6),
        *(Line(*root, *tip, "action", 1.2) for root, tip in stamens),
        *(Circle(*tip, 1.8, "action", filled=True) for _, tip in stamens),
    ]


@cache
def flax_flower() -> Drawing:
    """Draw the flower, 100 units square."""
    petals = [mark for k in range(5) for mark in _petal(72 * k)]
    return Drawing(100, 100, (*petals, *_heart()))
