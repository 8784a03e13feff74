"""A bill to hang on a gate: one page, the land across it, great words, a large code.

A3 is the A4 page made larger, so that both say and show the same.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Final

from reportlab.lib.colors import Color
from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from heritage.kits.drawing.land import Land
from heritage.kits.drawing.marks import Drawing
from heritage.kits.drawing.print import paint
from heritage.kits.fonts import GREAT, register
from heritage.kits.paper.blocks import QR, Caution, Words
from heritage.kits.paper.larger import as_a3
from heritage.kits.paper.look import FLAX, INK, MUTED, Look
from heritage.kits.paper.panels import Stamp
from heritage.kits.paper.seal import seal
from heritage.kits.paper.tags import Node, artifact, marked
from heritage.kits.paper.text import Words as Line
from heritage.kits.paper.text import address_lines
from heritage.kits.qr import qr_drawing
from heritage.kits.signs import sign

WIDTH, HEIGHT = A4
EDGE: Final = 34.0
CODE: Final = 52 * mm
GAP: Final = 20.0
# Where the land begins, as a share of its height.
HORIZON: Final = 0.62
# The land's share of the page and the size of the words: as large as go on it.
SIZES: Final = ((0.5, 15.0), (0.45, 14.0), (0.4, 13.0), (0.34, 12.0), (0.26, 12.0))
LARGE: Final = ((0.36, 18.0), (0.28, 18.0), (0.2, 18.0), (0.2, 16.0))


@dataclass(frozen=True)
class Bill:
    """What a bill says.

    ``lines`` are leads with their sentences; from ``needed`` on they are left off,
    the last first, where the page has no room. ``foot`` stands left and right.
    """

    call: str
    word: str
    told: str
    day: str
    hours: str
    lines: Sequence[tuple[str, str]]
    needed: int
    cautions: Sequence[Caution]
    code: QR
    foot: tuple[str, str]
    banner: str = ""
    standing: float = 0.55

    @property
    def title(self) -> str:
        return f"{self.call} {self.word}"


def bill(
    page: Bill, *, language: str, words: Words, large_print: bool, a3: bool = False
) -> bytes:
    """Print a bill on A4, or on A3. The same arguments give the same bytes."""
    register()
    properties = {
        "title": page.title,
        "author": page.foot[0],
        "subject": f"{page.day}, {page.hours}",
        "lang": language,
    }
    root, buffer = Node("Document"), BytesIO()
    canvas = Canvas(
        buffer,
        pagesize=A4,
        invariant=1,
        pageCompression=1,
        initialFontName=GREAT,  # type: ignore[arg-type]
        lang=language,
    )
    canvas.setTitle(page.title)
    canvas.setAuthor(page.foot[0])
    canvas.setViewerPreference("DisplayDocTitle", "true")
    if a3:
        as_a3(canvas)
    _Painter(canvas, page, words, root, *_room(page, large=large_print)).paint()
    canvas.showPage()
    canvas.save()
    return seal(buffer.getvalue(), root, properties)


def _room(page: Bill, *, large: bool) -> tuple[float, float, int]:
    """Return the land's share, the size of the words and how many lines go on."""
    sizes = LARGE if large else SIZES
    for kept in range(len(page.lines), page.needed - 1, -1):
        for share, size in sizes:
            painter = _Painter(None, page, None, Node("Document"), share, size, kept)
            if painter.fits():
                return share, size, kept
    return *sizes[-1], page.needed


@lru_cache(maxsize=16)
def _land(high: float, standing: float) -> tuple[Drawing, Drawing]:
    """Draw what lies behind the call and what stands before it, once for each size."""
    land = Land(WIDTH, high, standing, horizon=HORIZON)
    behind, before = tuple(land.far()), tuple(land.near())
    return Drawing(WIDTH, high, behind), Drawing(WIDTH, high, before)


class _Painter:
    """Lays a bill out from the top, and paints it once it is known to go on."""

    def __init__(
        self,
        canvas: Canvas | None,
        page: Bill,
        words: Words | None,
        root: Node,
        share: float,
        size: float,
        kept: int,
    ) -> None:
        self.canvas, self.page, self.words, self.root = canvas, page, words, root
        self.land = share * HEIGHT
        self.look = Look(close=size)
        self.kept = kept
        self.column = WIDTH - 2 * EDGE - CODE - GAP

    def _lines(self) -> Iterator[Line]:
        for lead, text in self.page.lines[: self.kept]:
            yield Line.of(text, self.look.para, self.root.child("P"), lead=lead)

    def _warnings(self) -> Iterator[tuple[Caution, Line]]:
        for caution in self.page.cautions:
            node = self.root.child("P")
            lead = f"{caution.word}." if caution.word else ""
            yield caution, Line.of(caution.text, self.look.para, node, lead=lead)

    @property
    def _sign(self) -> float:
        return 2.2 * self.look.body

    def fits(self) -> bool:
        """Tell whether everything stands above the foot."""
        high = sum(line.wrap(self.column, HEIGHT)[1] + 5 for line in self._lines())
        for _, line in self._warnings():
            wide = self.column - self._sign - 8
            high += max(self._sign, line.wrap(wide, HEIGHT)[1]) + 8
        return self._below() - high > EDGE + 18

    def _great(self, text: str, most: float, width: float) -> float:
        """Return the size at which great words fill a width, at the most."""
        return min(most, most * width / stringWidth(text, GREAT, most))

    def _below(self) -> float:
        """Return where the lines begin, below the day and its rule."""
        return HEIGHT - self.land - self._day - self._hours - 34

    @property
    def _day(self) -> float:
        return self._great(self.page.day, 46, WIDTH - 2 * EDGE)

    @property
    def _hours(self) -> float:
        return self._great(self.page.hours, 30, WIDTH - 2 * EDGE)

    def paint(self) -> None:
        """Paint the land with the call in it, then the day, the lines and the code."""
        self._call()
        self._when()
        y = self._below()
        for line in self._lines():
            y -= line.wrap(self.column, HEIGHT)[1] + 5
            line.drawOn(self._pen, EDGE, y)
        for caution, line in self._warnings():
            y -= self._warning(caution, line, y)
        self._code(self._below())
        self._foot()

    @property
    def _pen(self) -> Canvas:
        if self.canvas is None:
            raise ValueError("There is no page to paint on.")
        return self.canvas

    def _call(self) -> None:
        page, wide = self.page, WIDTH - 2 * EDGE
        behind, field = _land(self.land, page.standing)
        title = self.root.child("H1")
        call = self._great(page.call, min(80, self.land * 0.2), wide)
        word = page.word.upper()
        great = self._great(word, self.land * 0.56, wide)
        with artifact(self._pen):
            paint(behind, self._pen, 0, HEIGHT - self.land)
        with marked(self._pen, title):
            self._text(page.call, EDGE, HEIGHT - 0.3 * EDGE - call, call)
            base = HEIGHT - self.land * HORIZON - 0.02 * great
            self._text(word, EDGE, base, great, colour=FLAX)
        figure = self.root.child("Figure", alt=page.told)
        with marked(self._pen, figure):
            paint(field, self._pen, 0, HEIGHT - self.land)
        if page.banner:
            self._banner(page.banner)

    def _banner(self, words: str) -> None:
        pen, size = self._pen, self._great(words, 54, WIDTH - 4 * EDGE)
        foot = HEIGHT - self.land * 0.8
        with artifact(pen):
            pen.setFillColorRGB(1, 1, 1)
            pen.rect(0, foot - 0.5 * size, WIDTH, 1.7 * size, stroke=0, fill=1)
        with marked(pen, self.root.child("P")):
            self._text(words, EDGE, foot, size)

    def _when(self) -> None:
        day, hours = self._day, self._hours
        y = HEIGHT - self.land - 12 - 0.78 * day
        for text, size in ((self.page.day, day), (self.page.hours, hours)):
            with marked(self._pen, self.root.child("P")):
                self._text(text, EDGE, y, size)
            y -= hours + 4
        with artifact(self._pen):
            self._pen.setStrokeColor(INK)
            self._pen.setLineWidth(1.6)
            self._pen.line(EDGE, self._below() + 8, WIDTH - EDGE, self._below() + 8)

    def _warning(self, caution: Caution, line: Line, y: float) -> float:
        """Draw a caution with its sign; return how high it is."""
        text = line.wrap(self.column - self._sign - 8, HEIGHT)[1]
        high = max(self._sign, text) + 8
        mark = Stamp(sign(caution.kind), self._sign)
        with artifact(self._pen):
            mark.paint(self._pen, EDGE, y - high / 2 - mark.height / 2)
        line.drawOn(self._pen, EDGE + self._sign + 8, y - high / 2 - text / 2)
        return high

    def _code(self, top: float) -> None:
        left = WIDTH - EDGE - CODE
        code = Stamp(qr_drawing(self.page.code.url), CODE)
        words = self.words
        alt = words.qr.format(address=self.page.code.url) if words else ""
        with marked(self._pen, self.root.child("Figure", alt=alt)):
            code.paint(self._pen, left, top - CODE + 6)
        y = top - CODE + 4
        cell, small = self.look.cell, self.look.caption
        url = address_lines(self.page.code.url, small, CODE)
        for text, lead, style in (("", self.page.code.label, cell), (url, "", small)):
            line = Line.of(text, style, self.root.child("P"), lead=lead)
            y -= line.wrap(CODE, HEIGHT)[1] + 3
            line.drawOn(self._pen, left, y)

    def _foot(self) -> None:
        left, right = self.page.foot
        with artifact(self._pen):
            self._pen.setFillColor(MUTED)
            self._pen.setFont(GREAT, 12)
            self._pen.drawString(EDGE, EDGE - 12, left)
            self._pen.drawRightString(WIDTH - EDGE, EDGE - 12, right)

    def _text(
        self, text: str, x: float, y: float, size: float, *, colour: Color = INK
    ) -> None:
        self._pen.setFillColor(colour)
        self._pen.setFont(GREAT, size)
        self._pen.drawString(x, y, text)
