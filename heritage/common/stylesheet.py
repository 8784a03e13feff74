"""The style sheets, one file each, given to pages as one: a phone fetches it once.

Each stays a file of its own for those who change the look. A style that is to win
stands in a later sheet; the letters are named first.
"""

import re
from functools import lru_cache
from hashlib import sha256
from pathlib import Path, PurePosixPath
from posixpath import normpath
from typing import Final

from django.templatetags.static import static

STATIC: Final = Path(__file__).parent / "static"
SHEETS: Final = (
    "fonts/fonts", "tokens", "tints", "base", "letters", "frame", "lines", "now",
    "figures", "tables", "forms", "marks", "drawing", "land", "story", "print",
)  # fmt: skip
ADDRESS: Final = re.compile(r'url\("([^":]+)"\)')
# What only those who write it need: remarks, and the space round a sign and in a row.
COMMENT: Final = re.compile(r"/\*.*?\*/", re.DOTALL)
SPACE: Final = re.compile(r"\s*([{};,])\s*|\s+")


def sheet() -> str:
    """Return every style as one sheet, with addresses that hold wherever it stands."""
    return _joined(tuple((name, _changed_at(name)) for name in _there()))


def version() -> str:
    """Return what changes whenever a style does, so that the sheet may be kept."""
    return sha256(sheet().encode()).hexdigest()[:12]


def _there() -> list[str]:
    """Name the sheets: the letters' own only stands there once it has been built."""
    names = [f"look/{name}.css" for name in SHEETS]
    return [name for name in names if (STATIC / name).exists()]


def _changed_at(name: str) -> float:
    return (STATIC / name).stat().st_mtime


@lru_cache(maxsize=1)
def _joined(sheets: tuple[tuple[str, float], ...]) -> str:
    return "".join(_moved(name) for name, _ in sheets)


def _moved(name: str) -> str:
    """Return one sheet, packed, its addresses told from the root."""
    folder = PurePosixPath(name).parent

    def told(found: re.Match[str]) -> str:
        return f'url("{static(normpath(folder / found[1]))}")'

    text = (STATIC / name).read_text(encoding="utf-8")
    packed = SPACE.sub(lambda found: found[1] or " ", COMMENT.sub("", text))
    return ADDRESS.sub(told, packed)
