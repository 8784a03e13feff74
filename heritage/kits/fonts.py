"""The typeface on paper, and the one for great words, embedded in every sheet."""

from functools import cache
from pathlib import Path
from typing import Final

import fontpkg
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR: Final = "Fira"
BOLD: Final = "Fira-Bold"
# The slab for great words, cut to one weight; its licence lies beside it.
GREAT: Final = "Bitter"
SLAB: Final = Path(__file__).parent / "letters" / "bitter-800.ttf"
WEIGHTS: Final = {REGULAR: 400, BOLD: 600}


@cache
def register() -> None:
    """Tell ReportLab about the faces, once per process."""
    for name, weight in WEIGHTS.items():
        path = fontpkg.path("Fira Sans", weight=weight)
        pdfmetrics.registerFont(TTFont(name, str(path)))
    pdfmetrics.registerFont(TTFont(GREAT, str(SLAB)))
    # There is no slanted face: clear print avoids italics.
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )
