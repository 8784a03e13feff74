"""Paragraphs that take any words as they are, carry a tag and leave bookmarks.

They are made of ReportLab's fragments, not of its markup: nothing has to be escaped,
and nothing parsed, which took as long as breaking the lines.
"""

import re
from typing import Final, Self

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Paragraph
from reportlab.platypus.paraparser import ParaFrag

from heritage.kits.fonts import BOLD
from heritage.kits.paper.look import INK
from heritage.kits.paper.tags import Node, artifact, marked

# Control characters have no place on paper.
UNPRINTABLE: Final = dict.fromkeys([*range(9), 11, 12, *range(14, 32), 127])


def _frag(style: ParagraphStyle, text: str, font: str = "", **more: bool) -> ParaFrag:
    return ParaFrag(
        text=text,
        fontName=font or style.fontName,
        fontSize=style.fontSize,
        textColor=style.textColor,
        rise=0,
        us_lines=[],
        link=[],
        **more,
    )


def fragments(text: str, style: ParagraphStyle, lead: str = "") -> list[ParaFrag]:
    """Turn any text into what prints exactly that text; line breaks are kept."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").translate(UNPRINTABLE)
    frags: list[ParaFrag] = []
    for line in lines.split("\n"):
        if frags:
            frags.append(_frag(style, "", lineBreak=True))
        frags.append(_frag(style, line.strip(" \t")))
    if lead:
        frags[0].text = f" {frags[0].text}"
        frags.insert(0, _frag(style, lead.translate(UNPRINTABLE), BOLD))
    return frags


def address_lines(url: str, style: ParagraphStyle, width: float) -> str:
    """Part an address after a slash where it is too long for the line.

    A number stays with the word before it, so that nobody types half of one.
    """
    parts = re.findall(r"[^/]*/+(?:\d+/)?|[^/]+$", url)
    lines = [""]
    for part in parts:
        longer = lines[-1] + part
        if lines[-1] and stringWidth(longer, style.fontName, style.fontSize) > width:
            lines.append(part)
        else:
            lines[-1] = longer
    return "\n".join(lines)


class Words(Paragraph):
    """A paragraph whose ink belongs to one node of the structure."""

    node: Node
    once = False
    broken_for = 0.0

    @classmethod
    def of(
        cls, text: str, style: ParagraphStyle, node: Node, *, lead: str = ""
    ) -> Self:
        words = cls("", style, frags=fragments(text, style, lead))
        words.node = node
        return words

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        # Asked again and again while a page is laid out; only another width matters.
        if self.broken_for != width or not hasattr(self, "blPara"):
            super().wrap(width, height)
            self.broken_for = width
        return self.width, self.height

    def split(self, width: float, height: float) -> list[Flowable]:
        parts: list[Flowable] = super().split(width, height)
        for part in parts:
            if isinstance(part, Words):
                part.node = self.node
                # A heading too long to keep whole would ask to be kept for ever.
                part.keepWithNext = 0
        return parts

    def draw(self) -> None:
        # A column head comes round again on each page; readers hear it once.
        if self.once and self.node.drawn:
            with artifact(self.canv):
                super().draw()
        else:
            with marked(self.canv, self.node):
                super().draw()


class Title(Words):
    """A paragraph that is also a bookmark."""

    entry: tuple[str, str, int] | None = None

    def split(self, width: float, height: float) -> list[Flowable]:
        parts = super().split(width, height)
        if parts and isinstance(parts[0], Title):
            parts[0].entry = self.entry
        return parts

    def draw(self) -> None:
        if self.entry is not None:
            key, text, level = self.entry
            self.canv.bookmarkHorizontal(key, 0, self.height)
            self.canv.addOutlineEntry(text, key, level, closed=False)
        super().draw()


class Item(Words):
    """A list item: its label hangs in the indent, under a node of its own."""

    label = ""
    label_node: Node | None = None

    def draw(self) -> None:
        if self.label_node is not None:
            style = self.style
            with marked(self.canv, self.label_node):
                self.canv.setFont(BOLD, style.fontSize)
                self.canv.setFillColor(INK)
                baseline = self.height - style.fontSize
                self.canv.drawRightString(
                    style.leftIndent - 0.55 * style.fontSize, baseline, self.label
                )
        super().draw()
