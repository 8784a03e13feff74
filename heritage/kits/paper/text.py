"""Paragraphs that escape their words, carry a tag and leave bookmarks."""

import re
from html import escape
from typing import Final, Self

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Paragraph

from heritage.kits.fonts import BOLD
from heritage.kits.paper.look import INK
from heritage.kits.paper.tags import Node, artifact, marked

# Control characters have no place on paper, and the paragraph parser chokes on them.
UNPRINTABLE: Final = dict.fromkeys([*range(9), 11, 12, *range(14, 32), 127])


def plain(text: str) -> str:
    """Turn any text into markup that prints exactly that text."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").translate(UNPRINTABLE)
    return "<br/>".join(escape(line, quote=False) for line in lines.split("\n"))


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

    @classmethod
    def of(
        cls, text: str, style: ParagraphStyle, node: Node, *, lead: str = ""
    ) -> Self:
        start = f'<font name="{BOLD}">{plain(lead)}</font> ' if lead else ""
        words = cls(start + plain(text), style)
        words.node = node
        return words

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
