"""The hackle: scutched fibre drawn through pins."""

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
from heritage.kits.process_drawings.plants import waver
from heritage.kits.process_drawings.timber import Board, back

# Which way it is drawn, the pins, the tow and the block.
PLACES: Final[tuple[Place, ...]] = (
    ((212, 82), (306, 112)),
    ((150, 122), (196, 152)),
    ((40, 318), (132, 214)),
    ((214, 318), (262, 272)),
)


def _pins(rows: range) -> list[Mark]:
    """Set rows of pins, the far ones first, each a thin spike."""
    marks: list[Mark] = []
    for row in rows:
        for k in range(9):
            x, y = back((116 + 15.0 * k, 232), 66 - 18 * row)
            spike = [(x - 2, y), (x, y - 62), (x + 2, y)]
            marks += [Area(spike, "ground"), Polyline(spike, "ink", 1.1)]
    return marks


def _strick(key: int) -> list[Mark]:
    """Draw the fibre lying through the pins, its ends combed and its head held."""
    marks: list[Mark] = []
    for k in range(26):
        place = -1 + 2 * k / 25
        comb: list[Point] = [
            (342, 128 + 5 * place),
            (296, 158 + 9 * place),
            (226, 184 + 17 * place + waver(key + k, 2)),
            (140, 192 + 20 * place + waver(key + k + 5, 3)),
            (70, 206 + 27 * place + waver(key + k + 9, 5)),
            (26 + waver(key + k, 14), 236 + 30 * place + waver(key + k + 40, 6)),
        ]
        marks.append(Curve(comb, "crop" if k % 3 else "ink", 0.9))
    return marks


def hackle(words: DrawingWords) -> Drawing:
    """Draw a hackle on its block and a strick drawn through it."""
    marks: list[Mark] = [
        *Board((40, 258), 250, 22, 100).draw(),
        *Board(back((104, 234), 14), 150, 16, 70).draw(),
        *_pins(range(2)),
        *_strick(2),
        *_pins(range(2, 4)),
        Line(300, 118, 336, 94, "action", 3),
        Polyline([(325, 93), (337, 93), (333, 104)], "action", 3),
        *labels(words, PLACES),
    ]
    lowered = tuple(placed(marks, 0, -58))
    return Drawing(360, 274, lowered, words.title, words.description)
