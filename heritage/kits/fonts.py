"""The one typeface on paper, embedded in every sheet."""

from functools import cache
from typing import Final

import fontpkg
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR: Final = "Fira"
BOLD: Final = "Fira-Bold"
WEIGHTS: Final = {REGULAR: 400, BOLD: 600}


@cache
def register() -> None:
    """Tell ReportLab about the faces, once per process."""
    for name, weight in WEIGHTS.items():
        path = fontpkg.path("Fira Sans", weight=weight)
        pdfmetrics.registerFont(TTFont(name, str(path)))
    # There is no slanted face: clear print avoids italics.
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )
