"""One pen for everything drawn by hand: a stroke that swells and tapers.

A stroke is an outline to be filled, so page, paper and picture draw it alike. It
wobbles a little, always in the same way for the same points.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, pi, sin
from random import Random
from typing import Final

from heritage.kits.drawing.marks import Area, Point
from heritage.kits.drawing.shape import beziers
from heritage.kits.drawing.tones import Role

# How far a line strays, as a share of its width, and how thin it is at its ends.
WOBBLE: Final = 0.16
TIP: Final = 0.3
STEPS: Final = 5


def stroke(
    points: Sequence[Point], weight: float, role: Role = "ink", *, smooth: bool = True
) -> Area:
    """Draw a line of the pen through points; ``weight`` is its width in the middle."""
    return Area(outline(points, weight, smooth=smooth), role)


def outline(
    points: Sequence[Point], weight: float, *, smooth: bool = True
) -> list[Point]:
    """Return the outline of a stroke: there on one side, back on the other."""
    way = curve(points) if smooth and len(points) > 2 else _parted(points)
    chance = Random(repr(points))  # noqa: S311
    there, back = [], []
    last = len(way) - 1
    for index, (x, y) in enumerate(way):
        swell = TIP + (1 - TIP) * max(0, sin(pi * index / last)) ** 0.6
        half = weight / 2 * swell * (1 + chance.uniform(-WOBBLE, WOBBLE))
        along = way[max(0, index - 1)], way[min(last, index + 1)]
        across = _across(*along)
        there.append((x + half * across[0], y + half * across[1]))
        back.append((x - half * across[0], y - half * across[1]))
    return there + back[::-1]


def curve(points: Sequence[Point], *, closed: bool = False) -> list[Point]:
    """Return points along a smooth line through ``points``."""
    way = [points[0]]
    for one, other, end in beziers(points, closed=closed):
        start = way[-1]
        way += [
            _bezier(start, one, other, end, step / STEPS)
            for step in range(1, STEPS + 1)
        ]
    return way


def _parted(points: Sequence[Point]) -> list[Point]:
    """Return straight lines as points close enough to wobble at."""
    way = [points[0]]
    for (x1, y1), (x2, y2) in pairwise(points):
        way += [
            (x1 + (x2 - x1) * step / STEPS, y1 + (y2 - y1) * step / STEPS)
            for step in range(1, STEPS + 1)
        ]
    return way


def _bezier(a: Point, b: Point, c: Point, d: Point, t: float) -> Point:
    u = 1 - t
    shares = u**3, 3 * u * u * t, 3 * u * t * t, t**3
    return (
        sum(
            share * point[0] for share, point in zip(shares, (a, b, c, d), strict=True)
        ),
        sum(
            share * point[1] for share, point in zip(shares, (a, b, c, d), strict=True)
        ),
    )


def _across(one: Point, other: Point) -> Point:
    """Return the direction across a line, one long."""
    x, y = other[0] - one[0], other[1] - one[1]
    length = hypot(x, y) or 1
    return -y / length, x / length
