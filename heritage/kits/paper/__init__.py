"""Sheets of the field notebook: plain blocks in, a tagged A4 PDF out."""

from collections.abc import Sequence
from io import BytesIO

from reportlab import rl_config

from heritage.kits.fonts import register
from heritage.kits.paper.blocks import (
    QR,
    Big,
    Block,
    Bullets,
    Caution,
    Facts,
    Figure,
    Footer,
    Heading,
    Lines,
    PageBreak,
    Para,
    Photo,
    Ruled,
    Signature,
    Steps,
    Table,
    Together,
    Words,
)
from heritage.kits.paper.look import Look
from heritage.kits.paper.pages import Document, Furniture, Masthead, page_size
from heritage.kits.paper.seal import seal
from heritage.kits.paper.story import Story
from heritage.kits.paper.tags import Node
from heritage.kits.paper.text import Title
from heritage.kits.paper.text import Words as Line

__all__ = [
    "QR",
    "Big",
    "Block",
    "Bullets",
    "Caution",
    "Facts",
    "Figure",
    "Footer",
    "Heading",
    "Lines",
    "PageBreak",
    "Para",
    "Photo",
    "Ruled",
    "Signature",
    "Steps",
    "Table",
    "Together",
    "Words",
    "sheet",
]

# Base-85 text in a PDF is ten times slower to write and helps nobody.
rl_config.useA85 = 0


def _masthead(
    title: str, subtitle: str, owner: str, look: Look, root: Node
) -> Masthead:
    lines = [Line.of(owner, look.head, root.child("P"))] if owner else []
    name = Title.of(title, look.title, root.child("H1"))
    name.entry = ("title", title, 0)
    lines.append(name)
    if subtitle:
        lines.append(Line.of(subtitle, look.subtitle, root.child("P")))
    return Masthead(lines, flower=5 * look.body)


def _lay_out(
    furniture: Furniture,
    subtitle: str,
    content: Sequence[Block],
    properties: dict[str, str],
) -> tuple[bytes, Node, int]:
    """Draw every page once; say how many there are."""
    look, root, buffer = furniture.look, Node("Document"), BytesIO()
    document = Document(buffer, furniture, **properties)
    height = furniture.size[1] - furniture.foot - furniture.running_head
    head = _masthead(furniture.title, subtitle, furniture.footer.owner, look, root)
    story = Story(look, furniture.words, furniture.width, height, root)
    document.build([head, *story.tell(content)])
    return buffer.getvalue(), root, document.page


def sheet(
    *,
    title: str,
    language: str,
    blocks: Sequence[Block],
    subtitle: str = "",
    large_print: bool = False,
    landscape: bool = False,
    footer: Footer | None = None,
    author: str = "",
    subject: str = "",
    words: Words | None = None,
) -> bytes:
    """Print a sheet. The same arguments give the same bytes.

    ``language`` is a tag such as ``en-GB`` and must be that of ``words`` too.
    """
    if not title.strip():
        raise ValueError("A sheet needs a title.")
    register()
    footer, words = footer or Footer(), words or Words()
    properties = {
        "title": title,
        "author": author or footer.owner,
        "subject": subject or subtitle,
        "lang": language,
    }
    size, pages = page_size(turned=landscape), 1
    while True:
        furniture = Furniture(title, footer, words, Look(large_print), size, pages)
        drawn, root, count = _lay_out(furniture, subtitle, blocks, properties)
        if count == pages:
            return seal(drawn, root, properties)
        pages = count
