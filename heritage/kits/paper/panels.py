"""Flowables with a shape of their own: cautions, figures, QR codes, writing lines."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Table

from heritage.kits.drawing.file import Kept
from heritage.kits.drawing.marks import Drawing
from heritage.kits.drawing.print import paint
from heritage.kits.fonts import REGULAR
from heritage.kits.paper.look import HAIR, HAIRLINE, INK
from heritage.kits.paper.pictures import Picture
from heritage.kits.paper.tags import Node, artifact, marked
from heritage.kits.paper.text import Words

Paint = Callable[[Canvas], None]


@dataclass(frozen=True)
class Stamp:
    """A drawing and the width, in points, at which it is printed."""

    drawing: Drawing | Kept
    width: float

    @property
    def height(self) -> float:
        return self.width * self.drawing.height / self.drawing.width

    def paint(self, canvas: Canvas, x: float = 0, y: float = 0) -> None:
        """Paint it with its lower left corner at a point."""
        if isinstance(self.drawing, Kept):
            self.drawing.paint(canvas, x, y, width=self.width)
        else:
            paint(self.drawing, canvas, x, y, width=self.width)


class Panel(Flowable):
    """A framed box with a mark at its left and words beside it; never split."""

    def __init__(
        self,
        mark: Stamp,
        words: Sequence[Words],
        *,
        node: Node | None = None,
        pad: float = 9,
        framed: bool = True,
        space: float = 8,
    ) -> None:
        super().__init__()
        self.mark, self.words, self.node = mark, list(words), node
        self.pad, self.framed = pad, framed
        self.spaceBefore, self.spaceAfter = space, space

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        self.inset = self.mark.width + 2 * self.pad
        room = width - self.inset - self.pad
        self.heights = [words.wrap(room, height)[1] for words in self.words]
        self.height = max(sum(self.heights), self.mark.height) + 2 * self.pad
        return self.width, self.height

    def _draw_mark(self) -> None:
        foot = (self.height - self.mark.height) / 2
        self.mark.paint(self.canv, self.pad, foot)

    def draw(self) -> None:
        if self.framed:
            with artifact(self.canv):
                self.canv.setStrokeColor(INK)
                self.canv.setLineWidth(1.2)
                self.canv.rect(0, 0, self.width, self.height)
        # A safety mark only repeats the word beside it; a QR code is a figure.
        with marked(self.canv, self.node) if self.node else artifact(self.canv):
            self._draw_mark()
        y = (self.height + sum(self.heights)) / 2
        for words, height in zip(self.words, self.heights, strict=True):
            y -= height
            words.drawOn(self.canv, self.inset, y)


class LabelRow(Flowable):
    """Panels beside each other in frames of one height, to be cut out."""

    def __init__(self, panels: Sequence[Panel], columns: int, high: float) -> None:
        super().__init__()
        self.panels, self.columns, self.high = list(panels), columns, high

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, self.high
        for panel in self.panels:
            panel.wrap(width / self.columns, self.high)
        return self.width, self.height

    def draw(self) -> None:
        wide = self.width / self.columns
        for number, panel in enumerate(self.panels):
            with artifact(self.canv):
                self.canv.setStrokeColor(HAIRLINE)
                self.canv.setLineWidth(HAIR)
                self.canv.rect(number * wide, 0, wide, self.high)
            foot = (self.high - panel.height) / 2
            panel.drawOn(self.canv, number * wide, foot)


class Plate(Flowable):
    """A drawing or picture in the middle of the line, shrunk to fit the page."""

    def __init__(
        self, size: tuple[float, float], paint: Paint, node: Node, *, tallest: float
    ) -> None:
        super().__init__()
        self.natural, self.paint, self.node = size, paint, node
        self.tallest = tallest
        self.spaceBefore = self.spaceAfter = 6

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        wide, high = self.natural
        self.factor = min(1.0, width / wide, self.tallest / high)
        self.width, self.height = width, high * self.factor
        return self.width, self.height

    def draw(self) -> None:
        self.canv.saveState()
        self.canv.translate((self.width - self.natural[0] * self.factor) / 2, 0)
        self.canv.scale(self.factor, self.factor)
        with marked(self.canv, self.node):
            self.paint(self.canv)
        self.canv.restoreState()


class PlateRow(Flowable):
    """Pictures beside each other with the words below each; never split."""

    GAP = 10.0

    def __init__(self, plates: Sequence[tuple[Plate, Words]], beside: int) -> None:
        super().__init__()
        self.plates, self.beside = list(plates), beside
        self.spaceBefore = self.spaceAfter = 6

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.share = (width - self.GAP * (self.beside - 1)) / self.beside
        for plate, words in self.plates:
            plate.wrap(self.share, height)
            words.wrap(self.share, height)
        self.top = max(plate.height for plate, _ in self.plates)
        self.width = width
        self.height = self.top + 3 + max(words.height for _, words in self.plates)
        return self.width, self.height

    def draw(self) -> None:
        for number, (plate, words) in enumerate(self.plates):
            x = number * (self.share + self.GAP)
            plate.drawOn(self.canv, x, self.height - self.top)
            words.drawOn(self.canv, x, self.height - self.top - 3 - words.height)


def picture_paint(jpeg: bytes, size: tuple[float, float]) -> Paint:
    picture = Picture(jpeg)
    return lambda canvas: _draw_picture(canvas, picture, size)


def _draw_picture(canvas: Canvas, picture: Picture, size: tuple[float, float]) -> None:
    canvas.drawImage(picture, 0, 0, *size)
    canvas.setStrokeColor(HAIRLINE)
    canvas.setLineWidth(HAIR)
    canvas.rect(0, 0, *size)


class WritingLines(Flowable):
    """Ruled lines, each with a label under its start or none."""

    def __init__(self, count: int, pitch: float) -> None:
        super().__init__()
        self.count, self.pitch = count, pitch
        self.spaceAfter = pitch / 2

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.height = width, self.count * self.pitch
        return self.width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        fits = int(height // self.pitch)
        if not 0 < fits < self.count:
            return []
        return [
            WritingLines(fits, self.pitch),
            WritingLines(self.count - fits, self.pitch),
        ]

    def draw(self) -> None:
        with artifact(self.canv):
            self.canv.setStrokeColor(HAIRLINE)
            self.canv.setLineWidth(HAIR)
            for index in range(self.count):
                self.canv.line(0, index * self.pitch, self.width, index * self.pitch)


class SignatureLine(Flowable):
    """Two lines to write on, with what they are for beneath."""

    def __init__(self, signed: Words, dated: Words, pitch: float) -> None:
        super().__init__()
        self.signed, self.dated, self.pitch = signed, dated, pitch
        self.spaceBefore = self.spaceAfter = pitch / 3

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width, self.split_at = width, 0.66 * width
        below = max(
            self.signed.wrap(self.split_at - 12, height)[1],
            self.dated.wrap(width - self.split_at, height)[1],
        )
        self.below = below
        self.height = self.pitch + below + 3
        return self.width, self.height

    def draw(self) -> None:
        level = self.below + 3
        with artifact(self.canv):
            self.canv.setStrokeColor(INK)
            self.canv.setLineWidth(0.8)
            self.canv.line(0, level, self.split_at - 12, level)
            self.canv.line(self.split_at, level, self.width, level)
        for words, x in ((self.signed, 0.0), (self.dated, self.split_at)):
            words.drawOn(self.canv, x, level - 2 - words.height)


def columns(two: Sequence[list[Flowable]], wide: float, gap: float) -> Table:
    """Set flowables in two columns beside each other."""
    everywhere = (0, 0), (-1, -1)
    pads = ("LEFT", "TOP", "BOTTOM")
    return Table(
        [[*two]],
        colWidths=[wide + gap, wide],
        style=[
            ("FONTNAME", *everywhere, REGULAR),
            ("VALIGN", *everywhere, "TOP"),
            *[(f"{side}PADDING", *everywhere, 0) for side in pads],
            ("RIGHTPADDING", (0, 0), (0, 0), gap),
            ("RIGHTPADDING", (1, 0), (1, 0), 0),
        ],
    )
