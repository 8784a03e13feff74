"""The dam, cut through: beets in the water, and what holds them under."""

from typing import Final

from heritage.kits.drawing.marks import (
    Area,
    Curve,
    Drawing,
    Line,
    Mark,
    Point,
    Polyline,
    placed,
)
from heritage.kits.process_drawings.labels import DrawingWords, Place, labels
from heritage.kits.process_drawings.plants import (
    Axis,
    Sheaf,
    draw_band,
    draw_sheaf,
    grass,
    waver,
)

BRIM, FLOOR, LEVEL = 132.0, 286.0, 146.0
LEFT, RIGHT, SLOPE = 34.0, 326.0, 26.0
COVER: Final = 158.0
# The stones, the rushes, the beets and the water.
PLACES: Final[tuple[Place, ...]] = (
    ((20, 60), (104, 120)),
    ((196, 84), (240, 156)),
    ((84, 332), (98, 274)),
    ((284, 332), (299, 262)),
)


def _pool() -> list[Mark]:
    reach = SLOPE * (LEVEL - BRIM) / (FLOOR - BRIM)
    water = [
        (LEFT + reach, LEVEL),
        (RIGHT - reach, LEVEL),
        (RIGHT - SLOPE, FLOOR),
        (LEFT + SLOPE, FLOOR),
    ]
    return [Area(water, "water")]


def _banks() -> list[Mark]:
    """Draw the sides and floor, with the short strokes that mean earth."""
    edge: list[Point] = [
        (LEFT, BRIM),
        (LEFT + SLOPE, FLOOR),
        (RIGHT - SLOPE, FLOOR),
        (RIGHT, BRIM),
    ]
    marks: list[Mark] = [
        Polyline(edge, "ink", 2),
        *grass(4, LEFT, BRIM, key=4),
        *grass(RIGHT, 356, BRIM, key=6),
    ]
    for k in range(9):
        y = BRIM + 14 + 16.5 * k
        inset = SLOPE * (y - BRIM) / (FLOOR - BRIM)
        marks.append(Line(LEFT + inset - 3, y, LEFT + inset - 12, y + 8, "muted", 0.8))
        marks.append(
            Line(RIGHT - inset + 3, y, RIGHT - inset + 12, y + 8, "muted", 0.8)
        )
    for k in range(16):
        x = LEFT + SLOPE + 8 + 15 * k
        marks.append(Line(x, FLOOR + 4, x - 8, FLOOR + 12, "muted", 0.8))
    return marks


def _beets() -> list[Mark]:
    """Stand the beets side by side on their roots, sloped a little."""
    marks: list[Mark] = []
    for k in range(9):
        x = 76 + 26 * k
        sheaf = Sheaf(
            Axis((x - 6, FLOOR - 8), (x + 5, 166)),
            13,
            9.5,
            15,
            stems=10,
            key=60 + k,
            detail=2,
        )
        marks += [*draw_sheaf(sheaf), *draw_band(sheaf, deep=0.06)]
    return marks


def _cover() -> list[Mark]:
    """Lay rushes over the tops."""
    marks: list[Mark] = []
    for k in range(26):
        x = 50 + 9.6 * k
        y = COVER + waver(k, 4)
        bend = (x + 12, y - 3 + waver(k + 40, 3))
        marks.append(
            Curve([(x - 8, y + 4), bend, (x + 30, y + waver(k + 80, 4))], "crop", 1.2)
        )
    return marks


STONE: Final = (
    *((-1.0, 0.1), (-0.75, -0.7), (-0.1, -1.0), (0.65, -0.8)),
    *((1.0, -0.1), (0.8, 0.7), (0.1, 0.9), (-0.7, 0.8)),
)


def _stone(x: float, y: float, wide: float, high: float, key: int) -> list[Mark]:
    """Draw a field stone: an uneven round with its shaded side."""
    edge = [
        (
            x + wide * (dx + waver(key * 9 + k, 0.1)),
            y + high * (dy + waver(key * 13 + k, 0.12)),
        )
        for k, (dx, dy) in enumerate(STONE)
    ]
    shade: list[Mark] = []
    for k in range(3):
        low = (x + wide * (0.2 + 0.2 * k), y + high * 0.62)
        top = (x + wide * (0.42 + 0.15 * k), y + high * (0.05 - 0.1 * k))
        shade.append(Line(*low, *top, "muted", 0.8))
    return [
        Curve(edge, "ground", closed=True, filled=True),
        Curve(edge, "ink", 1.4, closed=True),
        *shade,
    ]


def _stones() -> list[Mark]:
    """Set the stones close, one row and some on top."""
    marks: list[Mark] = []
    upper = ((104, 17), (157, 15), (214, 18), (262, 14))
    for k, (x, wide) in enumerate(upper):
        marks += _stone(x, 121, wide, 11, 30 + k)
    lower = ((66, 17), (100, 18), (137, 20), (176, 19), (215, 20), (253, 18), (289, 17))
    for k, (x, wide) in enumerate(lower):
        marks += _stone(x, 142, wide, 13, k)
    return marks


def dam(words: DrawingWords) -> Drawing:
    """Draw a filled dam in section."""
    marks: list[Mark] = [*_pool(), *_beets(), *_cover(), *_stones(), *_banks()]
    ripples: list[list[Point]] = [
        [(LEFT + 3, LEVEL), (LEFT + 9, LEVEL - 2), (LEFT + 16, LEVEL)],
        [(RIGHT - 18, LEVEL), (RIGHT - 10, LEVEL - 2), (RIGHT - 3, LEVEL)],
    ]
    marks += [Curve(ripple, "action", 1.6) for ripple in ripples]
    marks = placed([*marks, *labels(words, PLACES)], 0, -34)
    return Drawing(360, 312, tuple(marks), words.title, words.description)
