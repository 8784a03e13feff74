"""A finished sheet said again by ReportLab alone: what the same pages cost bare.

Its words in the same faces, sizes and widths, parsed from ReportLab's markup and laid
out by it, in its tables where they were in tables; its pictures as they are, and the
strokes of its drawings as they stand; each tagged as in the sheet, and sealed by the
same hand. There is no head, no foot, no look, and no size is tried.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html import escape
from io import BytesIO
from itertools import groupby
from typing import Any

import pdfplumber
import pikepdf
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, PageBreak, Paragraph, SimpleDocTemplate, Table

from heritage.kits.fonts import BOLD, GREAT, REGULAR
from heritage.kits.paper.pictures import Picture
from heritage.kits.paper.seal import seal
from heritage.kits.paper.tags import Node, marked

FACES = {"SemiBold": BOLD, "Bitter": GREAT}
FIGURE = re.compile(rb"/Figure <</MCID (\d+)>> BDC\n(.*?)\nEMC", re.DOTALL)
# However the words break, they go on.
TALL, MARGIN = 30_000.0, 20.0


@dataclass
class Said:
    """What one element says on one page."""

    tag: str
    alt: str = ""
    markup: str = ""
    size: float = 12
    wide: float = 0
    strokes: str = ""
    pictures: list[bytes] = field(default_factory=list)
    rows: list[list["Said"]] = field(default_factory=list)


def bare_of(pdf: bytes) -> Callable[[], bytes]:
    """Read a sheet; return what prints it bare."""
    with pdfplumber.open(BytesIO(pdf)) as read, pikepdf.open(BytesIO(pdf)) as opened:
        pages = [
            [*_elements(page.structure_tree, _said_on(page, raw))]
            for page, raw in zip(read.pages, opened.pages, strict=True)
        ]
        width = float(read.pages[0].width)
        properties = {
            "title": str(opened.docinfo.Title),
            "author": str(opened.docinfo.get("/Author", "")),
            "subject": "",
            "lang": str(opened.Root.Lang),
        }
    return lambda: _printed(pages, width, properties)


def _said_on(page: Any, raw: pikepdf.Page) -> dict[int, Said]:
    """Return what a page says under each mark of its content."""
    said: dict[int, Said] = defaultdict(lambda: Said("P"))
    chars = [one for one in page.chars if one["mcid"] is not None]
    for mcid, letters in groupby(chars, lambda one: one["mcid"]):
        _add_words(said[mcid], [*letters])
    pictures = {
        name.encode(): image.read_raw_bytes()
        for name, image in raw.get_images().items()
        if image.get("/Filter") is not None
    }
    raw.contents_coalesce()
    for number, strokes in FIGURE.findall(raw.Contents.read_bytes()):
        one = said[int(number)]
        one.pictures = [jpeg for name, jpeg in pictures.items() if name in strokes]
        lines = strokes.decode("latin-1").split("\n")
        drawn = [line for line in lines if not line.startswith("BT")]
        one.strokes = "" if one.pictures else "\n".join(drawn)
    return said


def _add_words(said: Said, letters: list[dict[str, Any]]) -> None:
    said.size = letters[0]["size"]
    said.wide = max(one["x1"] for one in letters) - min(one["x0"] for one in letters)
    for name, run in groupby(letters, lambda one: one["fontname"]):
        face = next((FACES[one] for one in FACES if one in name), REGULAR)
        said.markup += f'<font name="{face}">{escape(_text([*run]))}</font>'


def _text(letters: list[dict[str, Any]]) -> str:
    """Join letters; where a new line begins there is a space."""
    before = [letters[0], *letters]
    return "".join(
        (" " if one["top"] - last["top"] > one["size"] / 2 else "") + one["text"]
        for last, one in zip(before, letters, strict=False)
    )


def _elements(nodes: list[Any], said: dict[int, Said]) -> Iterator[Said]:
    """Give what a page's elements say, in reading order; a table's in its rows."""
    for node in nodes:
        below = node.get("children", [])
        if node["type"] == "Table":
            rows = [[*_elements([row], said)] for row in below]
            yield Said("Table", rows=[row for row in rows if row])
            continue
        for mcid in node.get("mcids", []):
            one = said[mcid]
            one.tag, one.alt = node["type"], node.get("alt_text", "")
            yield one
        yield from _elements(below, said)


class _Words(Paragraph):
    node: Node

    def draw(self) -> None:
        with marked(self.canv, self.node):
            super().draw()


class _Figure(Flowable):
    """Strokes as they stand, pictures as they are."""

    height = 10.0

    def __init__(self, said: Said, node: Node) -> None:
        super().__init__()
        self.said, self.node = said, node

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        return width, self.height

    def draw(self) -> None:
        with marked(self.canv, self.node):
            self.canv.saveState()
            self.canv.addLiteral(self.said.strokes)
            for jpeg in self.said.pictures:
                self.canv.drawImage(Picture(jpeg), 0, 0, 200, 150)
            self.canv.restoreState()


def _printed(
    pages: list[list[Said]], width: float, properties: dict[str, str]
) -> bytes:
    root, buffer = Node("Document"), BytesIO()
    room = width - 2 * MARGIN - 12
    document = SimpleDocTemplate(
        buffer,
        pagesize=(width, TALL),
        invariant=1,
        pageCompression=1,
        initialFontName=REGULAR,
        **dict.fromkeys(("leftMargin", "rightMargin"), MARGIN),
    )
    document.build(
        [
            flowable
            for page in pages
            for flowable in [*_told(page, root, room), PageBreak()]
        ]
    )
    return seal(buffer.getvalue(), root, properties)


def _told(page: list[Said], root: Node, room: float) -> Iterator[Flowable]:
    for said in page:
        if said.rows:
            yield _table(said, root.child("Table"))
            continue
        node = root.child(said.tag, alt=said.alt)
        if said.strokes or said.pictures:
            yield _Figure(said, node)
        if said.markup:
            yield _words(said, node, max(0, room - said.wide - 1))


def _table(said: Said, node: Node) -> Table:
    most = max(len(row) for row in said.rows)
    cells = [
        [_words(one, line.child(one.tag), 0) for one in row] + [""] * (most - len(row))
        for row, line in ((row, node.child("TR")) for row in said.rows)
    ]
    return Table(cells, style=[("FONTNAME", (0, 0), (-1, -1), REGULAR)])


def _words(said: Said, node: Node, right: float) -> _Words:
    style = ParagraphStyle(
        "bare",
        fontName=REGULAR,
        fontSize=said.size,
        leading=1.2 * said.size,
        rightIndent=right,
    )
    words = _Words(said.markup, style)
    words.node = node
    return words
