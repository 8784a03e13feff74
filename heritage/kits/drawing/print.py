"""A drawing as ReportLab shapes for paper."""

from collections.abc import Sequence
from functools import singledispatch
from typing import Any

from reportlab.graphics import shapes
from reportlab.lib.colors import Color, HexColor

from heritage.kits.drawing.marks import (
    Area,
    Circle,
    Curve,
    Drawing,
    Line,
    Mark,
    Point,
    Polyline,
    Rect,
    Text,
)
from heritage.kits.drawing.shape import beziers, corners, hatching
from heritage.kits.drawing.tones import TONES, Role
from heritage.kits.fonts import BOLD, REGULAR, register

ROUND = 1


def _colour(role: Role) -> Color:
    return HexColor(TONES[role].colour)


def _flat(points: Sequence[Point]) -> list[float]:
    return [number for point in points for number in point]


def _stroke(role: Role, weight: float, *, dash: bool = False) -> dict[str, Any]:
    look: dict[str, Any] = {
        "strokeColor": _colour(role),
        "strokeWidth": weight,
        "strokeLineCap": ROUND,
        "strokeLineJoin": ROUND,
    }
    return look | ({"strokeDashArray": [4 * weight, 3 * weight]} if dash else {})


def _fill(role: Role) -> dict[str, Any]:
    return {"fillColor": _colour(role), "strokeColor": None}


def _look(role: Role, weight: float, *, filled: bool) -> dict[str, Any]:
    return _fill(role) if filled else _stroke(role, weight) | {"fillColor": None}


def _hatched(points: Sequence[Point], role: Role) -> list[shapes.Shape]:
    hatch = TONES[role].hatch
    if hatch is None:
        return []
    ink = HexColor(hatch.colour)
    return [
        shapes.Line(*start, *end, strokeColor=ink, strokeWidth=0.6)
        for start, end in hatching(points, hatch)
    ]


@singledispatch
def _shapes(mark: Mark) -> list[shapes.Shape]:
    raise TypeError(f"No such mark: {mark!r}")


@_shapes.register
def _line(mark: Line) -> list[shapes.Shape]:
    look = _stroke(mark.role, mark.weight, dash=mark.dash)
    return [shapes.Line(mark.x1, mark.y1, mark.x2, mark.y2, **look)]


@_shapes.register
def _polyline(mark: Polyline) -> list[shapes.Shape]:
    look = _stroke(mark.role, mark.weight, dash=mark.dash)
    return [shapes.PolyLine(_flat(mark.points), **look)]


@_shapes.register
def _curve(mark: Curve) -> list[shapes.Shape]:
    look = _look(mark.role, mark.weight, filled=mark.filled)
    if mark.dash and not mark.filled:
        look |= _stroke(mark.role, mark.weight, dash=True)
    path = shapes.Path(**look)
    path.moveTo(*mark.points[0])
    for first, second, end in beziers(mark.points, closed=mark.closed):
        path.curveTo(*first, *second, *end)
    if mark.closed:
        path.closePath()
    return [path]


@_shapes.register
def _area(mark: Area) -> list[shapes.Shape]:
    polygon = shapes.Polygon(_flat(mark.points), **_fill(mark.role))
    return [polygon, *_hatched(mark.points, mark.role)]


@_shapes.register
def _rect(mark: Rect) -> list[shapes.Shape]:
    look = _look(mark.role, mark.weight, filled=mark.filled)
    box = shapes.Rect(mark.x, mark.y, mark.width, mark.height, **look)
    sides = corners(mark.x, mark.y, mark.width, mark.height)
    return [box, *(_hatched(sides, mark.role) if mark.filled else [])]


@_shapes.register
def _circle(mark: Circle) -> list[shapes.Shape]:
    look = _look(mark.role, mark.weight, filled=mark.filled)
    return [shapes.Circle(mark.x, mark.y, mark.radius, **look)]


def _word(mark: Text, height: float) -> shapes.String:
    """Place words upright: they sit outside the flipped group."""
    return shapes.String(
        mark.x,
        height - mark.y,
        mark.text,
        fontName=BOLD if mark.bold else REGULAR,
        fontSize=mark.size,
        textAnchor=mark.anchor,
        fillColor=_colour(mark.role),
    )


def to_reportlab(drawing: Drawing) -> shapes.Drawing:
    """Turn a drawing into ReportLab shapes, keeping the order of the marks."""
    register()
    page = shapes.Drawing(drawing.width, drawing.height)
    for mark in drawing.marks:
        if isinstance(mark, Text):
            page.add(_word(mark, drawing.height))
            continue
        flipped = shapes.Group(
            *_shapes(mark), transform=(1, 0, 0, -1, 0, drawing.height)
        )
        page.add(flipped)
    return page
