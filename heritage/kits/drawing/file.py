"""A drawing that is kept as an SVG file, on its way to paper.

The same file is shown on the page. There a colour is the theme's, by its role
(``var(--skin, #e8d3ae)``); paper takes the one that stands beside it.
"""

import re
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing as Shapes
from reportlab.pdfgen.canvas import Canvas
from svglib.svglib import svg2rlg

from heritage.kits.drawing.tones import TONES

ROLE: Final = re.compile(r"var\(--[a-z-]+,\s*(#[0-9a-fA-F]{6})\)")


@dataclass(frozen=True)
class Kept:
    """A drawing as a page takes it: its size, and its strokes in PDF's own words."""

    width: float
    height: float
    strokes: str

    def paint(self, canvas: Canvas, x: float, y: float, *, width: float) -> None:
        """Paint it with its lower left corner at a point, as wide as asked."""
        factor = width / self.width
        canvas.saveState()
        canvas.transform(factor, 0, 0, factor, x, y)
        edge = canvas.beginPath()
        edge.rect(0, 0, self.width, self.height)
        canvas.clipPath(edge, stroke=0, fill=0)
        canvas.addLiteral(self.strokes)
        canvas.restoreState()


@cache
def from_svg(file: Path) -> Kept:
    """Read a drawing, once for all the pages that it goes on.

    Raises
    ------
    ValueError
        If the file holds no SVG.
    """
    text = ROLE.sub(r"\1", file.read_text(encoding="utf-8"))
    inked = text.replace("currentColor", TONES["ink"].colour)
    drawing = svg2rlg(BytesIO(inked.encode()))
    if drawing is None:
        raise ValueError(f"{file.name} holds no drawing.")
    return Kept(drawing.width, drawing.height, _strokes(drawing))


def _strokes(drawing: Shapes) -> str:
    """Return what ReportLab writes for its shapes, but the letters that it gets ready.

    A drawing has none, and they would name a face that the sheet does not embed.
    """
    canvas: Any = Canvas(BytesIO(), pageCompression=0, invariant=1)
    renderPDF.draw(drawing, canvas, 0, 0)
    return "\n".join(line for line in canvas._code if not line.startswith("BT"))
