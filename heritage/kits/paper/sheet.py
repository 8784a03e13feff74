"""Sheets of the field notebook: plain blocks in, a tagged A4 PDF out."""

from collections.abc import Callable, Sequence
from typing import Final

from reportlab import rl_config

from heritage.kits.fonts import register
from heritage.kits.paper.blocks import (
    Block,
    Footer,
    Words,
)
from heritage.kits.paper.larger import as_a3
from heritage.kits.paper.look import Look
from heritage.kits.paper.pages import (
    Document,
    Furniture,
    Masthead,
    OverFullError,
    page_size,
)
from heritage.kits.paper.seal import seal
from heritage.kits.paper.story import Story
from heritage.kits.paper.tags import Node
from heritage.kits.paper.text import Title
from heritage.kits.paper.text import Words as Line

# Base-85 text in a PDF is ten times slower to write and helps nobody.
rl_config.useA85 = 0
# A last page with no more on it than this share is put on those before, if its words
# set a little closer go there.
NEARLY_EMPTY: Final = 0.3


# Lays out in one look, on so many pages at the most.
Draw = Callable[[Look, int | None], Document]


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
    most: int | None,
) -> Document:
    """Draw every page once."""
    look, root = furniture.look, Node("Document")
    document = Document(furniture, root, most=most, **properties)
    height = furniture.size[1] - furniture.foot - furniture.running_head
    head = _masthead(furniture.title, subtitle, furniture.footer.owner, look, root)
    story = Story(look, furniture.words, furniture.width, height, root)
    story.left = furniture.first_height - head.needs(furniture.width)
    document.lay_out([head, *story.tell(content)])
    return document


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
    a3: bool = False,
    footer: Footer | None = None,
) -> bytes:
    """Print a sheet. The same arguments give the same bytes.

    ``language`` is a tag such as ``en-GB`` and must be that of ``words`` too. With
    ``one_page`` the words are set closer and as much smaller as it takes, down to 12
    points, or 16 in large print; what is too long even so runs over in the usual size.
    With ``a3`` the A4 pages are made larger.
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

    def draw(look: Look, most: int | None) -> Document:
        furniture = Furniture(title, footer, words, look, size)
        return _lay_out(furniture, subtitle, blocks, properties, most)

    drawn = (_fitted(draw, usual, 1) if one_page else None) or _filled(draw, usual)
    pages = drawn.written()
    return seal(as_a3(pages) if a3 else pages, drawn.root, properties)


def _filled(draw: Draw, look: Look) -> Document:
    """Draw in the usual look, or closer where that saves a page with little on it."""
    drawn = draw(look, None)
    if drawn.page == 1 or drawn.filled > NEARLY_EMPTY:
        return drawn
    closer = (_tried(draw, one, drawn.page - 1) for one in look.closer[1:3])
    return next(filter(None, closer), drawn)


def _fitted(draw: Draw, usual: Look, pages: int) -> Document | None:
    """Draw in the largest look that goes on so many pages, or not at all."""
    looks = usual.closer
    best, low, high = None, 0, len(looks)
    while low < high:
        middle = (low + high) // 2
        if drawn := _tried(draw, looks[middle], pages):
            best, high = drawn, middle
        else:
            low = middle + 1
    return best


def _tried(draw: Draw, look: Look, pages: int) -> Document | None:
    try:
        return draw(look, pages)
    except OverFullError:
        return None
