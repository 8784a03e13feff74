"""Sheets of the field notebook: plain blocks in, a tagged A4 PDF out."""

from collections.abc import Callable, Sequence
from io import BytesIO
from typing import Final

from reportlab import rl_config

from heritage.kits.fonts import register
from heritage.kits.paper.blocks import (
    Block,
    Footer,
    Words,
)
from heritage.kits.paper.look import Look
from heritage.kits.paper.pages import Document, Furniture, Masthead, page_size
from heritage.kits.paper.seal import seal
from heritage.kits.paper.story import Story
from heritage.kits.paper.tags import Node
from heritage.kits.paper.text import Title
from heritage.kits.paper.text import Words as Line

# Base-85 text in a PDF is ten times slower to write and helps nobody.
rl_config.useA85 = 0
Drawn = tuple[bytes, Node, int]
Draw = Callable[[Look, int], Drawn]
# A sheet that must not run over is tried in these sizes; clear print ends at 12. [pt]
CLOSE: Final = (14.0, 13.5, 13.0, 12.5, 12.0)


def _masthead(
    title: str, subtitle: str, owner: str, look: Look, root: Node
) -> Masthead:
    lines = [Line.of(owner, look.head, root.child("P"))] if owner else []
    name = Title.of(title, look.title, root.child("H1"))
    name.entry = ("title", title, 0)
    lines.append(name)
    if subtitle:
        lines.append(Line.of(subtitle, look.subtitle, root.child("P")))
    return Masthead(lines, flower=look.flower, below=look.below_title)


def _lay_out(
    furniture: Furniture,
    subtitle: str,
    content: Sequence[Block],
    properties: dict[str, str],
) -> Drawn:
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
    words: Words,
    blocks: Sequence[Block],
    subtitle: str = "",
    large_print: bool = False,
    landscape: bool = False,
    one_page: bool = False,
    footer: Footer | None = None,
) -> bytes:
    """Print a sheet. The same arguments give the same bytes.

    ``language`` is a tag such as ``en-GB`` and must be that of ``words`` too. With
    ``one_page`` the words are set closer and as much smaller as it takes, down to 12
    points; what is too long even so runs over in the usual size.
    """
    if not title.strip():
        raise ValueError("A sheet needs a title.")
    register()
    footer = footer or Footer()
    properties = {
        "title": title,
        "author": footer.owner,
        "subject": subtitle,
        "lang": language,
    }
    size, usual = page_size(turned=landscape), Look(large_print)

    def draw(look: Look, pages: int) -> Drawn:
        furniture = Furniture(title, footer, words, look, size, pages)
        return _lay_out(furniture, subtitle, blocks, properties)

    drawn = (_closer(draw) if one_page else None) or _settled(draw, usual)
    return seal(*drawn, properties)


def _settled(draw: Draw, look: Look) -> tuple[bytes, Node]:
    """Draw until the number of pages in the foot is the number there are."""
    pages = 1
    while True:
        drawn, root, count = draw(look, pages)
        if count == pages:
            return drawn, root
        pages = count


def _closer(draw: Draw) -> tuple[bytes, Node] | None:
    """Draw on one page in the largest size that goes on it, or not at all."""
    for look in (Look(), *(Look(close=points) for points in CLOSE)):
        drawn, root, count = draw(look, 1)
        if count == 1:
            return drawn, root
    return None
