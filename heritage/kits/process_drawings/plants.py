"""Flax as a pen draws it: stems, bolls, roots, and the sheaf they make."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from heritage.kits.drawing.marks import Area, Circle, Curve, Line, Mark, Point
from heritage.kits.drawing.tones import Role

GOLDEN: Final = 2654435761
WORD: Final = 2**32


def waver(key: int, reach: float = 1.0) -> float:
    """Give a hand's unsteadiness: the same for the same key, from -reach to reach."""
    mixed = (key * GOLDEN + 97) % WORD
    mixed = (mixed ^ mixed >> 15) * 2246822519 % WORD
    return (2 * (mixed ^ mixed >> 13) / WORD - 1) * reach


@dataclass(frozen=True)
class Axis:
    """A direction to draw along: from ``foot`` to ``head``, and across it."""

    foot: Point
    head: Point

    def __call__(self, along: float, across: float) -> Point:
        """Give the point a share ``along`` and a distance ``across``."""
        (x1, y1), (x2, y2) = self.foot, self.head
        dx, dy = x2 - x1, y2 - y1
        length = math.hypot(dx, dy)
        return (
            x1 + along * dx - across * dy / length,
            y1 + along * dy + across * dx / length,
        )

    @property
    def length(self) -> float:
        (x1, y1), (x2, y2) = self.foot, self.head
        return math.hypot(x2 - x1, y2 - y1)


def _disc(at: Point, size: float) -> list[Mark]:
    return [
        Circle(*at, size, "straw", filled=True),
        Circle(*at, size, "ink", weight=0.8),
    ]


def tuft(fork: Point, angle: float, key: int, size: float = 12) -> list[Mark]:
    """Draw a stem's branching head: three or four seed bolls on thin stalks."""
    stalks: list[Mark] = []
    bolls: list[Mark] = []
    for k in range(3 + key % 2):
        lean = angle + (k - 1.2) * 0.42 + waver(key * 7 + k, 0.12)
        reach = size * (0.75 + 0.3 * abs(waver(key * 11 + k)))
        end = (fork[0] + reach * math.sin(lean), fork[1] - reach * math.cos(lean))
        bend = (fork[0] + 0.55 * (end[0] - fork[0]), fork[1] + 0.6 * (end[1] - fork[1]))
        # The stalk shows again beyond the boll, as its small tip.
        far = reach + 0.36 * size
        tip = (fork[0] + far * math.sin(lean), fork[1] - far * math.cos(lean))
        stalks.append(Curve([fork, bend, tip], "ink", 0.75))
        bolls += _disc(end, size * 0.21)
    return [*stalks, *bolls]


def root(at: Point, angle: float, key: int, size: float = 9) -> list[Mark]:
    """Draw a stem's root: a tapering tap with a few hairs."""
    end = (at[0] + size * math.sin(angle), at[1] + size * math.cos(angle))
    marks: list[Mark] = [Curve([at, _aside(at, end, waver(key, 1.2)), end], "ink", 0.9)]
    for k in range(2):
        share = 0.3 + 0.35 * k
        start = (at[0] + share * (end[0] - at[0]), at[1] + share * (end[1] - at[1]))
        side = angle + (0.9 if (k + key) % 2 else -0.9)
        reach = 0.45 * size
        tip = (start[0] + reach * math.sin(side), start[1] + reach * math.cos(side))
        marks.append(Line(*start, *tip, "ink", 0.5))
    return marks


def _aside(start: Point, end: Point, by: float) -> Point:
    return (start[0] + end[0]) / 2 + by, (start[1] + end[1]) / 2


@dataclass(frozen=True)
class Sheaf:
    """A beet's shape: half widths at the root end, the band and the bolls."""

    axis: Axis
    foot: float
    waist: float
    top: float
    tie: float = 0.46
    stems: int = 22
    key: int = 1
    # One stem in so many carries its bolls and roots: small sheaves need fewer.
    detail: int = 1

    def half(self, along: float) -> float:
        """Give the half width at a share of the length."""
        if along < self.tie:
            part = (1 - math.cos(math.pi * along / self.tie)) / 2
            return self.foot + part * (self.waist - self.foot)
        part = math.pow((along - self.tie) / (1 - self.tie), 1.35)
        return self.waist + part * (self.top - self.waist)

    def outline(self, end: float = 0.9) -> list[Point]:
        """Give the edge, up one side and down the other."""
        steps = [k * end / 14 for k in range(15)]
        left = [self.axis(u, -self.half(u)) for u in steps]
        right = [self.axis(u, self.half(u)) for u in reversed(steps)]
        return [*left, *right]

    def stem(self, place: float, end: float) -> list[Point]:
        """Give one stem's points; ``place`` runs from -1 to 1 across the sheaf."""
        steps = [0.0, 0.2, self.tie, 0.5 * (self.tie + end), end]
        return [self.axis(u, place * self.half(u)) for u in steps]

    def angle(self, place: float) -> float:
        """Give the lean of a stem's head from upright."""
        low, high = (
            self.axis(0.8, place * self.half(0.8)),
            self.axis(0.95, place * self.half(0.95)),
        )
        return math.atan2(high[0] - low[0], low[1] - high[1])


def _places(sheaf: Sheaf) -> list[tuple[int, float]]:
    """Spread the stems across, closer on the side in shade."""
    count = sheaf.stems
    even = [-1 + 2 * k / (count - 1) for k in range(count)]
    shade = [0.35 + 0.62 * (k + 0.5) / (count // 2) for k in range(count // 2)]
    return list(enumerate([*even, *shade]))


def draw_sheaf(sheaf: Sheaf, *, bolls: bool = True, roots: bool = True) -> list[Mark]:
    """Draw a sheaf: its body, its stems, its roots and its heads. No band yet."""
    body: list[Mark] = [Area(sheaf.outline(), "straw")]
    heads: list[Mark] = []
    feet: list[Mark] = []
    small = sheaf.axis.length / 20
    for key, place in _places(sheaf):
        unsteady = place + waver(sheaf.key * 101 + key, 0.03)
        end = 0.88 + waver(sheaf.key * 31 + key, 0.09)
        points = sheaf.stem(unsteady, end)
        shaded = key >= sheaf.stems
        role: Role = "crop" if shaded else "ink"
        body.append(Curve(points, role, 0.6 if shaded else 0.8))
        if shaded or key % sheaf.detail:
            continue
        if bolls:
            heads += tuft(points[-1], sheaf.angle(unsteady), sheaf.key + key, small)
        if roots:
            feet += root(points[0], waver(key, 0.25), sheaf.key + key, 0.75 * small)
    edge = sheaf.outline()
    half = len(edge) // 2
    body += [Curve(edge[:half], "ink", 1.3), Curve(edge[half:], "ink", 1.3)]
    # Strokes of one look together make a far shorter file.
    feet.sort(key=_weight)
    return [*feet, *body, *heads]


def _weight(mark: Mark) -> float:
    return mark.weight if isinstance(mark, Line | Curve) else 0


def draw_band(sheaf: Sheaf, *, deep: float = 0.045) -> list[Mark]:
    """Draw the band: a twist of rushes round the waist, its ends tucked under."""
    low, high = sheaf.tie - deep / 2, sheaf.tie + deep / 2
    wide = sheaf.waist * 1.07
    rows = [[sheaf.axis(u + bow, v) for v, bow in _bowed(wide)] for u in (low, high)]
    shape = [*rows[0], *reversed(rows[1])]
    marks: list[Mark] = [
        Curve(shape, "ground", closed=True, filled=True),
        Curve(shape, "ink", 1.3, closed=True),
    ]
    turns = 9
    for k in range(1, turns):
        v = -wide + 2 * wide * k / turns
        bow = -0.012 * (1 - (v / wide) ** 2)
        start = sheaf.axis(low + bow, v - wide * 0.06)
        marks.append(Line(*start, *sheaf.axis(high + bow, v + wide * 0.06), "ink", 0.9))
    return marks + _knot(sheaf, wide)


def _bowed(wide: float) -> Sequence[tuple[float, float]]:
    """Give places across and how far the band sags there, as round a drum."""
    return [(wide * t, -0.012 * (1 - t * t)) for t in (-1.0, -0.6, 0.0, 0.6, 1.0)]


def _knot(sheaf: Sheaf, wide: float) -> list[Mark]:
    """Draw the two ends twisted together and pushed under the band."""
    x, y = sheaf.axis(sheaf.tie - 0.01, -0.25 * wide)
    size = 0.34 * wide

    def near(*steps: Point) -> list[Point]:
        return [(x + size * dx, y + size * dy) for dx, dy in steps]

    loop = near((-0.9, 0), (0, -0.8), (0.9, 0), (0, 0.8))
    tails = [
        near((0, 0), (-1, 1.6), (-0.7, 3)),
        near((0, 0), (0.5, 1.7), (1.3, 2.6)),
    ]
    return [
        *(Curve(tail, "ink", 2.2) for tail in tails),
        *(Curve(tail, "straw", 1.0) for tail in tails),
        Curve(loop, "ground", closed=True, filled=True),
        Curve(loop, "ink", 1.2, closed=True),
        Line(
            x - 0.7 * size, y + 0.2 * size, x + 0.1 * size, y - 0.6 * size, "ink", 0.8
        ),
    ]


def grass(left: float, right: float, y: float, key: int = 3) -> list[Mark]:
    """Draw the ground: a broken line with a few blades."""
    marks: list[Mark] = []
    x, k = left, key
    while x < right:
        wide = 14 + abs(waver(k, 16))
        end = min(x + wide, right)
        marks.append(
            Curve([(x, y), ((x + end) / 2, y + waver(k, 1.2)), (end, y)], "ink", 1.1)
        )
        for blade in range(2):
            foot = x + wide * (0.3 + 0.3 * blade)
            if k % 2 and foot < right:
                marks.append(
                    Line(foot, y, foot + waver(k + blade, 4), y - 6, "ink", 0.7)
                )
        x, k = end + 4 + abs(waver(k + 50, 5)), k + 1
    return marks
