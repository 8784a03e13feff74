"""Sizes, colours and paragraph styles of the field notebook on paper.

Clear print after the RNIB's guidance: 14 points, 18 in the large-print edition,
nothing under 12; left aligned, no italics, no blocks of capitals.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm

from heritage.kits.drawing.tones import TONES
from heritage.kits.fonts import BOLD, REGULAR

INK: Final[Color] = HexColor(TONES["ink"].colour)
HAIRLINE: Final[Color] = HexColor(TONES["hairline"].colour)
MUTED: Final[Color] = HexColor(TONES["muted"].colour)
FLAX: Final[Color] = HexColor(TONES["action"].colour)
RETTED: Final[Color] = HexColor(TONES["crop"].colour)

# What must not run over is tried in these sizes; clear print ends at 12, and large
# print at 16. [pt]
CLOSE: Final = (14.0, 13.5, 13.0, 12.5, 12.0)
CLOSE_LARGE: Final = (18.0, 17.5, 17.0, 16.5, 16.0)

# About how high what is set closer stands beside the usual, and with which power of
# its size: so measured on our sheets.
CLOSER: Final = 0.76
POWER: Final = 1.5

HAIR: Final = 0.5
RULE: Final = 1.6


@dataclass(frozen=True)
class Look:
    """One edition's sizes, in points.

    ``close`` is the size of a sheet that must not run over one page, its words set
    closer; 0 for one that may. ``large`` has larger small print and rows as well.
    """

    large: bool = False
    close: float = 0

    @property
    def closer(self) -> list["Look"]:
        """Looks to try in turn: itself, then closer, then smaller."""
        sizes = CLOSE_LARGE if self.large else CLOSE
        closer = [Look(self.large, size) for size in sizes if size <= self.body]
        return closer if self.close else [self, *closer]

    @property
    def share(self) -> float:
        """About how high it sets what the usual look sets one high."""
        usual = Look(self.large).body
        return CLOSER * (self.close / usual) ** POWER if self.close else 1

    @property
    def body(self) -> float:
        return self.close or (18 if self.large else 14)

    @property
    def small(self) -> float:
        return 16 if self.large else 12

    @property
    def row(self) -> float:
        """Least height of a row to write in."""
        return (12 if self.large else 9) * mm

    @property
    def gap(self) -> float:
        return (0.25 if self.close else 0.6) * self.body

    @property
    def cell_pads(self) -> tuple[float, float]:
        """Room above and below the words of a table."""
        return (1.5, 2.5) if self.close else (3, 4)

    @property
    def table_gaps(self) -> tuple[float, float]:
        """Room before and after a table."""
        return (0, 3) if self.close else (4, 12)

    @property
    def panel(self) -> tuple[float, float, float]:
        """The mark of a panel, the room inside it and the room around it."""
        body = self.body
        return (2.2 * body, 3, 4) if self.close else (3.6 * body, 9, 8)

    @property
    def value_share(self) -> float:
        """How much wider a fact's value is than its label."""
        return 3.6 if self.close else 2

    @property
    def below_title(self) -> float:
        """Room between the head's rule and the first block."""
        return 4 if self.close else 14

    @property
    def flower(self) -> float:
        """The emblem at the head."""
        return (3.6 if self.close else 5) * self.body

    def _style(self, name: str, size: float, **more: Any) -> ParagraphStyle:
        look: dict[str, Any] = {
            "fontName": REGULAR,
            "fontSize": size,
            "leading": 1.36 * size,
            "textColor": INK,
            "splitLongWords": 1,
            "allowWidows": 0,
            "allowOrphans": 0,
        }
        return ParagraphStyle(name, **(look | more))

    @cached_property
    def para(self) -> ParagraphStyle:
        leading = (1.22 if self.close else 1.36) * self.body
        return self._style("para", self.body, spaceAfter=self.gap, leading=leading)

    @cached_property
    def cell(self) -> ParagraphStyle:
        return self._style("cell", self.body, leading=1.2 * self.body)

    @cached_property
    def label(self) -> ParagraphStyle:
        return ParagraphStyle("label", self.cell, fontName=BOLD)

    @cached_property
    def head(self) -> ParagraphStyle:
        """Column heads."""
        return self._style("head", self.small, fontName=BOLD, leading=1.15 * self.small)

    @cached_property
    def caption(self) -> ParagraphStyle:
        return self._style("caption", self.small, textColor=MUTED, spaceAfter=self.gap)

    @cached_property
    def title(self) -> ParagraphStyle:
        size = 34 if self.large else 2 * self.body
        return self._style("title", size, fontName=BOLD, leading=1.12 * size)

    @cached_property
    def subtitle(self) -> ParagraphStyle:
        return self._style("subtitle", 1.1 * self.body, textColor=MUTED)

    @cached_property
    def big(self) -> ParagraphStyle:
        size = 2.3 * self.body
        return self._style(
            "big", size, fontName=BOLD, leading=1.18 * size, spaceAfter=self.gap
        )

    def heading(self, level: int) -> ParagraphStyle:
        first = 1.1 if self.close else 1.4
        size = self.body * {1: first, 2: min(first, 1.15)}.get(level, 1.0)
        return self._style(
            f"heading{level}",
            size,
            fontName=BOLD,
            leading=1.2 * size,
            textColor=FLAX if level == 1 else INK,
            spaceBefore=1.1 * self.gap,
            spaceAfter=0.5 * self.gap,
            keepWithNext=1,
        )
