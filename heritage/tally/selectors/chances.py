"""Chances, and how people read them."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _


@dataclass(frozen=True, slots=True)
class Chance:
    """A chance, and how far it may be out."""

    likely: float
    spread: float

    def at(self, side: int) -> float:
        """Return the chance itself, or its low (-1) or high (1) end."""
        return min(1.0, max(0.0, self.likely + side * self.spread))


@dataclass(frozen=True, slots=True)
class Ahead:
    """How likely a day ahead is to be dry, by tonight's call or by a forecast."""

    dry: Chance
    words: str
    # When the forecast was read; nothing for a call.
    read_at: datetime | None = None


def percent(chance: float) -> str:
    """Write a chance; what is not certain never looks so."""
    if 0 < chance < 0.01:
        return _("under 1 %")
    if 0.99 < chance < 1:
        return _("over 99 %")
    return f"{round(100 * chance)} %"
