"""What a date for pulling may be told from, and what the estimate says."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from heritage.calc._checks import fraction
from heritage.calc._heat import DayHeat
from heritage.calc.reasons import Reason


class PullAnchor(StrEnum):
    """What a date for pulling may be told from."""

    SOWN = "sown"
    SOWN_HEAT = "sown_heat"
    FLOWER_START = "flower_start"
    FLOWER_HEAT = "flower_heat"
    FLOWER_FULL = "flower_full"
    FLOWER_END = "flower_end"
    STEMS = "stems"
    LEAVES = "leaves"
    BOLLS = "bolls"


class PullWarning(StrEnum):
    """What has to be said beside the estimate, with the names of its figures."""

    # days of warmth that are taken to be as the last fortnight.
    WARMTH_HELD = "warmth_held"
    # Temperatures stop, begin too late or have too long a gap.
    WARMTH_BROKEN = "warmth_broken"
    FLOWERS_OUT_OF_ORDER = "flowers_out_of_order"
    # days from sowing to flower, low, high.
    ODD_FLOWERING = "odd_flowering"
    # days that the stems were still green after the window had begun.
    STILL_GREEN = "still_green"
    # percent of the bolls that are brown.
    SEED_RIPE = "seed_ripe"


@dataclass(frozen=True, slots=True)
class SeenShare:
    """How far one sign of ripeness had come on a day.

    Attributes
    ----------
    on : date
        The day it was seen.
    share : float
        Of the stem yellow from below, or bare of leaves from below, or of the bolls
        turned. [-]
    """

    on: date
    share: float

    def __post_init__(self) -> None:
        """Refuse a share that cannot be."""
        fraction(self.share, "share")


@dataclass(frozen=True, slots=True, kw_only=True)
class CropSigns:
    """All that is known of one crop; ``None`` for what is not.

    Attributes
    ----------
    sown_on, flower_start, flower_full, flower_end : date or None
        The days.
    stems, leaves, bolls : SeenShare or None
        The last look at each sign.
    daily : sequence of DayHeat
        Temperatures in order; a gap of three days is bridged.
    """

    sown_on: date | None = None
    flower_start: date | None = None
    flower_full: date | None = None
    flower_end: date | None = None
    stems: SeenShare | None = None
    leaves: SeenShare | None = None
    bolls: SeenShare | None = None
    daily: Sequence[DayHeat] = ()


@dataclass(frozen=True, slots=True)
class AnchorWindow:
    """What one anchor says by itself, and how much it counts.

    Attributes
    ----------
    anchor : PullAnchor
        Which one.
    first, best, last : date
        Its own window.
    weight : float
        Its part in the estimate; all of them together are 1. [-]
    """

    anchor: PullAnchor
    first: date
    best: date
    last: date
    weight: float


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two anchors whose windows don't meet.

    Attributes
    ----------
    earlier, later : PullAnchor
        Which.
    days : int
        How far apart the windows lie. [d]
    """

    earlier: PullAnchor
    later: PullAnchor
    days: int


@dataclass(frozen=True, slots=True)
class PullEstimate:
    """When to look whether the crop is fit to pull, all anchors weighed.

    Attributes
    ----------
    first, best, last : date
        The window.
    anchors : tuple of AnchorWindow
        What it was made of, in the order of the season.
    disagreements : tuple of Disagreement
        Anchors that contradict each other, the furthest apart first.
    warnings : tuple of Reason
        Codes with their figures.
    """

    first: date
    best: date
    last: date
    anchors: tuple[AnchorWindow, ...]
    disagreements: tuple[Disagreement, ...] = ()
    warnings: tuple[Reason[PullWarning], ...] = ()
