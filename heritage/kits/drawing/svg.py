"""A drawing as SVG for the page.

No style attribute and no style sheet inside, so it passes a strict content security
policy. Each mark draws in ``currentColor``; its class ``d-<role>`` lets the page's
theme choose that colour by setting ``--d``, and paper's colour shows where none does.
"""

from collections.abc import Iterable, Sequence
from functools import singledispatch
from html import escape
from itertools import groupby, pairwise

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


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _at(point: Point) -> str:
    return f"{_n(round(point[0], 1))} {_n(round(point[1], 1))}"


def _ink(name: str, colour: str) -> str:
    """Name a mark for the theme. Safety colours are nobody's to change."""
    fixed = name.startswith("sign-")
    return (
        f'class="inked d-{name}" color="{colour if fixed else f"var(--d, {colour})"}"'
    )


def _role(role: Role) -> str:
    return _ink(role, TONES[role].colour)


def _stroke(role: Role, weight: float, *, dash: bool = False) -> str:
    dashes = f' stroke-dasharray="{_n(4 * weight)} {_n(3 * weight)}"' if dash else ""
    return (
        f'{_role(role)} fill="none" stroke="currentColor" '
        f'stroke-width="{_n(weight)}"{dashes}'
    )


def _fill(role: Role) -> str:
    return f'{_role(role)} fill="currentColor"'


def _hatched(points: Sequence[Point], role: Role) -> str:
    hatch = TONES[role].hatch
    if hatch is None:
        return ""
    path = "".join(f"M{_at(a)}L{_at(b)}" for a, b in hatching(points, hatch))
    return (
        f'<path {_ink(f"{role}-hatch", hatch.colour)} fill="none" '
        f'stroke="currentColor" stroke-width="0.6" d="{path}"/>'
    )


def _points(points: Sequence[Point]) -> str:
    return " ".join(map(_at, points))


def _smooth(mark: Curve) -> str:
    pieces = beziers(mark.points, closed=mark.closed)
    path = f"M{_at(mark.points[0])}" + "".join(
        f"C{_at(a)} {_at(b)} {_at(end)}" for a, b, end in pieces
    )
    return path + ("Z" if mark.closed else "")


def _trace(mark: Line | Polyline | Curve) -> str:
    """Give the path a stroke follows."""
    if isinstance(mark, Line):
        return _straight([(mark.x1, mark.y1), (mark.x2, mark.y2)])
    if isinstance(mark, Polyline):
        return _straight(mark.points)
    return _smooth(mark)


def _straight(points: Sequence[Point]) -> str:
    """Tell each point from the one before: a hundred stems are told alike, so pack."""
    at = [(round(x, 1), round(y, 1)) for x, y in points]
    steps = " ".join(_at((x - x0, y - y0)) for (x0, y0), (x, y) in pairwise(at))
    return f"M{_at(at[0])}l{steps}"


def _pen(mark: Mark) -> str:
    """Give the look of a mark that is only a stroke, and nothing for the rest."""
    if isinstance(mark, Line | Polyline) or (
        isinstance(mark, Curve) and not mark.filled
    ):
        return _stroke(mark.role, mark.weight, dash=mark.dash)
    return ""


def _strokes(pen: str, marks: Iterable[Mark]) -> str:
    """Draw strokes of one look, one after another, as a single path."""
    traces = (
        _trace(mark) for mark in marks if isinstance(mark, Line | Polyline | Curve)
    )
    return f'<path {pen} d="{"".join(traces)}"/>'


@singledispatch
def _element(mark: Mark) -> str:
    raise TypeError(f"No such mark: {mark!r}")


@_element.register
def _curve(mark: Curve) -> str:
    return f'<path {_fill(mark.role)} d="{_smooth(mark)}"/>'


@_element.register
def _area(mark: Area) -> str:
    polygon = f'<polygon {_fill(mark.role)} points="{_points(mark.points)}"/>'
    return polygon + _hatched(mark.points, mark.role)


@_element.register
def _rect(mark: Rect) -> str:
    look = _fill(mark.role) if mark.filled else _stroke(mark.role, mark.weight)
    box = (
        f'<rect {look} x="{_n(mark.x)}" y="{_n(mark.y)}" '
        f'width="{_n(mark.width)}" height="{_n(mark.height)}"/>'
    )
    if not mark.filled:
        return box
    sides = corners(mark.x, mark.y, mark.width, mark.height)
    return box + _hatched(sides, mark.role)


@_element.register
def _circle(mark: Circle) -> str:
    look = _fill(mark.role) if mark.filled else _stroke(mark.role, mark.weight)
    return f'<circle {look} cx="{_n(mark.x)}" cy="{_n(mark.y)}" r="{_n(mark.radius)}"/>'


@_element.register
def _text(mark: Text) -> str:
    weight = ' font-weight="600"' if mark.bold else ""
    return (
        f'<text {_fill(mark.role)} x="{_n(mark.x)}" y="{_n(mark.y)}" '
        f'font-size="{_n(mark.size)}" text-anchor="{mark.anchor}"{weight}>'
        f"{escape(mark.text)}</text>"
    )


def markup(marks: Iterable[Mark]) -> str:
    """Write marks without an ``<svg>`` round them, strokes of one look as one path."""
    return "".join(
        _strokes(pen, group) if pen else "".join(_element(mark) for mark in group)
        for pen, group in groupby(marks, _pen)
    )


def to_svg(drawing: Drawing, *, prefix: str) -> str:
    """Write a drawing as one ``<svg>`` element.

    ``prefix`` makes its ids unique on the page: use one prefix once per page.
    """
    key = escape(prefix)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawn" role="img" '
        f'viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}" '
        f'font-family="Fira Sans, sans-serif" '
        f'stroke-linecap="round" stroke-linejoin="round" '
        f'aria-labelledby="{key}-title {key}-desc">'
        f'<title id="{key}-title">{escape(drawing.title)}</title>'
        f'<desc id="{key}-desc">{escape(drawing.description)}</desc>'
        f"{markup(drawing.marks)}</svg>"
    )
