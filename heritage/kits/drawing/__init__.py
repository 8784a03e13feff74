"""One drawing, two ways out: SVG for the page, ReportLab shapes for paper."""

from heritage.kits.drawing.marks import (
    Anchor,
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
    placed,
)
from heritage.kits.drawing.print import to_reportlab
from heritage.kits.drawing.svg import to_svg
from heritage.kits.drawing.tones import TONES, Role, contrast, luminance

__all__ = [
    "TONES",
    "Anchor",
    "Area",
    "Circle",
    "Curve",
    "Drawing",
    "Line",
    "Mark",
    "Point",
    "Polyline",
    "Rect",
    "Role",
    "Text",
    "contrast",
    "luminance",
    "placed",
    "to_reportlab",
    "to_svg",
]
