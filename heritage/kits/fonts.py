"""The typefaces: cut to the letters that are written, and told to paper.

`cut` takes them from their packages; `manage.py build_fonts` keeps what it makes, for
the page and for paper.
"""

from collections.abc import Iterable
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Final

import fontpkg
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR: Final = "Fira"
BOLD: Final = "Fira-Bold"
WEIGHTS: Final = {REGULAR: 400, BOLD: 600}
# The slab for great words. Paper has it at this weight.
GREAT: Final = "Bitter"
HEAVY: Final = 800
KEPT: Final = Path(__file__).parent / "letters" / "bitter.ttf"

FEATURES: Final = ("kern", "liga", "lnum", "tnum", "mark", "mkmk", "ccmp", "locl")
# What English pages and Irish names are written with, and the signs of the pages: a
# phone fetches it at once, so no letter more. Every character of a template is in it.
PLAIN: Final = (
    (0x20, 0x7E),
    *((ord(letter), ord(letter)) for letter in "ÁÉÍÓÚáéíóú\N{NO-BREAK SPACE}£§©«°»"),
    (0xB1, 0xB3),
    (0xB7, 0xB7),
    (0xBC, 0xBE),
    (0xD7, 0xD7),
    (0xF7, 0xF7),
    (0x2009, 0x2009),
    (0x2010, 0x2026),
    (0x2039, 0x203A),
    (0x20AC, 0x20AC),
    (0x2153, 0x2154),
    (0x2190, 0x2193),
    (0x2212, 0x2212),
    (0x2248, 0x2248),
    (0x2264, 0x2265),
)
# The letters of Welsh, French, German, the Nordic languages, Polish, Lithuanian and
# Romanian; Greek and Cyrillic for names. Fetched by a page that has one of them, so
# none of those above is among them.
NAMES: Final = (
    (0xC0, 0xC0),
    (0xC2, 0xC8),
    (0xCA, 0xCC),
    (0xCE, 0xD2),
    (0xD4, 0xD6),
    (0xD8, 0xD9),
    (0xDB, 0xE0),
    (0xE2, 0xE8),
    (0xEA, 0xEC),
    (0xEE, 0xF2),
    (0xF4, 0xF6),
    (0xF8, 0xF9),
    (0xFB, 0x17F),
    (0x218, 0x21B),
    (0x386, 0x3CE),
    (0x400, 0x45F),
    (0x490, 0x491),
    (0x1E02, 0x1E6B),
    (0x1E80, 0x1E85),
    (0x1EF2, 0x1EF3),
)


def cut(
    family: str, weight: int, letters: Iterable[tuple[int, int]], kind: str | None
) -> bytes:
    """Return one weight of a family with some letters, as ``kind`` (None: TrueType).

    Without hints: what draws letters today no longer asks for them, and a phone waits
    for a third less. The same bytes whenever it is made.
    """
    # Hundreds of tables' modules, which only cutting needs.
    from fontTools import subset  # type: ignore[import-untyped]
    from fontTools.ttLib import TTFont as Font  # type: ignore[import-untyped]
    from fontTools.varLib import instancer  # type: ignore[import-untyped]

    options = subset.Options(flavor=kind, layout_features=list(FEATURES), hinting=False)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[c for a, b in letters for c in range(a, b + 1)])
    font = Font(fontpkg.path(family, weight=weight), recalcTimestamp=False)
    subsetter.subset(font)
    if "fvar" in font:
        instancer.instantiateVariableFont(font, {"wght": weight}, inplace=True)
        font["OS/2"].usWeightClass = weight
    made = BytesIO()
    subset.save_font(font, made, options)
    return made.getvalue()


@cache
def slab() -> bytes:
    """Return the slab's file: the one that is kept, or else one cut now."""
    return KEPT.read_bytes() if KEPT.exists() else _cut_slab()


def keep_slab() -> None:
    """Cut the slab once for every process to come."""
    KEPT.parent.mkdir(exist_ok=True)
    KEPT.write_bytes(_cut_slab())


def _cut_slab() -> bytes:
    return cut(GREAT, HEAVY, PLAIN + NAMES, None)


@cache
def register() -> None:
    """Tell ReportLab about the faces, once per process."""
    for name, weight in WEIGHTS.items():
        path = fontpkg.path("Fira Sans", weight=weight)
        pdfmetrics.registerFont(TTFont(name, str(path)))
    pdfmetrics.registerFont(TTFont(GREAT, BytesIO(slab())))
    # There is no slanted face: clear print avoids italics.
    pdfmetrics.registerFontFamily(
        REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD
    )
