"""Sheets of the field notebook: plain blocks in, a tagged A4 PDF out."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from reportlab import rl_config
from reportlab.platypus import Flowable

from heritage.kits.fonts import register
from heritage.kits.paper.blocks import (
    Block,
    Footer,
    Words,
)
from heritage.kits.paper.fit import first_fitting, height
from heritage.kits.paper.leaf import Tell, to_nobody
from heritage.kits.paper.look import Look
from heritage.kits.paper.pages import (
    FOOT_PAD,
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


@dataclass
class _Plan:
    """A sheet as told in one look, which has no place yet."""

    furniture: Furniture
    told: list[Flowable]
    root: Node
    tell: Tell

    @property
    def pages(self) -> float:
        """How many pages its blocks need if they may go on one below each other."""
        furniture = self.furniture
        room = furniture.first_height - FOOT_PAD
        return height(self.told, furniture.width) / room

    def placed(self, most: int | None, properties: dict[str, str]) -> Document:
        """Give all of it its place; nothing is painted yet."""
        document = Document(
            self.furniture, self.root, most=most, tell=self.tell, **properties
        )
        document.lay_out(self.told)
        return document


Planner = Callable[[Look], _Plan]


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


def _told(
    furniture: Furniture, subtitle: str, content: Sequence[Block], tell: Tell
) -> _Plan:
    look, root = furniture.look, Node("Document")
    high = furniture.size[1] - furniture.foot - furniture.running_head
    head = _masthead(furniture.title, subtitle, furniture.footer.owner, look, root)
    story = Story(look, furniture.words, furniture.width, high, root)
    story.left = furniture.first_height - head.needs(furniture.width)
    return _Plan(furniture, [head, *story.tell(content)], root, tell)


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
    tell: Tell = to_nobody,
) -> bytes:
    """Print a sheet. The same arguments give the same bytes.

    ``language`` is a tag such as ``en-GB`` and must be that of ``words`` too. With
    ``one_page`` the words are set closer and as much smaller as it takes, down to 12
    points, or 16 in large print; what is too long even so runs over in the usual size.
    With ``a3`` the A4 pages are made larger. ``tell`` hears how many pages are drawn.
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

    def plan(look: Look) -> _Plan:
        furniture = Furniture(title, footer, words, look, size)
        return _told(furniture, subtitle, blocks, tell)

    fitted = _fitted(plan, usual, properties) if one_page else None
    placed = fitted or _filled(plan, usual, properties)
    return seal(placed.written(a3=a3), placed.root, properties)


def _filled(plan: Planner, look: Look, properties: dict[str, str]) -> Document:
    """Set it in the usual look, or closer where that saves a page with little on it."""
    placed = plan(look).placed(None, properties)
    if placed.page == 1 or placed.filled > NEARLY_EMPTY:
        return placed
    fewer = placed.page - 1
    plans = (plan(one) for one in look.closer[1:3])
    closer = (_tried(one, fewer, properties) for one in plans if one.pages <= fewer)
    return next(filter(None, closer), placed)


def _fitted(plan: Planner, usual: Look, properties: dict[str, str]) -> Document | None:
    """Set it in the largest look that goes on one page, or not at all.

    Which that is, is measured; but what keeps together may need more than its height.
    """
    looks, plans = usual.closer, dict[int, _Plan]()

    def needs(number: int) -> float:
        plans[number] = plan(looks[number])
        return plans[number].pages

    shares = [look.share for look in looks]
    found = first_fitting(needs, shares, len(looks) // 2)
    rest = (
        plans.get(number) or plan(looks[number]) for number in range(found, len(looks))
    )
    return next(filter(None, (_tried(one, 1, properties) for one in rest)), None)


def _tried(plan: _Plan, most: int, properties: dict[str, str]) -> Document | None:
    try:
        return plan.placed(most, properties)
    except OverFullError:
        return None
