"""A drawing painted on a page, mark by mark.

ReportLab's own shapes would do it too, but they keep, check and hand on the whole look
of each mark: they took as long as all the words of a sheet.
"""

from collections.abc import Sequence
from functools import cache, singledispatch
from typing import Final
from weakref import WeakKeyDictionary

from reportlab.lib.rl_accel import fp_str
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

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

# A quarter of a circle is this near to a curve of Bezier's.
QUARTER: Final = 0.5522847498
KEPT: Final = WeakKeyDictionary[Drawing, list[str | Text]]()
SHARE: Final = {"start": 0.0, "middle": 0.5, "end": 1.0}


def paint(
    drawing: Drawing, canvas: Canvas, x: float, y: float, *, width: float = 0
) -> None:
    """Paint a drawing with its lower left corner at a point, as wide as asked."""
    register()
    factor = width / drawing.width if width else 1
    canvas.saveState()
    # The marks count from the top left, the page from the foot.
    canvas.transform(factor, 0, 0, -factor, x, y + factor * drawing.height)
    canvas.addLiteral("1 J 1 j")
    for piece in _pieces(drawing):
        if isinstance(piece, Text):
            _write(piece, canvas)
        else:
            canvas.addLiteral(piece)
    canvas.restoreState()


def _pieces(drawing: Drawing) -> list[str | Text]:
    """Return words and strokes in order, made once however often they are painted."""
    if drawing not in KEPT:
        KEPT[drawing] = [
            mark if isinstance(mark, Text) else _strokes(mark) for mark in drawing.marks
        ]
    return KEPT[drawing]


def _write(mark: Text, canvas: Canvas) -> None:
    font = BOLD if mark.bold else REGULAR
    left = mark.x - SHARE[mark.anchor] * stringWidth(mark.text, font, mark.size)
    words = canvas.beginText()
    words.setTextTransform(1, 0, 0, -1, left, mark.y)
    words.setFont(font, mark.size)
    words.setFillColor(TONES[mark.role].colour)
    words.textOut(mark.text)
    canvas.drawText(words)


@cache
def _colour(code: str) -> str:
    return fp_str(*(int(code[at : at + 2], 16) / 255 for at in (1, 3, 5)))


def _pen(role: Role, weight: float, *, dash: bool = False) -> str:
    dashes = fp_str(4 * weight, 3 * weight) if dash else ""
    return f"{_colour(TONES[role].colour)} RG {fp_str(weight)} w [{dashes}] 0 d"


def _looks(path: str, role: Role, pen: str, *, filled: bool) -> str:
    """Fill a path, or go round it with a pen."""
    if filled:
        return f"{_colour(TONES[role].colour)} rg {path} f"
    return f"{pen} {path} S"


def _xy(*points: Point) -> str:
    return fp_str(*(number for point in points for number in point))


def _through(points: Sequence[Point]) -> str:
    rest = " ".join(f"{_xy(point)} l" for point in points[1:])
    return f"{_xy(points[0])} m {rest}"


def _hatched(points: Sequence[Point], role: Role) -> str:
    hatch = TONES[role].hatch
    lines = hatching(points, hatch) if hatch else []
    if hatch is None or not lines:
        return ""
    ruled = " ".join(map(_through, lines))
    return f" 0 J {_colour(hatch.colour)} RG .6 w [] 0 d {ruled} S 1 J"


@singledispatch
def _strokes(mark: Mark) -> str:
    """Return what a page's content says to draw a mark."""
    raise TypeError(f"No such mark: {mark!r}")


@_strokes.register
def _line(mark: Line) -> str:
    path = _through([(mark.x1, mark.y1), (mark.x2, mark.y2)])
    return f"{_pen(mark.role, mark.weight, dash=mark.dash)} {path} S"


@_strokes.register
def _polyline(mark: Polyline) -> str:
    pen = _pen(mark.role, mark.weight, dash=mark.dash)
    return f"{pen} {_through(mark.points)} S"


@_strokes.register
def _curve(mark: Curve) -> str:
    pieces = beziers(mark.points, closed=mark.closed)
    path = " ".join(f"{_xy(*piece)} c" for piece in pieces)
    path = f"{_xy(mark.points[0])} m {path}{' h' * mark.closed}"
    pen = _pen(mark.role, mark.weight, dash=mark.dash)
    return _looks(path, mark.role, pen, filled=mark.filled)


@_strokes.register
def _area(mark: Area) -> str:
    filled = f"{_colour(TONES[mark.role].colour)} rg {_through(mark.points)} h f"
    return filled + _hatched(mark.points, mark.role)


@_strokes.register
def _rect(mark: Rect) -> str:
    path = f"{_xy((mark.x, mark.y), (mark.width, mark.height))} re"
    pen = _pen(mark.role, mark.weight)
    box = _looks(path, mark.role, pen, filled=mark.filled)
    sides = corners(mark.x, mark.y, mark.width, mark.height)
    return box + (_hatched(sides, mark.role) if mark.filled else "")


@_strokes.register
def _circle(mark: Circle) -> str:
    pen = _pen(mark.role, mark.weight)
    return _looks(_ring(mark), mark.role, pen, filled=mark.filled)


def _ring(mark: Circle) -> str:
    x, y, r = mark.x, mark.y, mark.radius
    k = QUARTER * r
    quarters = (
        ((x + r, y + k), (x + k, y + r), (x, y + r)),
        ((x - k, y + r), (x - r, y + k), (x - r, y)),
        ((x - r, y - k), (x - k, y - r), (x, y - r)),
        ((x + k, y - r), (x + r, y - k), (x + r, y)),
    )
    curves = " ".join(f"{_xy(*one)} c" for one in quarters)
    return f"{_xy((x + r, y))} m {curves} h"
