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

from heritage.kits.drawing import TONES
from heritage.kits.fonts import BOLD, REGULAR

INK: Final[Color] = HexColor(TONES["ink"].colour)
HAIRLINE: Final[Color] = HexColor(TONES["hairline"].colour)
MUTED: Final[Color] = HexColor(TONES["muted"].colour)
FLAX: Final[Color] = HexColor(TONES["action"].colour)
RETTED: Final[Color] = HexColor(TONES["crop"].colour)

HAIR: Final = 0.5
RULE: Final = 1.6


@dataclass(frozen=True)
class Look:
    """One edition's sizes, in points."""

    large: bool = False

    @property
    def body(self) -> float:
        return 18 if self.large else 14

    @property
    def small(self) -> float:
        return 16 if self.large else 12

    @property
    def row(self) -> float:
        """Least height of a row to write in."""
        return (12 if self.large else 9) * mm

    @property
    def gap(self) -> float:
        return 0.6 * self.body

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
        return self._style("para", self.body, spaceAfter=self.gap)

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
        size = 34 if self.large else 28
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
        size = self.body * {1: 1.4, 2: 1.15}.get(level, 1.0)
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
