"""Wood: boards seen a little from above and from the right."""

import math
from dataclasses import dataclass
from typing import Final

from heritage.kits.drawing.marks import Area, Line, Mark, Point, Polyline
from heritage.kits.process_drawings.plants import waver

# How far one unit of depth moves a point on the paper.
DEEP_X: Final = 0.62
DEEP_Y: Final = -0.42


def back(point: Point, depth: float) -> Point:
    """Move a point away from the viewer."""
    return point[0] + DEEP_X * depth, point[1] + DEEP_Y * depth


def _face(points: list[Point]) -> list[Mark]:
    return [Area(points, "ground"), Polyline([*points, points[0]], "ink", 1.3)]


@dataclass(frozen=True)
class Board:
    """A board: its near top left corner, its length along a slope, its size."""

    corner: Point
    length: float
    high: float
    deep: float
    slope: float = 0

    def at(self, along: float, down: float, depth: float = 0) -> Point:
        """Give a point of the board. The slope is in degrees, rising to the right."""
        cos, sin = (
            math.cos(math.radians(self.slope)),
            math.sin(math.radians(self.slope)),
        )
        x = self.corner[0] + along * cos + down * sin
        y = self.corner[1] - along * sin + down * cos
        return back((x, y), depth)

    def _grain(self) -> list[Mark]:
        """Draw broken lines along the near face."""
        rows = max(int(self.high // 6), 1)
        key = int(self.corner[0] * 7 + self.corner[1] * 3)
        marks: list[Mark] = []
        for row in range(rows):
            down = self.high * (row + 0.6) / (rows + 0.3)
            start = self.length * (0.08 + 0.2 * abs(waver(key + row)))
            end = self.length * (0.95 - 0.3 * abs(waver(key + row + 9)))
            marks.append(Line(*self.at(start, down), *self.at(end, down), "muted", 0.6))
        return marks

    def draw(self) -> list[Mark]:
        length, high, deep = self.length, self.high, self.deep
        near = [
            self.at(0, 0),
            self.at(length, 0),
            self.at(length, high),
            self.at(0, high),
        ]
        top = [
            self.at(0, 0),
            self.at(length, 0),
            self.at(length, 0, deep),
            self.at(0, 0, deep),
        ]
        side = [
            self.at(length, 0),
            self.at(length, 0, deep),
            self.at(length, high, deep),
            self.at(length, high),
        ]
        return [*_face(top), *_face(side), *_face(near), *self._grain()]


def shives(left: float, right: float, y: float, count: int) -> list[Mark]:
    """Draw the broken bits of stem that fall below the work."""
    marks: list[Mark] = []
    for k in range(count):
        x = left + (right - left) * (k + 0.5 + waver(k, 0.4)) / count
        level = y + waver(k + 30, 7)
        reach = 3 + abs(waver(k + 60, 3))
        marks.append(Line(x, level, x + reach, level + waver(k + 90, 3), "crop", 1.1))
    return marks
