"""The path data of an SVG file in the words of a page's content.

After SVG 1.1, 8.3 and F.6, and ISO 32000-1, 8.5.2. A point is a complex number, since
most of what is done to points is to add, turn and scale them.
"""

import re
from cmath import phase, rect
from collections.abc import Iterator, Sequence
from math import ceil, pi, radians, sqrt, tan
from typing import Final

from reportlab.lib.rl_accel import fp_str

TOKEN: Final = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?")
# The commands that our drawings use, and how many numbers each takes.
TAKES: Final = {"M": 2, "L": 2, "C": 6, "Q": 4, "T": 2, "A": 7, "Z": 0}
SAYS: Final = {"M": "m", "L": "l", "C": "c", "A": "c", "Z": "h"}
# Numbers after these begin another command.
THEN: Final = {"M": "L", "m": "l"}
Curve = tuple[complex, complex, complex]


def page_path(data: str) -> str:
    """Return a path as a page's content draws it.

    Raises
    ------
    ValueError
        If it has a command that our drawings do without.
    """
    pen = _Pen()
    for command, numbers in _commands(data):
        pen.draw(command, numbers)
    return " ".join(pen.said)


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    """Give each command with its numbers, also where its letter is left out."""
    command, numbers = "", list[float]()
    for token in TOKEN.findall(data):
        if token.isalpha():
            command = token
            if command.upper() not in TAKES:
                raise ValueError(f"Paper knows no {command} in a path.")
        else:
            numbers.append(float(token))
        if len(numbers) == TAKES[command.upper()]:
            yield command, numbers
            command, numbers = THEN.get(command, command), []


class _Pen:
    """Follows a path, and says where it goes."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.at = self.start = self.handle = 0j

    def draw(self, command: str, numbers: Sequence[float]) -> None:
        """Draw one command."""
        kind, begun = command.upper(), self.at if command.islower() else 0j
        ends = numbers[5:] if kind == "A" else numbers
        pairs = zip(ends[::2], ends[1::2], strict=True)
        points = [begun + complex(*pair) for pair in pairs]
        if kind in "QT":
            self._bend(points)
            return
        if kind == "M":
            self.start = points[0]
        for piece in arc(self.at, points[0], numbers) if kind == "A" else [points]:
            self._say(SAYS[kind], *piece)
        self.handle = self.at

    def _bend(self, points: Sequence[complex]) -> None:
        """Draw a curve with one handle; one left out is the last, turned about here."""
        handle = points[0] if len(points) > 1 else 2 * self.at - self.handle
        inner = [end + (handle - end) * 2 / 3 for end in (self.at, points[-1])]
        self._say("c", *inner, points[-1])
        self.handle = handle

    def _say(self, operator: str, *points: complex) -> None:
        numbers = [part for one in points for part in (one.real, one.imag)]
        self.said += [fp_str(*numbers), operator] if numbers else [operator]
        self.at = points[-1] if points else self.start


def arc(start: complex, end: complex, numbers: Sequence[float]) -> Iterator[Curve]:
    """Give an arc in curves of a quarter of a turn at the most.

    It is found where the ellipse is a circle of radius one, and brought back.
    """
    wide, high, angle, large, sweep = numbers[:5]
    if start == end or not wide or not high:
        return
    turned = rect(1, radians(angle))

    def flat(point: complex) -> complex:
        point /= turned
        return complex(point.real / wide, point.imag / high)

    def back(point: complex) -> complex:
        return complex(point.real * wide, point.imag * high) * turned

    for curve in _round(flat(start), flat(end), large=bool(large), sweep=bool(sweep)):
        one, other, last = map(back, curve)
        yield one, other, last


def _round(
    start: complex, end: complex, *, large: bool, sweep: bool
) -> Iterator[Curve]:
    """Give an arc of a circle of radius one, or larger where the ends ask for it."""
    half = (end - start) / 2
    beside = sqrt(max(0.0, 1 / abs(half) ** 2 - 1)) * (1 if large != sweep else -1)
    centre = (start + end) / 2 + 1j * half * beside
    angle = phase((end - centre) / (start - centre)) % (2 * pi)
    angle -= 0 if sweep else 2 * pi
    count = ceil(abs(angle) / (pi / 2) - 1e-9)
    turn, reach = rect(1, angle / count), 4j / 3 * tan(angle / count / 4)
    at = start - centre
    for _ in range(count):
        to = at * turn
        yield centre + at + reach * at, centre + to - reach * to, centre + to
        at = to
