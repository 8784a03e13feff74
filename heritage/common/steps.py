"""The drawings of the work, one SVG file for each step, for page and paper alike.

A drawing is 240 by 180 units and weighs at most 30 kB. It has no words in it: those
stand beside it, in the reader's language. What it shows most often (a hand, a beet) is
drawn once in its ``defs``. Its colours are named by role and set by `look/tints.css`;
it reads in black and white too. A page shows it by a ``use`` of its ``#drawing``.
"""

from pathlib import Path
from typing import Final

FOLDER: Final = Path(__file__).parent / "static" / "look" / "steps"


def drawing(name: str) -> Path:
    """Return the file of a drawing."""
    return FOLDER / f"{name}.svg"


def address(name: str) -> str:
    """Return where static files have a drawing."""
    return f"look/steps/{name}.svg"
