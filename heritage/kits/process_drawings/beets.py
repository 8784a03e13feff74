"""The local measures: a beet, and twelve of them in a stook."""

from heritage.kits.drawing.marks import Drawing, Mark
from heritage.kits.process_drawings.labels import labels
from heritage.kits.process_drawings.plants import (
    Axis,
    Sheaf,
    draw_band,
    draw_sheaf,
    grass,
)

# A beet without its names, cut at its sides.
LEFT, ALONE = 66, 160


def beet(*, named: bool = True) -> Drawing:
    """Draw a beet standing on its roots, tied at the middle; its parts are named.

    Without the names it may be printed as small as one likes.
    """
    sheaf = Sheaf(Axis((140, 308), (146, 42)), 40, 25, 66, tie=0.45, stems=28, key=5)
    marks: list[Mark] = [*draw_sheaf(sheaf), *draw_band(sheaf)]
    said = (
        "A beet of flax standing upright: stems all one way, roots level at the foot, "
        "a twisted band of rushes round the middle, seed bolls spread at the top."
    )
    title = "A beet and its band"
    if not named:
        alone = tuple(mark.at(-LEFT, 0) for mark in marks)
        return Drawing(ALONE, 336, alone, title, said)
    marks += labels(
        [
            ("seed bolls", (252, 52), (214, 62)),
            ("stems, all one way", (232, 128), (172, 132)),
            ("band of rushes", (232, 194), (168, 189)),
            ("root end, level", (232, 316), (184, 314)),
        ]
    )
    return Drawing(360, 336, tuple(marks), title, said)


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


def stook() -> Drawing:
    """Draw beets leaning together in two rows, with the last laid across."""
    laid = Sheaf(Axis((62, 96), (292, 84)), 18, 14, 32, stems=18, key=77)
    marks: list[Mark] = grass(16, 348, 300)
    for sheaf in _far_row():
        marks += [*draw_sheaf(sheaf, bolls=False), *draw_band(sheaf)]
    for sheaf in [*_near_row(), laid]:
        marks += [*draw_sheaf(sheaf), *draw_band(sheaf)]
    marks += labels(
        [
            ("the last beet, laid across", (92, 34), (124, 82)),
            ("root ends apart, for the air", (92, 332), (150, 298)),
        ]
    )
    said = (
        "A stook: beets stand root end down and lean together in two rows, so that "
        "air passes between them; the last beet lies across their tops."
    )
    return Drawing(360, 342, tuple(marks), "A stook", said)
