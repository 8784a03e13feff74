"""Leaves as they leave the press: one, its panel or card, or all in one booklet."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from reportlab.lib.pagesizes import A3, A6

from heritage.kits.fonts import BOLD
from heritage.kits.paper.back import draw_back
from heritage.kits.paper.blocks import Words
from heritage.kits.paper.card import draw_card, draw_cards
from heritage.kits.paper.front import draw_front
from heritage.kits.paper.leaf import (
    EDGE,
    HEIGHT,
    WIDTH,
    Leaf,
    Part,
    Press,
    Tell,
    fitting,
    style,
    to_nobody,
)
from heritage.kits.paper.look import FLAX
from heritage.kits.paper.text import Words as Line

LARGER: Final = 2**0.5
INSIDE: Final = WIDTH - 2 * EDGE


@dataclass(frozen=True)
class Cover:
    """The booklet's first page: its contents, and what holds for all of it behind."""

    title: str
    below: str
    page: str
    before: Part
    leaves: Sequence[Leaf]
    foot: tuple[str, str]


def leaf_pdf(leaf: Leaf, *, language: str, words: Words) -> bytes:
    """Print a leaf, front and back."""
    press = Press(leaf.title, leaf.foot[0], language, words)
    draw_front(press, leaf)
    draw_back(press, leaf)
    return press.sealed(leaf.eyebrow)


def panel_pdf(leaf: Leaf, *, language: str, words: Words) -> bytes:
    """Print a leaf's front on A3, with its code."""
    press = Press(leaf.title, leaf.foot[0], language, words, size=A3)
    press.pen.scale(LARGER, LARGER)
    draw_front(press, leaf, panel=True)
    return press.sealed(leaf.eyebrow)


def card_pdf(leaf: Leaf, *, language: str, words: Words) -> bytes:
    """Print a leaf as a child's card."""
    press = Press(leaf.title, leaf.foot[0], language, words, size=A6)
    draw_card(press, leaf)
    return press.sealed(leaf.eyebrow)


def cards_pdf(
    title: str,
    leaves: Sequence[Leaf],
    *,
    language: str,
    words: Words,
    tell: Tell = to_nobody,
) -> bytes:
    """Print the cards of many leaves, four to a page; ``tell`` hears of each page."""
    press = Press(title, leaves[0].foot[0], language, words)
    draw_cards(press, leaves, tell)
    return press.sealed()


def booklet_pdf(
    cover: Cover, *, language: str, words: Words, tell: Tell = to_nobody
) -> bytes:
    """Print many leaves with their contents before them, each on a leaf of paper.

    ``tell`` hears after each how many pages are drawn.
    """
    press = Press(cover.title, cover.foot[0], language, words, numbered=True)
    pages = _pages(cover)
    _contents(press, cover, pages)
    _before(press, cover)
    for leaf in cover.leaves:
        press.entry(leaf.title)
        draw_front(press, leaf)
        draw_back(press, leaf)
        tell(press.drawn)
    return press.sealed(cover.below)


def _pages(cover: Cover) -> list[int]:
    """Return where each leaf begins: on the third page, then every second."""
    return [3 + 2 * at for at in range(len(cover.leaves))]


def _contents(press: Press, cover: Cover, pages: Sequence[int]) -> None:
    size = fitting(cover.title, 54, INSIDE)
    y = HEIGHT - EDGE - 0.76 * size
    press.great(cover.title, EDGE, y, size, press.root.child("H1"))
    below = Line.of(cover.below, style(16), press.root.child("P"))
    y -= 10 + press.words_at(below, EDGE, y - 8, INSIDE)
    press.rule(y - 8)
    room = (y - 20 - 2 * EDGE) / len(pages)
    size = min(15.0, room / 1.35)
    listed = press.root.child("TOC")
    for leaf, page in zip(cover.leaves, pages, strict=True):
        y -= room
        where = cover.page.format(page=page)
        line = Line.of(where, style(size), listed.child("TOCI"), lead=leaf.title)
        press.words_at(line, EDGE, y - 8 + room / 2, INSIDE)
    press.foot(*cover.foot)
    press.pen.showPage()


def _before(press: Press, cover: Cover) -> None:
    """Draw what holds for every sheet."""
    head = style(32, fontName=BOLD, textColor=FLAX)
    y = HEIGHT - EDGE
    title = Line.of(cover.before.heading, head, press.root.child("H2"))
    y -= press.words_at(title, EDGE, y, INSIDE) + 14
    for lead, text in cover.before.lines:
        line = Line.of(text, style(24), press.root.child("P"), lead=lead)
        y -= press.words_at(line, EDGE, y, INSIDE) + 22
    press.foot(*cover.foot)
    press.pen.showPage()
