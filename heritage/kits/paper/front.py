"""The front of a leaf, on A4, or on A3 as a panel for a hall.

It is one page, whatever it says: its drawings take the room that its words leave.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter
from typing import Final

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth

from heritage.kits.drawing.print import paint
from heritage.kits.fonts import BOLD
from heritage.kits.paper.blocks import Caution
from heritage.kits.paper.leaf import (
    EDGE,
    FOOT,
    GAP,
    HEIGHT,
    SHAPE,
    WIDTH,
    Leaf,
    Press,
    Step,
    fitting,
    high,
    style,
)
from heritage.kits.paper.look import FLAX, RETTED
from heritage.kits.paper.tags import Node, artifact, marked
from heritage.kits.paper.text import Words as Line
from heritage.kits.signs import sign

# What is tried, the largest first: the size of the steps and of the cautions. [pt]
SIZES: Final = ((15, 13), (14, 12.5), (14, 12), (13, 12), (12, 12))
# A drawing is no lower than this, if the smallest words leave it that. [pt]
LEAST: Final = 112.0
SIGN, BESIDE_SIGN = 26.0, 34.0
NUMBER: Final = 26.0
EYEBROW: Final = 13.0
BETWEEN: Final = 9.0
CODE: Final = 30 * mm
INSIDE: Final = WIDTH - 2 * EDGE
HALF: Final = (INSIDE - GAP) / 2
SPARE: Final = Node("Document")


@dataclass(frozen=True)
class Placed:
    """A sentence's place: from the left edge, below what is over it, and how wide."""

    x: float
    below: float
    width: float


def in_columns(heights: Sequence[float]) -> tuple[list[Placed], float]:
    """Put each in the shorter of two columns; return their places, and how deep."""
    wide = INSIDE if len(heights) == 1 else HALF
    below, placed = [0.0, 0.0], []
    for tall in heights:
        side = below.index(min(below))
        placed.append(Placed(EDGE + side * (HALF + GAP), below[side], wide))
        below[side] += tall
    return placed, max(below)


class Front:
    """Lays a leaf's front out in one size of words, and draws it."""

    def __init__(
        self, press: Press, leaf: Leaf, sizes: tuple[float, float], *, panel: bool
    ) -> None:
        self.press, self.leaf, self.root = press, leaf, press.root
        self.panel = panel
        self.step, self.care = style(sizes[0]), style(sizes[1])
        self.lead = style(sizes[0] + 1)

    def draw(self) -> None:
        """Draw the page: what it is, the steps, the cautions."""
        self._draw_head()
        self._draw_steps()
        self._draw_cautions()
        right = self.leaf.foot[1] if self.panel else self.leaf.over
        self.press.foot(self.leaf.foot[0], right)

    # The head: the name, and beside it what it is; a panel has the code there too.

    @cached_property
    def _title(self) -> float:
        return fitting(self.leaf.title, 54, (0.36 if self.panel else 0.5) * INSIDE)

    def _what(self, root: Node) -> list[Line]:
        first, rest = _parted(self.leaf.what)
        lines = [Line.of(rest, self.lead, root.child("P"), lead=first)]
        if self.panel:
            lead, why = self.leaf.why
            lines.append(Line.of(why, self.step, root.child("P"), lead=lead))
        return lines

    @cached_property
    def _beside(self) -> tuple[float, float]:
        """Where the words beside the name begin, and how wide they are."""
        name = self.press.wide(self.leaf.title, self._title)
        over = stringWidth(self.leaf.eyebrow, BOLD, EYEBROW)
        left = EDGE + max(0.36 * INSIDE, name, over) + GAP
        code = CODE + GAP if self.panel else 0
        return left, WIDTH - EDGE - left - code

    @cached_property
    def _head(self) -> float:
        words = sum(high(line, self._beside[1]) + 4 for line in self._what(SPARE))
        return max(words, 20 + 0.95 * self._title, CODE + 20 if self.panel else 0) + 8

    @property
    def _top(self) -> float:
        return HEIGHT - EDGE - self._head - BETWEEN

    def _draw_head(self) -> None:
        press, top, size = self.press, HEIGHT - EDGE, self._title
        small = style(EYEBROW, fontName=BOLD, textColor=RETTED)
        eyebrow = Line.of(self.leaf.eyebrow, small, self.root.child("P"))
        press.words_at(eyebrow, EDGE, top + 3, INSIDE)
        name = self.root.child("H1")
        press.great(self.leaf.title, EDGE, top - 20 - 0.74 * size, size, name)
        left, wide = self._beside
        y = top
        for line in self._what(self.root):
            y -= press.words_at(line, left, y, wide) + 4
        if self.panel:
            self._draw_code(WIDTH - EDGE - CODE, top - CODE)
        press.rule(top - self._head)

    def _draw_code(self, x: float, y: float) -> None:
        self.press.code(self.leaf.code, x, y, CODE, self.root)
        label = Line.of(self.leaf.code.label, style(10), self.root.child("P"))
        self.press.words_at(label, x, y + 2, CODE)

    # The cautions and, on a panel, when the work stops: a leaf has that on its back.

    def _warning(self, caution: Caution, root: Node) -> Line:
        first, rest = _parted(caution.text)
        return Line.of(rest, self.care, root.child("P"), lead=first)

    @cached_property
    def _cautions(self) -> tuple[list[Placed], float]:
        """The places of the cautions, and how high they are."""
        cautions = self.leaf.cautions
        wide = (INSIDE if len(cautions) == 1 else HALF) - BESIDE_SIGN
        words = (high(self._warning(one, SPARE), wide) for one in cautions)
        return in_columns([max(SIGN, tall) + 6 for tall in words])

    @cached_property
    def _stops(self) -> tuple[list[Placed], float]:
        """The places of the rules below their heading, and how high both are."""
        if not self._rules:
            return [], 0
        words = (high(Line.of(rule, self.care, SPARE), HALF) for rule in self._rules)
        placed, tall = in_columns([one + 3 for one in words])
        return placed, tall + self._heading_tall + 6

    @property
    def _rules(self) -> list[str]:
        stops = self.leaf.stops if self.panel else None
        return [rule for _, rule in stops.lines] if stops else []

    @property
    def _heading_tall(self) -> float:
        return 1.4 * self.care.fontSize

    @cached_property
    def _rule(self) -> float:
        """The height of the rule over the cautions."""
        trains = Line.of(self.leaf.trains, self.care, SPARE)
        said = self._cautions[1] + self._stops[1]
        return FOOT + high(trains, INSIDE) + said + BETWEEN

    def _draw_cautions(self) -> None:
        self.press.rule(self._rule)
        top = self._rule - 7
        for one, at in zip(self.leaf.cautions, self._cautions[0], strict=True):
            y = top - at.below
            with artifact(self.press.pen):
                paint(sign(one.kind), self.press.pen, at.x, y - SIGN, width=SIGN)
            words = self._warning(one, self.root)
            left, wide = at.x + BESIDE_SIGN, at.width - BESIDE_SIGN
            self.press.words_at(words, left, y + 1, wide)
        self._draw_stops(top - self._cautions[1])
        trains = Line.of(self.leaf.trains, self.care, self.root.child("P"))
        top -= self._cautions[1] + self._stops[1]
        self.press.words_at(trains, EDGE, top, INSIDE)

    def _draw_stops(self, top: float) -> None:
        if self.leaf.stops and self._rules:
            look = style(self.care.fontSize, fontName=BOLD, textColor=FLAX)
            heading = Line.of(self.leaf.stops.heading, look, self.root.child("H2"))
            self.press.words_at(heading, EDGE, top, INSIDE)
        for rule, at in zip(self._rules, self._stops[0], strict=True):
            words = Line.of(rule, self.care, self.root.child("P"))
            y = top - self._heading_tall - at.below
            self.press.words_at(words, at.x, y, at.width)

    # The steps: three below each other with their words beside them, or two in a row.

    @property
    def _is_column(self) -> bool:
        return len(self.leaf.steps) == 3

    @cached_property
    def _rows(self) -> list[tuple[Sequence[tuple[int, Step]], float]]:
        """The numbered steps of each row, and how high the words below them are."""
        across = 1 if self._is_column else 2
        steps = list(enumerate(self.leaf.steps, start=1))
        rows = [steps[at : at + across] for at in range(0, len(steps), across)]
        return [(row, 0 if self._is_column else self._words(row)) for row in rows]

    def _words(self, row: Sequence[tuple[int, Step]]) -> float:
        said = (Line.of(step.does, self.step, SPARE) for _, step in row)
        return max(high(line, HALF - NUMBER) for line in said)

    @cached_property
    def drawn(self) -> float:
        """How high the drawings are if everything is to go on."""
        room = self._top - self._rule - BETWEEN
        words = sum(tall for _, tall in self._rows)
        return (room - words) / len(self._rows) - BETWEEN

    def _draw_steps(self) -> None:
        y = self._top
        listed = self.root.child("L", numbering="Decimal")
        for row, words in self._rows:
            for place, (number, step) in enumerate(row):
                x = EDGE + place * (HALF + GAP)
                self._draw_step(number, step, x, y, listed.child("LI"))
            y -= self.drawn + words + BETWEEN

    def _draw_step(
        self, number: int, step: Step, x: float, y: float, item: Node
    ) -> None:
        tall = min(self.drawn, HALF * SHAPE)
        wide = tall / SHAPE
        label, body = item.child("Lbl"), item.child("LBody")
        left = x if self._is_column else x + (HALF - wide) / 2
        self.press.drawing(step, left, y - tall, wide, body)
        if self._is_column:
            x, y = x + HALF + GAP, y - tall / 2 + 16
        else:
            y -= tall + 2
        with marked(self.press.pen, label):
            self.press.number(number, x, y)
        words = Line.of(step.does, self.step, body.child("P"))
        self.press.words_at(words, x + NUMBER, y, HALF - NUMBER)


def _parted(text: str) -> tuple[str, str]:
    """Part the first sentence from the rest."""
    first, stop, rest = text.partition(". ")
    return first + stop.strip(), rest


def draw_front(press: Press, leaf: Leaf, *, panel: bool = False) -> None:
    """Draw a leaf's front in the largest words that leave room for its drawings.

    Smaller words leave more, so that few sizes have to be tried; the smallest are taken
    whatever they leave.
    """
    fronts = [Front(press, leaf, sizes, panel=panel) for sizes in SIZES]
    room, found = attrgetter("drawn"), 0
    if room(fronts[0]) < LEAST:
        found = bisect_left(fronts, LEAST, 1, len(fronts) - 1, key=room)
    fronts[found].draw()
    press.pen.showPage()
