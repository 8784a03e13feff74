"""The back of a leaf: its parts in two columns, in the largest words that go on."""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm

from heritage.kits.fonts import BOLD
from heritage.kits.paper.blocks import Photo
from heritage.kits.paper.leaf import (
    EDGE,
    FOOT,
    GAP,
    HEIGHT,
    WIDTH,
    Leaf,
    Press,
    high,
    style,
)
from heritage.kits.paper.look import FLAX, HAIRLINE, MUTED
from heritage.kits.paper.pictures import Picture, pixels, without_metadata
from heritage.kits.paper.tags import Node, marked
from heritage.kits.paper.text import Words as Line
from heritage.kits.paper.text import address_lines

SIZES: Final = (15.0, 14.0, 13.0, 12.5, 12.0)
# A picture takes what the words leave, but never less than this, nor more. [pt]
LEAST, MOST = 110.0, 330.0
# Words give way to a picture down to this size. [pt]
SMALL: Final = 13.0
CODE: Final = 32 * mm
INSIDE: Final = WIDTH - 2 * EDGE
COLUMN: Final = (INSIDE - GAP) / 2
TOP: Final = HEIGHT - EDGE - 22
ROOM: Final = TOP - FOOT - CODE - 18
SPARE: Final = Node("Document")


@dataclass(frozen=True)
class Told:
    """A paragraph, its height with the gap below, and what must stay with it."""

    text: str
    lead: str
    tag: str
    style: ParagraphStyle
    tall: float
    company: float = 0

    def line(self, root: Node) -> Line:
        return Line.of(self.text, self.style, root.child(self.tag), lead=self.lead)


class Back:
    """Lays a leaf's back out in one size of words, and draws it."""

    def __init__(self, press: Press, leaf: Leaf, size: float) -> None:
        self.press, self.leaf = press, leaf
        self.text = style(size, spaceAfter=0.35 * size)
        self.head = style(
            1.12 * size, fontName=BOLD, textColor=FLAX, spaceAfter=0.5 * size
        )

    @cached_property
    def _told(self) -> list[Told]:
        """The paragraphs; a heading stays with the first below it."""
        told: list[Told] = []
        for part in self.leaf.parts:
            lines = [self._one(text, lead) for lead, text in part.lines]
            told.append(self._one(part.heading, "", company=lines[0].tall))
            told += lines
        return told

    def _one(self, text: str, lead: str, *, company: float = 0) -> Told:
        look = self.head if company else self.text
        line = Line.of(text, look, SPARE, lead=lead)
        tall = high(line, COLUMN) + float(look.spaceAfter)
        return Told(text, lead, "H2" if company else "P", look, tall, company)

    def _columns(self, tall: float) -> list[list[Told]]:
        """Part the paragraphs into columns of a height, as many as it takes."""
        found: list[list[Told]] = [[]]
        left = tall
        for one in self._told:
            if one.tall + one.company > left and found[-1]:
                found.append([])
                left = tall
            found[-1].append(one)
            left -= one.tall
        return found

    @cached_property
    def tall(self) -> float:
        """The lowest that two columns are, or more than there is room for."""
        tall = sum(one.tall for one in self._told) / 2
        while len(self._columns(tall)) > 2 and tall <= ROOM:
            tall += 4
        return tall

    def fits(self, *, picture: bool) -> bool:
        """Whether it goes on, with or without the picture."""
        wanted = LEAST + 24 if picture and self.leaf.photo else 0
        return self.tall + wanted <= ROOM

    def draw(self) -> None:
        """Draw the page, and another where even the smallest words run over."""
        columns = self._columns(min(self.tall, ROOM))
        for at in range(0, len(columns), 2):
            if at:
                self._end()
            self._draw_head()
            for side, told in enumerate(columns[at : at + 2]):
                self._draw_column(told, EDGE + side * (COLUMN + GAP))
        if len(columns) <= 2:
            self._draw_photo(self.leaf.photo)
        self._draw_code()
        self._end()

    def _end(self) -> None:
        self.press.foot(*self.leaf.foot)
        self.press.pen.showPage()

    def _draw_head(self) -> None:
        words = f"{self.leaf.title} · {self.leaf.eyebrow}"
        line = Line.of(words, style(13, fontName=BOLD), self.press.root.child("P"))
        self.press.words_at(line, EDGE, HEIGHT - EDGE + 6, INSIDE)
        self.press.rule(HEIGHT - EDGE - 12)

    def _draw_column(self, told: list[Told], x: float) -> None:
        y = TOP
        for one in told:
            self.press.words_at(one.line(self.press.root), x, y, COLUMN)
            y -= one.tall

    def _draw_photo(self, photo: Photo | None) -> None:
        """Draw the picture in what room there is, if that is worth it."""
        if photo is None:
            return
        muted = style(12, textColor=MUTED)
        words = high(Line.of(photo.caption, muted, SPARE), INSIDE)
        room = ROOM - self.tall - words - 14
        if room < LEAST - 20:
            return
        y = self._paint(photo, min(MOST, room), TOP - self.tall - 6)
        caption = Line.of(photo.caption, muted, self.press.root.child("P"))
        self.press.words_at(caption, EDGE, y - 3, INSIDE)

    def _paint(self, photo: Photo, most: float, top: float) -> float:
        """Draw a picture below a height; return where it ends."""
        jpeg, pen = without_metadata(photo.jpeg), self.press.pen
        wide, tall = pixels(jpeg)
        factor = min(most / tall, INSIDE / wide)
        size = wide * factor, tall * factor
        with marked(pen, self.press.root.child("Figure", alt=photo.alt)):
            pen.drawImage(Picture(jpeg), EDGE, top - size[1], *size)
            pen.setStrokeColor(HAIRLINE)
            pen.rect(EDGE, top - size[1], *size)
        return top - size[1]

    def _draw_code(self) -> None:
        press, code, y = self.press, self.leaf.code, FOOT + 2
        press.rule(y + CODE + 4)
        press.code(code, EDGE - 10, y, CODE, press.root)
        left, wide = EDGE + CODE, INSIDE - CODE
        top = y + CODE - 22
        bold, small = style(15, fontName=BOLD), style(12)
        label = Line.of(code.label, bold, press.root.child("P"))
        top -= press.words_at(label, left, top, wide) + 5
        url = address_lines(code.url, small, wide)
        press.words_at(Line.of(url, small, press.root.child("P")), left, top, wide)


def draw_back(press: Press, leaf: Leaf) -> None:
    """Draw a leaf's back in the largest words that go on, and leave the picture room.

    Words give way to a picture, but not below a size that is easily read.
    """
    backs = [Back(press, leaf, size) for size in SIZES]
    roomy = (
        back
        for back in backs
        if back.text.fontSize >= SMALL and back.fits(picture=True)
    )
    fits = (back for back in backs if back.fits(picture=False))
    (next(roomy, None) or next(fits, None) or backs[-1]).draw()
