"""Safety marks in the shapes and colours of ISO 3864, drawn by us.

Only the general marks are here. A mark never stands alone: the caller that
places one prints its words beside it.
"""

from collections.abc import Callable
from functools import cache
from typing import Final, Literal

from heritage.kits.drawing.marks import (
    Area,
    Circle,
    Drawing,
    Line,
    Mark,
    Polyline,
    Rect,
)

Kind = Literal["warning", "prohibition", "mandatory", "safe", "first_aid"]
SIDE: Final = 100.0


def _bang(role: Literal["sign-black", "sign-white"], top: float) -> list[Mark]:
    """Draw an exclamation mark from ``top`` down to 46 below it."""
    stem = [(44.0, top), (56.0, top), (53.5, top + 30), (46.5, top + 30)]
    return [Area(stem, role), Circle(50, top + 40, 5.5, role, filled=True)]


def _warning() -> list[Mark]:
    outside = [(50.0, 8.0), (95.0, 88.0), (5.0, 88.0)]
    inside = [(50.0, 21.0), (84.5, 82.0), (15.5, 82.0)]
    return [
        Area(outside, "sign-black"),
        Polyline([*outside, outside[0]], "sign-black", 6),
        Area(inside, "sign-yellow"),
        *_bang("sign-black", 34),
    ]


def _prohibition() -> list[Mark]:
    """Draw the general mark, ring and bar: the words say what is meant."""
    return [
        Circle(50, 50, 43, "sign-white", filled=True),
        Circle(50, 50, 41, "sign-red", weight=10),
        Line(21.5, 21.5, 78.5, 78.5, "sign-red", 9),
    ]


def _mandatory() -> list[Mark]:
    return [
        Circle(50, 50, 46, "sign-blue", filled=True),
        *_bang("sign-white", 26),
    ]


def _safe() -> list[Mark]:
    return [
        Rect(5, 5, 90, 90, "sign-green", filled=True),
        Polyline([(24, 53), (43, 72), (77, 30)], "sign-white", 12),
    ]


def _first_aid() -> list[Mark]:
    return [
        Rect(5, 5, 90, 90, "sign-green", filled=True),
        Rect(42, 20, 16, 60, "sign-white", filled=True),
        Rect(20, 42, 60, 16, "sign-white", filled=True),
    ]


_DRAWN: Final[dict[Kind, Callable[[], list[Mark]]]] = {
    "warning": _warning,
    "prohibition": _prohibition,
    "mandatory": _mandatory,
    "safe": _safe,
    "first_aid": _first_aid,
}


@cache
def sign(kind: Kind) -> Drawing:
    """Draw one safety mark, 100 units square."""
    return Drawing(SIDE, SIDE, tuple(_DRAWN[kind]()))
