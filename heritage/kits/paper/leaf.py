"""A leaf that shows how a piece of work is done: drawn steps in front, the rest behind.

What a leaf says, and the press that its pages are drawn on: `front`, `back`, `card`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Any, Final

from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from heritage.kits.drawing.file import from_svg
from heritage.kits.drawing.print import paint
from heritage.kits.fonts import GREAT, REGULAR, register
from heritage.kits.paper.blocks import QR, Caution, Photo, Words
from heritage.kits.paper.look import INK, MUTED, RETTED
from heritage.kits.paper.seal import seal
from heritage.kits.paper.tags import Node, artifact, marked
from heritage.kits.paper.text import Words as Line
from heritage.kits.qr import qr_drawing

WIDTH, HEIGHT = A4
EDGE: Final = 34.0
GAP: Final = 18.0
FOOT: Final = EDGE + 6
# A drawing is three high for four wide.
SHAPE: Final = 0.75
# Hears how many pages are drawn.
Tell = Callable[[int], None]


@dataclass(frozen=True)
class Step:
    """A drawn step: the SVG file, what it shows, what to do, and that for a child."""

    drawing: Path
    shows: str
    does: str
    child: str


@dataclass(frozen=True)
class Part:
    """A part of the back: a heading over sentences, each with its lead or none."""

    heading: str
    lines: Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Leaf:
    """What a leaf says.

    ``eyebrow`` stands over the title, ``trains`` under the cautions. ``child`` is what
    the card says besides its steps. ``foot`` stands left and right on both pages.
    """

    title: str
    eyebrow: str
    what: str
    why: tuple[str, str]
    steps: Sequence[Step]
    cautions: Sequence[Caution]
    trains: str
    child: str
    parts: Sequence[Part]
    code: QR
    foot: tuple[str, str]
    over: str
    photo: Photo | None = None
    # Among the parts too: a panel has no back.
    stops: Part | None = None


def to_nobody(pages: int) -> None:
    """Hear how many pages are drawn, and say nothing."""


@dataclass
class Press:
    """The canvas that leaves are drawn on, with their structure and their words."""

    title: str
    owner: str
    language: str
    words: Words
    size: tuple[float, float] = A4
    numbered: bool = False
    root: Node = field(default_factory=lambda: Node("Document"))
    buffer: BytesIO = field(default_factory=BytesIO)

    def __post_init__(self) -> None:
        register()
        look: dict[str, Any] = {"lang": self.language, "initialFontName": REGULAR}
        self.pen = Canvas(
            self.buffer, pagesize=self.size, invariant=1, pageCompression=1, **look
        )
        self.pen.setTitle(self.title)
        self.pen.setAuthor(self.owner)
        self.pen.setViewerPreference("DisplayDocTitle", "true")

    @property
    def drawn(self) -> int:
        """How many pages are drawn."""
        return int(self.pen.getPageNumber()) - 1

    def sealed(self, subject: str = "") -> bytes:
        """Return the finished pages. The same drawing gives the same bytes."""
        self.pen.save()
        properties = {
            "title": self.title,
            "author": self.owner,
            "subject": subject,
            "lang": self.language,
        }
        return seal(self.buffer.getvalue(), self.root, properties)

    def words_at(self, line: Line, x: float, top: float, width: float) -> float:
        """Draw a paragraph below ``top``; return its height."""
        tall = high(line, width)
        line.drawOn(self.pen, x, top - tall)
        return tall

    def great(self, text: str, x: float, y: float, size: float, node: Node) -> None:
        """Draw great words on their base line."""
        with marked(self.pen, node):
            self.pen.setFillColor(INK)
            self.pen.setFont(GREAT, size)
            self.pen.drawString(x, y, text)

    def rule(self, y: float, *, weight: float = 1.6) -> None:
        """Draw a line across the page."""
        with artifact(self.pen):
            self.pen.setStrokeColor(INK)
            self.pen.setLineWidth(weight)
            self.pen.line(EDGE, y, WIDTH - EDGE, y)

    def foot(self, left: str, right: str) -> None:
        """Draw the foot of a page."""
        with artifact(self.pen):
            self.pen.setFillColor(MUTED)
            self.pen.setFont(REGULAR, 12)
            self.pen.drawString(EDGE, EDGE - 12, left)
            self.pen.drawRightString(WIDTH - EDGE, EDGE - 12, right)
            if self.numbered:
                # Beside the name: the right side may say much, and reach the middle.
                after = EDGE + stringWidth(left, REGULAR, 12) + 14
                self.pen.setFont(GREAT, 14)
                self.pen.drawString(after, EDGE - 12, f"{self.pen.getPageNumber()}")

    def drawing(self, step: Step, x: float, y: float, wide: float, node: Node) -> None:
        """Draw a step's drawing with its lower left corner at a point."""
        with marked(self.pen, node.child("Figure", alt=step.shows)):
            from_svg(step.drawing).paint(self.pen, x, y, width=wide)

    def code(self, code: QR, x: float, y: float, side: float, node: Node) -> None:
        """Draw a code with its lower left corner at a point."""
        alt = self.words.qr.format(address=code.url)
        with marked(self.pen, node.child("Figure", alt=alt)):
            paint(qr_drawing(code.url), self.pen, x, y, width=side)

    def number(self, number: int, x: float, top: float, *, size: float = 24) -> None:
        """Draw a step's number at the height of its words."""
        self.pen.setFillColor(RETTED)
        self.pen.setFont(GREAT, size)
        self.pen.drawString(x, top - 0.8 * size, f"{number}")

    def entry(self, title: str) -> None:
        """Leave a bookmark at the page that is drawn next."""
        key = f"leaf-{self.pen.getPageNumber()}"
        self.pen.bookmarkPage(key)
        self.pen.addOutlineEntry(title, key, 0)

    def wide(self, text: str, size: float) -> float:
        """Return how wide great words are."""
        return float(stringWidth(text, GREAT, size))


def high(line: Line, width: float) -> float:
    return float(line.wrap(width, 10 * HEIGHT)[1])


def style(size: float, **more: Any) -> ParagraphStyle:
    look: dict[str, Any] = {
        "fontName": REGULAR, "fontSize": size, "leading": 1.22 * size,
        "textColor": INK, "splitLongWords": 1,
    }  # fmt: skip
    return ParagraphStyle("leaf", **(look | more))


def fitting(text: str, most: float, width: float) -> float:
    """Return the size at which great words are no wider than this, at the most."""
    return min(most, most * width / stringWidth(text, GREAT, most))
