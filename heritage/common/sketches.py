"""The hand-drawn marks, one file each, given to pages as one sheet of symbols.

A mark is drawn by the pen of `heritage.kits.drawing.pen` on 64 by 64 units, is legible
at 34 pixels and in black and white, and never stands without its word.
"""

import re
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent / "static" / "look" / "marks"
HEAD: Final = re.compile(r"^<svg[^>]*>|</svg>\s*$")
SVG: Final = "http://www.w3.org/2000/svg"


@cache
def names() -> tuple[str, ...]:
    """Return the name of every mark."""
    return tuple(sorted(file.stem for file in FOLDER.glob("*.svg")))


@cache
def sheet() -> str:
    """Return all marks as the symbols of one SVG."""
    symbols = "".join(_symbol(name) for name in names())
    return f'<svg xmlns="{SVG}">{symbols}</svg>'


@cache
def version() -> str:
    """Return what changes whenever a mark does, so that the sheet may be kept."""
    return sha256(sheet().encode()).hexdigest()[:12]


def _symbol(name: str) -> str:
    drawn = HEAD.sub("", (FOLDER / f"{name}.svg").read_text(encoding="utf-8"))
    return f'<symbol id="{name}" viewBox="0 0 64 64">{drawn}</symbol>'
