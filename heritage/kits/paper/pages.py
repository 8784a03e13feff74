"""The page itself: margins, the notebook's double margin rule, head and foot."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from io import BytesIO
from typing import Any, Final, Literal

from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from heritage.kits.drawing.print import paint
from heritage.kits.emblem import flax_flower
from heritage.kits.fonts import BOLD, REGULAR
from heritage.kits.paper.blocks import Footer, Words
from heritage.kits.paper.larger import as_a3
from heritage.kits.paper.leaf import Tell, to_nobody
from heritage.kits.paper.look import FLAX, HAIR, HAIRLINE, INK, MUTED, RETTED, Look
from heritage.kits.paper.tags import Node, artifact
from heritage.kits.paper.text import Words as Line

LEFT, RIGHT, TOP, BOTTOM = 60.0, 42.0, 42.0, 26.0
MARGIN_RULES: Final = (LEFT - 14, LEFT - 11)
# Room between the words and the foot's rule.
FOOT_PAD: Final = 4.0
# The page's number is given room for so many.
MOST: Final = 88


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

    def needs(self, width: float) -> float:
        """Return how much of the first page it takes."""
        return self.wrap(width, 0)[1] + self.spaceAfter

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
        number = self.words.page.format(page=MOST, pages=MOST)
        room = self.width - stringWidth(number, BOLD, size) - 16
        return [
            line
            for text in (edition, printed)
            for line in simpleSplit(text, REGULAR, size, room)
        ]

    @property
    def foot(self) -> float:
        """Height of the page's foot above its edge."""
        return BOTTOM + 1.25 * self.look.small * max(1, len(self.foot_lines)) + 10

    @property
    def first_height(self) -> float:
        """Height of the first page's words and its title together."""
        return self.size[1] - self.foot - TOP

    @property
    def running_head(self) -> float:
        return TOP + 1.3 * self.look.small + 12

    def draw(self, canvas: Canvas, page: int) -> None:
        """Draw what stands on a page beside its words, but its number."""
        with artifact(canvas):
            self._draw_margin(canvas)
            self._draw_foot(canvas)
            if page > 1:
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
        canvas.setFillColor(MUTED)
        canvas.setFont(REGULAR, size)
        for line in self.foot_lines:
            canvas.drawString(LEFT, y, line)
            y -= 1.25 * size

    def draw_number(self, canvas: Canvas, page: int, pages: int) -> None:
        size, number = self.look.small, self.words.page.format(page=page, pages=pages)
        with artifact(canvas):
            canvas.setFillColor(INK)
            canvas.setFont(BOLD, size)
            right, y = LEFT + self.width, self.foot - 8 - size
            canvas.drawRightString(right, y, number)

    def _draw_head(self, canvas: Canvas) -> None:
        size, top = self.look.small, self.size[1] - TOP
        canvas.setFillColor(FLAX)
        canvas.setFont(BOLD, size)
        first = simpleSplit(self.title, BOLD, size, self.width)[0]
        canvas.drawString(LEFT, top - size + 2, first)
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.8)
        canvas.line(LEFT, top - size - 5, LEFT + self.width, top - size - 5)


class _Paper(Canvas):
    """Takes down what stands where, and paints it once all has its place.

    So what is only tried is not painted, and a page can say how many there are.
    """

    def __init__(self, *said: Any, **more: Any) -> None:
        super().__init__(*said, **more)
        self.placed: list[list[Callable[[], None]]] = [[]]

    def put(
        self, draw: Callable[..., None], _: Canvas, *place: float, **more: float
    ) -> None:
        """Take down what is to be drawn on this page, and where."""
        self.placed[-1].append(partial(draw, self, *place, **more))

    def showPage(self) -> None:  # noqa: N802
        """Begin to take down another page, where ReportLab would end one."""
        self.placed.append([])

    def save(self) -> None:
        """Wait, where ReportLab would write."""

    def write(self, furniture: Furniture, tell: Tell, *, a3: bool) -> None:
        """Paint the pages, and write them."""
        *pages, _ = self.placed
        for number, page in enumerate(pages, start=1):
            if a3:
                as_a3(self, furniture.size)
            furniture.draw(self, number)
            for draw in page:
                draw()
            furniture.draw_number(self, number, len(pages))
            super().showPage()
            tell(number)
        super().save()


class _Frame(Frame):
    """Gives what has its place to the paper, to be painted later."""

    def add(
        self,
        flowable: Any,
        canv: Any,
        trySplit: int = 0,  # noqa: N803
    ) -> Literal[0, 1]:
        flowable.drawOn = partial(canv.put, flowable.drawOn)
        try:
            return super().add(flowable, canv, trySplit)
        finally:
            del flowable.drawOn


class OverFullError(Exception):
    """More than the pages that a sheet may have."""


class Document(BaseDocTemplate):
    """A sheet being laid out, over no more pages than it may have, and its tags."""

    def __init__(
        self,
        furniture: Furniture,
        root: Node,
        *,
        most: int | None = None,
        tell: Tell = to_nobody,
        **properties: Any,
    ) -> None:
        self.buffer = BytesIO()
        super().__init__(
            self.buffer,
            pagesize=furniture.size,
            displayDocTitle=1,
            invariant=1,
            pageCompression=1,
            # Or each page would name a face that is in nobody's file.
            initialFontName=REGULAR,
            **properties,
        )
        self.furniture, self.root, self.most = furniture, root, most
        self.tell, self.filled = tell, 0.0
        first = _template("first", TOP, furniture)
        later = _template("later", furniture.running_head, furniture)
        self.addPageTemplates([first, later])

    def lay_out(self, story: list[Flowable]) -> None:
        """Give all of it its place, without painting any.

        Raises
        ------
        OverFullError
            As soon as a page is begun that the sheet may not have.
        """

        def canvas(*said: Any, **more: Any) -> Canvas:
            self.paper = _Paper(*said, **more)
            return self.paper

        self.build(story, canvasmaker=canvas)

    def written(self, *, a3: bool) -> bytes:
        """Paint the pages that were laid out, and return their file."""
        self.paper.write(self.furniture, self.tell, a3=a3)
        return self.buffer.getvalue()

    def beforePage(self) -> None:  # noqa: N802
        if self.most and self.page > self.most:
            raise OverFullError

    def afterPage(self) -> None:  # noqa: N802
        """Remember how much of the page is taken: in the end, of the last."""
        frame: Any = self.frame
        self.filled = 1 - (frame._y - frame._y1p) / frame._aH


def _template(name: str, head: float, furniture: Furniture) -> PageTemplate:
    height = furniture.size[1] - furniture.foot - head
    frame = _Frame(
        LEFT,
        furniture.foot,
        furniture.width,
        height,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=FOOT_PAD,
    )
    return PageTemplate(
        name,
        [frame],
        pagesize=furniture.size,
        autoNextPageTemplate="later",
    )


def page_size(*, turned: bool) -> tuple[float, float]:
    """A4, upright or turned on its side."""
    return landscape(A4) if turned else A4
