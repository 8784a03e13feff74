"""Names on a drawing, each with a thin line to what it names."""

from collections.abc import Iterable
from dataclasses import dataclass

from heritage.kits.drawing.marks import Circle, Line, Mark, Point, Text

# Where a name stands, and the thing it names.
Place = tuple[Point, Point]


@dataclass(frozen=True)
class DrawingWords:
    """What a drawing says: its title, what it shows, and its parts in their order."""

    title: str
    description: str
    names: tuple[str, ...] = ()


def label(words: str, at: Point, to: Point) -> list[Mark]:
    """Write words at a place and lead a line from them to the thing."""
    return [
        Line(*_start(at, to), *to, "muted", 0.7),
        Circle(*to, 1.5, "muted", filled=True),
        Text(*at, words, "ink", 13),
    ]


def _start(at: Point, to: Point) -> Point:
    """Begin before the words, or under or over them: the line never crosses them."""
    x, y = at
    if to[0] < x:
        return x - 4, y - 4
    return x + 10, (y + 5 if to[1] > y else y - 14)


def labels(words: DrawingWords, places: Iterable[Place]) -> list[Mark]:
    """Name the parts, each at its place."""
    named = zip(words.names, places, strict=True)
    return [mark for name, (at, to) in named for mark in label(name, at, to)]
