"""An A4 sheet made larger, so that both sizes say and show the same."""

from typing import Final

from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

A3: Final = 2**0.5


def as_a3(canvas: Canvas, size: tuple[float, float] = A4) -> None:
    """Make the A4 page that is begun an A3 one; what is drawn on it follows."""
    canvas.setPageSize((A3 * size[0], A3 * size[1]))
    canvas.scale(A3, A3)
