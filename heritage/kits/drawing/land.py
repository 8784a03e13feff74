"""The field as one stands before it: sky, hills, what stands, what is pulled.

Hills, hedge and people are decoration; how much stands is not. One drawing serves the
first page, the card of a link and the poster.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, pi, sin
from random import Random
from typing import Final

from heritage.kits.drawing.marks import (
    Area,
    Circle,
    Curve,
    Line,
    Mark,
    Point,
    Polyline,
    Rect,
    placed,
)
from heritage.kits.drawing.pen import stroke
from heritage.kits.drawing.tones import Role

SEED: Final = 7
CLOTHES: Final[tuple[Role, ...]] = ("warning", "action", "grass", "crop")
# Where the crop's feet are, as a share of the height.
FEET: Final = 0.97


@dataclass(frozen=True)
class Land:
    """A strip of land to be drawn: its size, and the share of the crop that stands.

    ``horizon`` is where the land begins, as a share of the height.
    """

    width: float
    height: float
    standing: float
    stooks: int = 5
    people: int = 4
    horizon: float = 0.42

    @property
    def edge(self) -> float:
        """Where the standing crop ends."""
        return self.width * max(0.0, min(1.0, self.standing))

    def marks(self) -> list[Mark]:
        """Draw it from the back to the front."""
        return [*self.far(), *self.near()]

    def far(self) -> list[Mark]:
        """Draw what lies behind the field, for words to stand in front of."""
        return [*self._sky(Random(SEED)), *self._hills()]  # noqa: S311

    def near(self) -> list[Mark]:
        """Draw the field and who is in it."""
        chance = Random(SEED)  # noqa: S311
        return [
            *self._ground(chance),
            *self._crop(chance),
            *self._stooks(),
            *self._people(),
        ]

    def _sky(self, chance: Random) -> Iterator[Mark]:
        top = self.height * self.horizon
        yield Rect(0, 0, self.width, top + 2, "light", filled=True)
        for level in range(6, int(top * 0.8), 11):
            start = chance.uniform(0, self.width * 0.7)
            length = chance.uniform(0.1, 0.3) * self.width
            yield Line(start, level, start + length, level, "stone", 0.7)
        x, y, radius = self.width * 0.66, top * 0.78, self.height * 0.07
        yield Circle(x, y, radius, "now", filled=True)
        for turn in range(9):
            angle = pi + pi * turn / 8
            near, far = radius * 1.35, radius * (1.7 + 0.25 * (turn % 2))
            ends = [
                (x + reach * cos(angle), y + reach * sin(angle))
                for reach in (near, far)
            ]
            yield stroke(ends, 2, smooth=False)

    def _hills(self) -> Iterator[Mark]:
        top, width = self.height * self.horizon, self.width
        ridge = [
            (share * width, top - rise * self.height)
            for share, rise in (
                (0, 0.07), (0.15, 0.12), (0.3, 0.06), (0.48, 0.04),
                (0.62, 0.1), (0.8, 0.13), (1, 0.06),
            )
        ]  # fmt: skip
        yield Area([*ridge, (width, top + 3), (0, top + 3)], "stone")
        yield stroke(ridge, 2)
        hedge = [
            (width * step / 24, top - self.height * (0.012 + 0.02 * (step * 7 % 5) / 4))
            for step in range(25)
        ]
        below = [(width, top + self.height * 0.03), (0, top + self.height * 0.03)]
        yield Area([*hedge, *below], "grass")
        yield stroke(hedge, 1.8)

    def _ground(self, chance: Random) -> Iterator[Mark]:
        top = self.height * (self.horizon + 0.02)
        yield Rect(0, top, self.width, self.height - top, "soil", filled=True)
        if self.edge >= self.width:
            return
        for _ in range(int(self.width * self.height / 4200)):
            x = chance.uniform(self.edge, self.width)
            y = chance.uniform(top + 6, self.height - 4)
            yield Line(x, y, x + chance.uniform(3, 6), y - 2, "ink", 0.9)

    def _crop(self, chance: Random) -> Iterator[Mark]:
        if self.edge <= 0:
            return
        top, feet = self.height * self.horizon, self.height * FEET
        ragged = [
            (self.edge + chance.uniform(-0.012, 0.012) * self.width, y)
            for y in (top + (feet - top) * step / 9 for step in range(10))
        ]
        head = [(0.0, top + 2), *ragged, (0.0, feet)]
        yield Area(head, "flax")
        yield from self._row(chance, 0.0, 0.42, weight=1, forks=(0,))
        yield from self._row(chance, 0.14, 0.62, weight=1.3, forks=(-1, 1))
        yield from self._row(chance, 0.36, 0.98, weight=1.8, forks=(-1, 0, 1))

    def _row(
        self,
        chance: Random,
        begins: float,
        ends: float,
        *,
        weight: float,
        forks: tuple[int, ...],
    ) -> Iterator[Mark]:
        """Draw one row of stems, then their forks and their seed bolls.

        Like marks follow each other, so that each kind is one path.
        """
        deep = self.height * (FEET - self.horizon)
        top, feet = (
            self.height * self.horizon + begins * deep,
            self.height * self.horizon,
        )
        feet += ends * deep
        stems, tips, x = [], [], 0.0
        while x < self.edge:
            tip = (x + chance.uniform(-6, 6), top + chance.uniform(0, 0.09) * deep)
            middle = (x + chance.uniform(-2, 2), (tip[1] + feet) / 2)
            stems.append(Polyline([(x, feet), middle, tip], "ink", weight))
            tips.append(tip)
            x += chance.uniform(7, 11.5) * weight
        ends_of = [
            (tip, (tip[0] + side * 4.5 * weight, tip[1] - 3.5 * weight))
            for tip in tips
            for side in forks
        ]
        yield from stems
        yield from (Line(*tip, *end, "ink", weight * 0.7) for tip, end in ends_of)
        yield from (_dot(end, 3.1 * weight) for _, end in ends_of)

    def _stooks(self) -> Iterator[Mark]:
        room = self.width - self.edge
        if room < 0.12 * self.width:
            return
        size = min(self.height * 0.15, self.width * 0.075)
        for index in range(self.stooks):
            x = self.edge + room * (0.24 + 0.68 * index / max(1, self.stooks - 1))
            y = self.height * (self.horizon + 0.2 + 0.09 * (index % 2))
            yield from placed(stook(size), x, y)

    def _people(self) -> Iterator[Mark]:
        size = min(self.height * 0.3, self.width * 0.13)
        for index in range(self.people if 0 < self.standing < 1 else 0):
            x = self.edge + self.width * (0.035 + 0.105 * index)
            if x > self.width * 0.96:
                return
            y = self.height * (0.95 - 0.05 * (index % 2))
            yield from placed(_puller(size, CLOTHES[index % 4]), x, y)


def _dot(at: Point, width: float) -> Line:
    """Draw a dot as the shortest of lines, so that many are one path."""
    return Line(at[0], at[1], at[0] + 0.1, at[1], "ink", width)


def _scaled(points: list[Point], size: float) -> list[Point]:
    return [(size * x, size * y) for x, y in points]


def stook(size: float) -> list[Mark]:
    """Draw a stook about its foot, ``size`` high."""
    body = [(-0.5, 0.0), (-0.22, -0.75), (0.22, -0.75), (0.5, 0.0), (0.2, 0.06)]
    marks: list[Mark] = [Area(_scaled([*body, (-0.2, 0.06)], size), "flax")]
    for foot, head in ((-0.5, -0.22), (-0.25, -0.1), (0, 0), (0.25, 0.1), (0.5, 0.22)):
        marks.append(stroke(_scaled([(head, -0.75), (foot, 0)], size), 1.7))
    top = [(-0.5, -0.72), (-0.48, -0.9), (0.02, -0.84), (0.52, -0.98), (0.54, -0.76)]
    marks.append(Area(_scaled([*top, (0.02, -0.7)], size), "flax"))
    lines = ([top[1], top[2], top[3]], [top[0], (0.02, -0.7), top[4]])
    marks += [stroke(_scaled(list(line), size), 1.7) for line in lines]
    marks += [stroke(_scaled([(0, -0.9), (0.04, -0.66)], size), 2.6, smooth=False)]
    return marks


def _puller(size: float, cloth: Role) -> list[Mark]:
    """Draw somebody bent to the crop on their left, ``size`` high, about their feet."""
    legs = [
        [(0.1, 0.0), (0.16, -0.28), (0.14, -0.52)],
        [(0.34, 0.0), (0.3, -0.28), (0.2, -0.5)],
    ]
    back = [(0.28, -0.56), (0.2, -0.72), (-0.02, -0.82), (-0.12, -0.74), (0.02, -0.58)]
    marks: list[Mark] = [stroke(_scaled(leg, size), 0.17 * size) for leg in legs]
    body = _scaled([*back, (0.14, -0.48)], size)
    marks += [
        Curve(body, cloth, closed=True, filled=True),
        Curve(body, "ink", 1.5, closed=True),
    ]
    for reach in ((-0.3, -0.34), (-0.22, -0.28)):
        arm = _scaled([(-0.02, -0.7), (-0.14, -0.5), reach], size)
        marks.append(stroke(arm, 0.085 * size))
    head = (-0.18 * size, -0.82 * size)
    marks += [
        Circle(*head, 0.085 * size, "skin", filled=True),
        Circle(*head, 0.085 * size, "ink", weight=1.4),
        stroke(_scaled([(-0.33, -0.86), (-0.19, -0.92), (-0.05, -0.89)], size), 3.4),
        stroke(_scaled([(-0.27, -0.9), (-0.2, -1.0), (-0.11, -0.92)], size), 3),
    ]
    return marks
