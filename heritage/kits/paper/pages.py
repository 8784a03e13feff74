"""The page itself: margins, the notebook's double margin rule, head and foot."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from typing import Any, Final

from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from heritage.kits.drawing.print import paint
from heritage.kits.emblem import flax_flower
from heritage.kits.fonts import BOLD, REGULAR
from heritage.kits.paper.blocks import Footer, Words
from heritage.kits.paper.look import FLAX, HAIR, HAIRLINE, INK, MUTED, RETTED, Look
from heritage.kits.paper.tags import artifact
from heritage.kits.paper.text import Words as Line

LEFT, RIGHT, TOP, BOTTOM = 60.0, 42.0, 42.0, 26.0
MARGIN_RULES: Final = (LEFT - 14, LEFT - 11)


class Masthead(Flowable):
    """The title block: owner, title, subtitle, the flower, and the opening rule."""

    def __init__(self, lines: list[Line], *, flower: float, below: float) -> None:
        super().__init__()
        self.lines = lines
        self.flower, self.wide = flax_flower(), flower
        self.high = flower * self.flower.height / self.flower.width
        self.spaceAfter = below

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        room = width - self.wide - 14
        self.heights = [line.wrap(room, height)[1] for line in self.lines]
        self.width = width
        self.height = max(sum(self.heights) + 12, self.high + 14)
        return self.width, self.height

    def draw(self) -> None:
        canvas, top = self.canv, self.height
        with artifact(canvas):
            right = self.width - self.wide
            paint(self.flower, canvas, right, top - self.high, width=self.wide)
            canvas.setStrokeColor(INK)
            canvas.setLineWidth(2.2)
            canvas.line(0, 3, self.width, 3)
            canvas.setStrokeColor(RETTED)
            canvas.setLineWidth(HAIR)
            canvas.line(0, 0, self.width, 0)
        y = top
        for line, height in zip(self.lines, self.heights, strict=True):
            y -= height
            line.drawOn(canvas, 0, y)


@dataclass
class Furniture:
    """What every page carries, drawn as decoration."""

    title: str
    footer: Footer
    words: Words
    look: Look
    size: tuple[float, float]
    pages: int

    @property
    def width(self) -> float:
        return self.size[0] - LEFT - RIGHT

    @cached_property
    def foot_lines(self) -> list[str]:
        source = self.footer.printed_from
        printed = self.words.printed_from.format(address=source) if source else ""
        parts = [self.footer.owner, self.footer.version]
        edition = " · ".join(part for part in parts if part)
        size = self.look.small
        number = stringWidth(self._number(self.pages), BOLD, size)
        room = self.width - number - 16
        return [
            line
            for text in (edition, printed)
            for line in simpleSplit(text, REGULAR, size, room)
        ]

    def _number(self, page: int) -> str:
        return self.words.page.format(page=page, pages=self.pages)

    @property
    def foot(self) -> float:
        """Height of the page's foot above its edge."""
        return BOTTOM + 1.25 * self.look.small * max(1, len(self.foot_lines)) + 10

    @property
    def running_head(self) -> float:
        return TOP + 1.3 * self.look.small + 12

    def draw_first(self, canvas: Canvas, _: Any) -> None:
        with artifact(canvas):
            self._draw_margin(canvas)
            self._draw_foot(canvas)

    def draw_later(self, canvas: Canvas, _: Any) -> None:
        with artifact(canvas):
            self._draw_margin(canvas)
            self._draw_foot(canvas)
            self._draw_head(canvas)

    def _draw_margin(self, canvas: Canvas) -> None:
        canvas.setStrokeColor(RETTED)
        canvas.setLineWidth(HAIR)
        for x in MARGIN_RULES:
            canvas.line(x, 18, x, self.size[1] - 18)

    def _draw_foot(self, canvas: Canvas) -> None:
        size = self.look.small
        canvas.setStrokeColor(HAIRLINE)
        canvas.setLineWidth(HAIR)
        canvas.line(LEFT, self.foot - 4, LEFT + self.width, self.foot - 4)
        y = self.foot - 8 - size
        canvas.setFillColor(INK)
        canvas.setFont(BOLD, size)
        number = self._number(canvas.getPageNumber())
        canvas.drawRightString(LEFT + self.width, y, number)
        canvas.setFillColor(MUTED)
        canvas.setFont(REGULAR, size)
        for line in self.foot_lines:
            canvas.drawString(LEFT, y, line)
            y -= 1.25 * size

    def _draw_head(self, canvas: Canvas) -> None:
        size, top = self.look.small, self.size[1] - TOP
        canvas.setFillColor(FLAX)
        canvas.setFont(BOLD, size)
        first = simpleSplit(self.title, BOLD, size, self.width)[0]
        canvas.drawString(LEFT, top - size + 2, first)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.line(LEFT, top - size - 5, LEFT + self.width, top - size - 5)


class Document(BaseDocTemplate):
    """A sheet being laid out."""

    def __init__(
        self, buffer: BytesIO, furniture: Furniture, **properties: Any
    ) -> None:
        super().__init__(
            buffer,
            pagesize=furniture.size,
            displayDocTitle=1,
            invariant=1,
            pageCompression=1,
            **properties,
        )
        first = _template("first", TOP, furniture, furniture.draw_first)
        head = furniture.running_head
        later = _template("later", head, furniture, furniture.draw_later)
        self.addPageTemplates([first, later])


def _template(
    name: str, head: float, furniture: Furniture, draw: Callable[[Canvas, Any], None]
) -> PageTemplate:
    height = furniture.size[1] - furniture.foot - head
    frame = Frame(
        LEFT,
        furniture.foot,
        furniture.width,
        height,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=4,
    )
    return PageTemplate(
        name,
        [frame],
        onPage=draw,
        pagesize=furniture.size,
        autoNextPageTemplate="later",
    )


def page_size(*, turned: bool) -> tuple[float, float]:
    """A4, upright or turned on its side."""
    return landscape(A4) if turned else A4
