"""The local measures: a beet, and twelve of them in a stook."""

from typing import Final

from heritage.kits.drawing.marks import Drawing, Mark
from heritage.kits.process_drawings.labels import DrawingWords, Place, labels
from heritage.kits.process_drawings.plants import (
    Axis,
    Sheaf,
    draw_band,
    draw_sheaf,
    grass,
)

# The seed bolls, the stems, the band and the root end.
BEET: Final[tuple[Place, ...]] = (
    ((252, 52), (214, 62)),
    ((232, 128), (172, 132)),
    ((232, 194), (168, 189)),
    ((232, 316), (184, 314)),
)
# The last beet, laid across, and the root ends.
STOOK: Final[tuple[Place, ...]] = (((92, 34), (124, 82)), ((92, 332), (150, 298)))
# A beet without its names, cut at its sides.
LEFT, ALONE = 66, 160


def beet(words: DrawingWords) -> Drawing:
    """Draw a beet standing on its roots, tied at the middle.

    Without names for its parts it may be printed as small as one likes.
    """
    sheaf = Sheaf(Axis((140, 308), (146, 42)), 40, 25, 66, tie=0.45, stems=28, key=5)
    marks: list[Mark] = [*draw_sheaf(sheaf), *draw_band(sheaf)]
    if not words.names:
        alone = tuple(mark.at(-LEFT, 0) for mark in marks)
        return Drawing(ALONE, 336, alone, words.title, words.description)
    marks += labels(words, BEET)
    return Drawing(360, 336, tuple(marks), words.title, words.description)


def _far_row() -> list[Sheaf]:
    heads = {x: (182 + 0.4 * (x - 182), 96) for x in (88, 126, 163, 201, 238, 276)}
    return [
        Sheaf(Axis((x, 266), head), 17, 12, 27, stems=11, key=x, detail=3)
        for x, head in heads.items()
    ]


def _near_row() -> list[Sheaf]:
    """Stand the near beets, the outer ones first: the middle one covers them."""
    feet = ((66, 128), (298, 238), (118, 152), (246, 212), (181, 182))
    return [
        Sheaf(Axis((x, 290), (top, 98)), 21, 14, 31, stems=15, key=40 + k, detail=2)
        for k, (x, top) in enumerate(feet)
    ]


def stook(words: DrawingWords) -> Drawing:
    """Draw beets leaning together in two rows, with the last laid across."""
    laid = Sheaf(Axis((62, 96), (292, 84)), 18, 14, 32, stems=18, key=77)
    marks: list[Mark] = grass(16, 348, 300)
    for sheaf in _far_row():
        marks += [*draw_sheaf(sheaf, bolls=False), *draw_band(sheaf)]
    for sheaf in [*_near_row(), laid]:
        marks += [*draw_sheaf(sheaf), *draw_band(sheaf)]
    marks += labels(words, STOOK)
    return Drawing(360, 342, tuple(marks), words.title, words.description)
