"""Geometry both writers share: smooth curves and hatching."""

import math
from collections.abc import Sequence

from heritage.kits.drawing.marks import Point
from heritage.kits.drawing.tones import Hatch

Bezier = tuple[Point, Point, Point]
Segment = tuple[Point, Point]


def beziers(points: Sequence[Point], *, closed: bool) -> list[Bezier]:
    """Give a smooth curve through the points, piece by piece after the first.

    Catmull-Rom tangents: each is a sixth of the chord between its two neighbours.
    """
    count = len(points)
    pieces = []
    for index in range(count if closed else count - 1):
        before, start, end, after = (
            points[i % count] if closed else points[min(max(i, 0), count - 1)]
            for i in range(index - 1, index + 3)
        )
        first = (
            start[0] + (end[0] - before[0]) / 6,
            start[1] + (end[1] - before[1]) / 6,
        )
        second = (
            end[0] - (after[0] - start[0]) / 6,
            end[1] - (after[1] - start[1]) / 6,
        )
        pieces.append((first, second, end))
    return pieces


def _turn(point: Point, angle: float) -> Point:
    cos, sin = math.cos(angle), math.sin(angle)
    return point[0] * cos - point[1] * sin, point[0] * sin + point[1] * cos


def _crossings(points: Sequence[Point], y: float) -> list[float]:
    """Where a level line enters and leaves the polygon, from left to right."""
    edges = zip(points, [*points[1:], points[0]], strict=True)
    return sorted(
        x1 + (y - y1) * (x2 - x1) / (y2 - y1)
        for (x1, y1), (x2, y2) in edges
        if (y1 <= y) != (y2 <= y)
    )


def hatching(points: Sequence[Point], hatch: Hatch) -> list[Segment]:
    """Give the ruled lines that cover a polygon.

    The lines sit on one grid for the whole drawing, so areas side by side match.
    """
    angle = math.radians(hatch.angle)
    level = [_turn(point, -angle) for point in points]
    low, high = min(y for _, y in level), max(y for _, y in level)
    segments = []
    for step in range(math.ceil(low / hatch.spacing), int(high // hatch.spacing) + 1):
        y = step * hatch.spacing
        ends = _crossings(level, y)
        segments += [
            (_turn((left, y), angle), _turn((right, y), angle))
            for left, right in zip(ends[::2], ends[1::2], strict=True)
        ]
    return segments


def corners(x: float, y: float, width: float, height: float) -> list[Point]:
    """Give a box's corners, clockwise from the top left."""
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
