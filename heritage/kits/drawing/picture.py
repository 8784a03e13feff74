"""A drawing as a picture of dots, for where only a picture will do."""

from functools import singledispatch
from io import BytesIO
from typing import Final

import fontpkg
from PIL import Image, ImageDraw, ImageFont

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
from heritage.kits.drawing.pen import curve
from heritage.kits.drawing.tones import TONES
from heritage.kits.fonts import slab

# Drawn this much larger and then made smaller, so that edges are smooth.
FINER: Final = 2
Pen = ImageDraw.ImageDraw
ANCHORS: Final = {"start": "ls", "middle": "ms", "end": "rs"}


def to_png(drawing: Drawing) -> bytes:
    """Draw a picture of as many dots as the drawing has units."""
    size = round(drawing.width), round(drawing.height)
    large = Image.new("RGB", (size[0] * FINER, size[1] * FINER), "white")
    pen = ImageDraw.Draw(large)
    for mark in drawing.marks:
        _draw(mark, pen)
    stream = BytesIO()
    small = large.resize(size, Image.Resampling.LANCZOS)
    small.quantize(128).save(stream, "PNG", optimize=True)
    return stream.getvalue()


def _xy(points: list[Point]) -> list[tuple[float, float]]:
    return [(x * FINER, y * FINER) for x, y in points]


def _strokes(mark: Line | Polyline | Curve, points: list[Point], pen: Pen) -> None:
    width = max(1, round(mark.weight * FINER))
    pen.line(_xy(points), TONES[mark.role].colour, width, joint="curve")
    if width > FINER:
        for x, y in (_xy(points)[0], _xy(points)[-1]):
            half = width / 2
            pen.ellipse(
                (x - half, y - half, x + half, y + half), TONES[mark.role].colour
            )


@singledispatch
def _draw(mark: Mark, pen: Pen) -> None:
    raise TypeError(f"No such mark: {mark!r}")


@_draw.register
def _line(mark: Line, pen: Pen) -> None:
    _strokes(mark, [(mark.x1, mark.y1), (mark.x2, mark.y2)], pen)


@_draw.register
def _polyline(mark: Polyline, pen: Pen) -> None:
    _strokes(mark, list(mark.points), pen)


@_draw.register
def _curve(mark: Curve, pen: Pen) -> None:
    points = curve(mark.points, closed=mark.closed)
    if mark.filled:
        pen.polygon(_xy(points), TONES[mark.role].colour)
    else:
        _strokes(mark, points, pen)


@_draw.register
def _area(mark: Area, pen: Pen) -> None:
    pen.polygon(_xy(list(mark.points)), TONES[mark.role].colour)


@_draw.register
def _rect(mark: Rect, pen: Pen) -> None:
    colour = TONES[mark.role].colour
    ends = [(mark.x, mark.y), (mark.x + mark.width, mark.y + mark.height)]
    inside = colour if mark.filled else None
    pen.rectangle(_xy(ends), inside, colour, round(mark.weight * FINER))


@_draw.register
def _circle(mark: Circle, pen: Pen) -> None:
    colour = TONES[mark.role].colour
    ends = [
        (mark.x - mark.radius, mark.y - mark.radius),
        (mark.x + mark.radius, mark.y + mark.radius),
    ]
    inside = colour if mark.filled else None
    pen.ellipse(_xy(ends), inside, colour, round(mark.weight * FINER))


@_draw.register
def _text(mark: Text, pen: Pen) -> None:
    font = _font(bold=mark.bold, size=mark.size * FINER)
    colour = TONES[mark.role].colour
    at = (mark.x * FINER, mark.y * FINER)
    pen.text(at, mark.text, colour, font, ANCHORS[mark.anchor])


def width_of(text: str, size: float) -> float:
    """Measure a line of large words."""
    return float(_font(bold=True, size=size).getlength(text))


def _font(*, bold: bool, size: float) -> ImageFont.FreeTypeFont:
    """Open a font with the plain layout, which no stored word can make fail."""
    file = BytesIO(slab()) if bold else fontpkg.path("Fira Sans", weight=400)
    return ImageFont.truetype(file, size, layout_engine=ImageFont.Layout.BASIC)
