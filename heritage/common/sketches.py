"""The hand-drawn marks, one file each, drawn into the page that shows them.

A mark is drawn by the pen of `heritage.kits.drawing.pen` on 64 by 64 units, is legible
at 34 pixels and in black and white, and never stands without its word.
"""

import re
from functools import cache
from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent / "static" / "look" / "marks"
HEAD: Final = re.compile(r"^<svg[^>]*>|</svg>\s*$")


@cache
def names() -> tuple[str, ...]:
    """Return the name of every mark."""
    return tuple(sorted(file.stem for file in FOLDER.glob("*.svg")))


@cache
def strokes(name: str) -> str:
    """Return what a mark is drawn by, without its frame: about 1 kB on the way.

    All marks as one sheet were 24 kB, which a phone fetched before its first picture.
    """
    return HEAD.sub("", (FOLDER / f"{name}.svg").read_text(encoding="utf-8"))
