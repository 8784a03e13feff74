"""The scutching board and its blade: the woody bits stroked away."""

import math
from typing import Final

from heritage.kits.drawing.marks import (
    Area,
    Circle,
    Curve,
    Drawing,
    Line,
    Mark,
    Point,
    Polyline,
)
from heritage.kits.process_drawings.labels import DrawingWords, Place, labels
from heritage.kits.process_drawings.plants import grass, waver
from heritage.kits.process_drawings.timber import Board, back, shives

# The board and its notch, the blade, the straw and the shive.
PLACES: Final[tuple[Place, ...]] = (
    ((18, 34), (141, 113)),
    ((248, 52), (268, 100)),
    ((206, 252), (172, 226)),
    ((206, 338), (232, 300)),
)
# Along the blade and across it, from the hilt.
BLADE: Final[tuple[Point, ...]] = (
    *((0, -5), (34, -5), (40, -17), (150, -15), (160, -4)),
    *((152, 13), (40, 15), (34, 5), (0, 5)),
)
FRONT: Final[tuple[Point, ...]] = (
    *((92, 52), (168, 52), (168, 112), (140, 112)),
    *((140, 128), (168, 128), (168, 292), (92, 292)),
)


def _blade(hilt: Point, angle: float) -> list[Mark]:
    """Draw a wooden scutching blade: flat, long, thin at its edge."""
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))

    def turn(*points: Point) -> list[Point]:
        return [
            (hilt[0] + x * cos - y * sin, hilt[1] + x * sin + y * cos)
            for x, y in points
        ]

    shape = turn(*BLADE)
    grain = [turn((52 + 9 * k, 5 * k - 9), (138 - 7 * k, 5 * k - 8)) for k in range(3)]
    return [
        Area(shape, "ground"),
        Polyline([*shape, shape[0]], "ink", 1.5),
        Polyline(turn((44, 8), (150, 7)), "ink", 0.8),
        *(Polyline(line, "muted", 0.6) for line in grain),
        Circle(*turn((6, 0))[0], 2, "ink", weight=1),
    ]


def _hank(
    top: Point, length: float, wide: float, key: int, count: int = 26
) -> list[Mark]:
    """Draw loose fibre hanging down."""
    marks: list[Mark] = []
    edges: list[list[Point]] = []
    for k in range(count):
        place = -1 + 2 * k / (count - 1)
        end = length * (1 + waver(key + k, 0.08))
        strand: list[Point] = [
            (top[0] + 0.55 * wide * place, top[1]),
            (
                top[0] + 0.8 * wide * place + waver(key + k + 7, 1.5),
                top[1] + 0.35 * end,
            ),
            (top[0] + wide * place + waver(key + k + 13, 3), top[1] + 0.7 * end),
            (top[0] + wide * place * 0.9 + waver(key + k + 19, 4), top[1] + end),
        ]
        edges.append(strand)
        marks.append(Curve(strand, "crop" if k % 3 else "ink", 0.8))
    return [Area([*edges[0], *reversed(edges[-1])], "straw"), *marks]


def _side(*edge: Point) -> list[Mark]:
    """Draw one of the board's far faces, behind an edge of its front."""
    face = [*edge, *(back(point, 16) for point in reversed(edge))]
    return [Area(face, "ground"), Polyline([*face, face[0]], "ink", 1.3)]


def _board() -> list[Mark]:
    """Draw the upright board, its notch cut into the right edge."""
    grain = [
        (102 + 11.0 * k, 64 + waver(k, 6), 270 + waver(k + 9, 12)) for k in range(4)
    ]
    return [
        *Board((56, 292), 150, 16, 40).draw(),
        *_side((92, 52), (168, 52)),
        *_side((168, 52), (168, 112)),
        *_side((168, 128), (168, 292)),
        Area(FRONT, "ground"),
        Polyline([*FRONT, FRONT[0]], "ink", 1.5),
        *(Line(x, top, x, foot, "muted", 0.6) for x, top, foot in grain),
    ]


def scutching(words: DrawingWords) -> Drawing:
    """Draw the board with a broken handful over its notch, and the blade."""
    marks: list[Mark] = [
        *grass(14, 350, 312, key=9),
        *_board(),
        *_hank((156, 118), 128, 24, key=4),
        *_blade((322, 74), 148),
        Curve([(286, 136), (272, 168), (248, 196)], "action", 3),
        Polyline([(250, 184), (247, 197), (260, 196)], "action", 3),
        *shives(196, 262, 296, 16),
        *labels(words, PLACES),
    ]
    return Drawing(360, 350, tuple(marks), words.title, words.description)
