"""Pulling: two fists close round a handful, and the roots leave the ground."""

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
from heritage.kits.process_drawings.plants import (
    Axis,
    Sheaf,
    draw_sheaf,
    grass,
    root,
    tuft,
    waver,
)

GROUND: Final = 318.0
# Where the hands grip, and the roots.
PLACES: Final[tuple[Place, ...]] = (((218, 30), (209, 92)), ((224, 300), (184, 300)))


def _standing(x: float, ground: float, height: float, key: int) -> list[Mark]:
    """Draw one plant still in the ground, its root below."""
    sway = waver(key, 7)
    top = (x + sway, ground - height)
    middle = (x + 0.35 * sway, ground - 0.5 * height)
    leaves: list[Mark] = []
    for k in range(7):
        share = 0.5 + 0.065 * k
        at = (x + 0.6 * share * sway, ground - share * height)
        side = 4 if (k + key) % 2 else -4
        leaves.append(Line(*at, at[0] + side, at[1] - 9, "ink", 0.7))
    return [
        Curve([(x, ground), middle, top], "ink", 1.1),
        *leaves,
        *tuft(top, sway / 60, key, 13),
        *root((x, ground), waver(key + 3, 0.2), key, 15),
    ]


def _finger(axis: Axis, along: float, *, reach: float, thick: float) -> list[Mark]:
    """Draw one finger laid across the handful, its end rounded."""
    half = thick / 2 / axis.length
    edge = [
        axis(along - half, 19),
        axis(along - half * 1.05, 0),
        axis(along - half * 0.9, -reach + 5),
        axis(along - half * 0.3, -reach),
        axis(along + half * 0.4, -reach),
        axis(along + half * 0.95, -reach + 5),
        axis(along + half * 1.05, 0),
        axis(along + half, 19),
    ]
    nail = [axis(along + half * 0.5, -reach + 3), axis(along - half * 0.4, -reach + 3)]
    return [
        Area(edge, "ground"),
        Curve(edge, "ink", 1.3),
        Curve([nail[0], axis(along, -reach + 6.5), nail[1]], "ink", 0.6),
    ]


def _back_of_hand(axis: Axis, along: float, wrist: tuple[Point, Point]) -> list[Mark]:
    """Draw the hand from its knuckles to the wrist."""
    step = 22 / axis.length
    upper, lower = wrist
    knuckles = [
        axis(along + s * step, 21 + r)
        for s, r in ((1.05, 0), (0.4, 3), (-0.4, 3), (-1.05, 0))
    ]
    shape = [knuckles[0], upper, lower, *reversed(knuckles[1:])]
    top_edge = [knuckles[0], _between(knuckles[0], upper, -3), upper]
    low_edge = [knuckles[3], _between(knuckles[3], lower, 3), lower]
    dents: list[Mark] = []
    for s in (0.55, 0.0, -0.55):
        start, end = axis(along + s * step, 20), axis(along + s * step * 0.9, 31)
        dents.append(Curve([start, _between(start, end, 1), end], "ink", 0.8))
    return [
        Area(shape, "ground"),
        Curve(top_edge, "ink", 1.3),
        Curve(low_edge, "ink", 1.3),
        *dents,
    ]


def _between(one: Point, other: Point, lift: float) -> Point:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2 + lift


def _sleeve(wrist: tuple[Point, Point], elbow: tuple[Point, Point]) -> list[Mark]:
    """Draw a rolled cuff and the sleeve running off the drawing."""
    (ux, uy), (lx, ly) = wrist
    cuff = [(ux - 1, uy - 5), (ux + 11, uy - 8), (lx + 13, ly + 6), (lx + 1, ly + 5)]
    sleeve = [(ux + 11, uy - 6), elbow[0], elbow[1], (lx + 13, ly + 4)]
    folds = [_fold(sleeve, share) for share in (0.16, 0.42)]
    return [
        Area(sleeve, "water"),
        Polyline([sleeve[0], sleeve[1]], "ink", 1.3),
        Polyline([sleeve[3], sleeve[2]], "ink", 1.3),
        *folds,
        Area(cuff, "ground"),
        Polyline([*cuff, cuff[0]], "ink", 1.3),
    ]


def _fold(sleeve: list[Point], share: float) -> Mark:
    """Draw a crease from the sleeve's upper edge to its middle."""
    (ux, uy), (ex, ey), (fx, fy), (lx, ly) = sleeve
    top = (ux + share * (ex - ux), uy + share * (ey - uy))
    low = (lx + share * (fx - lx), ly + share * (fy - ly))
    deep = (top[0] + 0.5 * (low[0] - top[0]) + 2, top[1] + 0.5 * (low[1] - top[1]))
    return Curve([top, (top[0] - 3, (top[1] + deep[1]) / 2), deep], "ink", 0.8)


def _fist(
    axis: Axis, along: float, wrist: tuple[Point, Point], elbow: tuple[Point, Point]
) -> list[Mark]:
    """Draw a hand closed round the handful, and its arm."""
    step = 11.2 / axis.length
    marks = [*_sleeve(wrist, elbow), *_back_of_hand(axis, along, wrist)]
    thumb = [
        axis(along + 2.1 * step, 14),
        axis(along + 3.1 * step, -4),
        axis(along + 2.5 * step, -17),
        axis(along + 1.7 * step, -12),
    ]
    marks += [
        Curve(thumb, "ground", closed=True, filled=True),
        Curve(thumb, "ink", 1.3, closed=True),
    ]
    for k, reach in enumerate((17.0, 20.0, 20.0, 16.0)):
        marks += _finger(axis, along + (1.5 - k) * step, reach=reach, thick=11)
    return marks


def _crumbs(at: Point) -> list[Mark]:
    """Draw soil falling from the roots."""
    spots = ((-16, 6), (-7, 12), (3, 8), (11, 14), (17, 5), (-2, 19), (8, 22))
    return [
        Circle(at[0] + dx, at[1] + dy, 1.1 + 0.5 * (k % 2), "crop", filled=True)
        for k, (dx, dy) in enumerate(spots)
    ]


def _crop() -> list[Mark]:
    """Draw the plants still standing, and the ground they stand in."""
    marks: list[Mark] = []
    for k in range(13):
        place = 16 + 8.2 * k + waver(k, 3)
        marks += _standing(place, GROUND, 226 + waver(k + 9, 20), k)
    return [*marks, *grass(6, 354, GROUND, key=8)]


def pulling(words: DrawingWords) -> Drawing:
    """Draw a handful coming out of the ground beside plants still standing."""
    axis = Axis((166, 290), (196, 52))
    marks: list[Mark] = [
        *_crop(),
        *draw_sheaf(Sheaf(axis, 15, 11, 34, tie=0.5, stems=12, key=9)),
        *_crumbs((166, 296)),
        *_fist(axis, 0.4, ((238, 190), (236, 216)), ((362, 222), (362, 262))),
        *_fist(axis, 0.66, ((246, 122), (247, 148)), ((362, 120), (362, 160))),
        Line(300, 92, 300, 46, "action", 3),
        Polyline([(293, 55), (300, 46), (307, 55)], "action", 3),
        *labels(words, PLACES),
    ]
    return Drawing(360, 346, tuple(marks), words.title, words.description)
