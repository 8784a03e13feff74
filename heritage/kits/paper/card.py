"""A leaf as a card for a child: its drawings and three words to each, on A6.

Cards are printed one to a page, or four to an A4 page to be cut apart.
"""

from collections.abc import Sequence
from typing import Final

from reportlab.lib.pagesizes import A6
from reportlab.lib.units import mm

from heritage.kits.fonts import BOLD
from heritage.kits.paper.leaf import (
    HEIGHT,
    SHAPE,
    WIDTH,
    Leaf,
    Press,
    Step,
    Tell,
    fitting,
    high,
    style,
)
from heritage.kits.paper.look import HAIR, HAIRLINE
from heritage.kits.paper.tags import Node, artifact, marked
from heritage.kits.paper.text import Words as Line

WIDE, TALL = A6
EDGE: Final = 16.0
GAP: Final = 10.0
CODE: Final = 22 * mm
INSIDE: Final = WIDE - 2 * EDGE
HALF: Final = (INSIDE - GAP) / 2
NUMBER: Final = 17.0
SAID: Final = style(12, fontName=BOLD, leading=13.5)
CARE: Final = style(12)
BESIDE: Final = 2
ON_A_PAGE: Final = 4


class Card:
    """Draws a leaf as a card with its lower left corner at a point."""

    def __init__(self, press: Press, leaf: Leaf, x: float, y: float) -> None:
        self.press, self.leaf, self.x, self.y = press, leaf, x + EDGE, y
        self.root = press.root.child("Sect")
        self.rows = -(-len(leaf.steps) // BESIDE)

    @property
    def _words(self) -> float:
        """Return how high the longest of the steps' words are."""
        return max(high(_said(step), HALF - NUMBER) for step in self.leaf.steps) + 6

    @property
    def _title(self) -> float:
        return fitting(self.leaf.title, 27, INSIDE)

    @property
    def _top(self) -> float:
        return self.y + TALL - EDGE - self._title - 6

    def draw(self) -> None:
        """Draw the name, the steps, and below them the caution and the code."""
        base = self.y + TALL - EDGE - 0.76 * self._title
        heading = self.root.child("H1")
        self.press.great(self.leaf.title, self.x, base, self._title, heading)
        self._draw_steps()
        foot = self.y + EDGE - 4
        self.press.code(self.leaf.code, self.x + INSIDE - CODE, foot, CODE, self.root)
        care = Line.of(self.leaf.child, CARE, self.root.child("P"))
        wide = INSIDE - CODE - 8
        self.press.words_at(care, self.x, foot + (CODE + high(care, wide)) / 2, wide)

    def _draw_steps(self) -> None:
        room = self._top - self.y - EDGE - CODE
        tall = room / self.rows
        wide = min(HALF, (tall - self._words) / SHAPE)
        listed = self.root.child("L", numbering="Decimal")
        for at, step in enumerate(self.leaf.steps):
            x = self.x + (at % BESIDE) * (HALF + GAP)
            y = self._top - (at // BESIDE) * tall
            item = listed.child("LI")
            label, body = item.child("Lbl"), item.child("LBody")
            left = x + (HALF - wide) / 2
            self.press.drawing(step, left, y - wide * SHAPE, wide, body)
            top = y - wide * SHAPE - 1
            with marked(self.press.pen, label):
                self.press.number(at + 1, x, top, size=16)
            words = _said(step, body.child("P"))
            self.press.words_at(words, x + NUMBER, top, HALF - NUMBER)


def _said(step: Step, node: Node | None = None) -> Line:
    return Line.of(step.child, SAID, node or Node("P"))


def draw_card(press: Press, leaf: Leaf) -> None:
    """Draw one card on a page of its own."""
    Card(press, leaf, 0, 0).draw()
    press.pen.showPage()


def draw_cards(press: Press, leaves: Sequence[Leaf], tell: Tell) -> None:
    """Draw cards four to a page, with lines to cut along."""
    for at in range(0, len(leaves), ON_A_PAGE):
        _cuts(press)
        for place, leaf in enumerate(leaves[at : at + ON_A_PAGE]):
            x, y = place % BESIDE * WIDTH / 2, (1 - place // BESIDE) * HEIGHT / 2
            Card(press, leaf, x, y).draw()
        press.pen.showPage()
        tell(press.drawn)


def _cuts(press: Press) -> None:
    with artifact(press.pen):
        press.pen.setStrokeColor(HAIRLINE)
        press.pen.setLineWidth(HAIR)
        press.pen.line(WIDTH / 2, 0, WIDTH / 2, HEIGHT)
        press.pen.line(0, HEIGHT / 2, WIDTH, HEIGHT / 2)
