"""The brake: dry straw cracked between boards."""

from typing import Final

from heritage.kits.drawing.marks import Circle, Curve, Drawing, Mark, Polyline, placed
from heritage.kits.process_drawings.labels import DrawingWords, Place, labels
from heritage.kits.process_drawings.plants import Axis, Sheaf, draw_sheaf, grass
from heritage.kits.process_drawings.timber import Board, back, shives

# The upper boards, the lower boards, the straw and the handle.
PLACES: Final[tuple[Place, ...]] = (
    ((116, 58), (176, 124)),
    ((222, 326), (206, 198)),
    ((92, 326), (152, 226)),
    ((262, 46), (318, 88)),
)


def _legs(y: float, depth: float) -> list[Mark]:
    marks: list[Mark] = []
    for x in (70.0, 238.0):
        corner = back((x, y), depth)
        marks += Board(corner, 13, 92, 9).draw()
    return marks


def _jaw(depth: float) -> list[Mark]:
    """Draw one of the upper boards, hinged at the left and held open."""
    corner = back((62, 158), depth)
    return Board(corner, 224, 17, 7, slope=15).draw()


def brake(words: DrawingWords) -> Drawing:
    """Draw a hand brake, open, with a handful laid across its bed."""
    bed = [Board(back((48, 188), depth), 232, 17, 7) for depth in (64.0, 32.0, 0.0)]
    handful = Sheaf(Axis((150, 232), (232, 150)), 11, 10, 14, stems=12, key=3)
    marks: list[Mark] = [*grass(12, 350, 298, key=5), *_legs(205, 58)]
    marks += [mark for board in bed for mark in board.draw()]
    marks += _legs(205, 0)
    marks += draw_sheaf(handful, bolls=False, roots=False)
    marks += Board((52, 146), 13, 62, 50).draw()
    for depth in (48.0, 16.0):
        marks += _jaw(depth)
    marks += Board((292, 91), 44, 11, 11, slope=15).draw()
    marks += [
        Circle(68, 166, 4, "ground", filled=True),
        Circle(68, 166, 4, "ink", weight=1.3),
        Curve([(338, 108), (344, 128), (340, 148)], "action", 3),
        Polyline([(334, 139), (340, 149), (350, 142)], "action", 3),
        *shives(120, 210, 286, 22),
        *labels(words, PLACES),
    ]
    lowered = tuple(placed(marks, 0, -26))
    return Drawing(360, 312, lowered, words.title, words.description)
