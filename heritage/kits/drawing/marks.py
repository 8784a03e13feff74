"""The few marks every drawing is made of. The origin is the top left corner."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, Self

from heritage.kits.drawing.tones import Role

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


def _moved(points: Sequence[Point], dx: float, dy: float) -> list[Point]:
    return [(dx + x, dy + y) for x, y in points]


@dataclass(frozen=True)
class Line:
    """A straight stroke."""

    x1: float
    y1: float
    x2: float
    y2: float
    role: Role = "ink"
    weight: float = 1
    dash: bool = False

    def at(self, dx: float, dy: float) -> Self:
        (x1, y1), (x2, y2) = _moved([(self.x1, self.y1), (self.x2, self.y2)], dx, dy)
        return replace(self, x1=x1, y1=y1, x2=x2, y2=y2)


@dataclass(frozen=True)
class Polyline:
    """Straight strokes from point to point."""

    points: Sequence[Point]
    role: Role = "ink"
    weight: float = 1
    dash: bool = False

    def at(self, dx: float, dy: float) -> Self:
        return replace(self, points=_moved(self.points, dx, dy))


@dataclass(frozen=True)
class Curve:
    """A smooth stroke through points; closed and filled it is a rounded shape."""

    points: Sequence[Point]
    role: Role = "ink"
    weight: float = 1
    dash: bool = False
    closed: bool = False
    filled: bool = False

    def at(self, dx: float, dy: float) -> Self:
        return replace(self, points=_moved(self.points, dx, dy))


@dataclass(frozen=True)
class Area:
    """A filled polygon, hatched as its role says."""

    points: Sequence[Point]
    role: Role = "band"

    def at(self, dx: float, dy: float) -> Self:
        return replace(self, points=_moved(self.points, dx, dy))


@dataclass(frozen=True)
class Rect:
    """A box, filled and hatched or only outlined."""

    x: float
    y: float
    width: float
    height: float
    role: Role = "ink"
    filled: bool = False
    weight: float = 1

    def at(self, dx: float, dy: float) -> Self:
        return replace(self, x=dx + self.x, y=dy + self.y)


@dataclass(frozen=True)
class Circle:
    """A disc or a ring."""

    x: float
    y: float
    radius: float
    role: Role = "ink"
    filled: bool = False
    weight: float = 1

    def at(self, dx: float, dy: float) -> Self:
        return replace(self, x=dx + self.x, y=dy + self.y)


@dataclass(frozen=True)
class Text:
    """One line of words; ``y`` is the baseline."""

    x: float
    y: float
    text: str
    role: Role = "ink"
    size: float = 12
    anchor: Anchor = "start"
    bold: bool = False

    def at(self, dx: float, dy: float) -> Self:
        return replace(self, x=dx + self.x, y=dy + self.y)


Mark = Line | Polyline | Curve | Area | Rect | Circle | Text


@dataclass(frozen=True, eq=False)
class Drawing:
    """Marks on a surface, with the words for those who cannot see them.

    Each is only itself, so that what was made of it can be kept beside it.

    An ornament has none, nor a mark that never stands without its words beside it.
    """

    width: float
    height: float
    marks: tuple[Mark, ...]
    title: str = ""
    description: str = ""


def placed(marks: Iterable[Mark], dx: float, dy: float) -> list[Mark]:
    """Move marks by ``dx, dy``."""
    return [mark.at(dx, dy) for mark in marks]
