"""The evening a dam is filled: loads, placing, weighing down and water, against dark.

Loads come one after the other; those at the dam place each before the next, then cover
and weigh down, and the water comes before the flax or after it. The range joins what
is uncertain as independent: the pace of the loads, of the placing, of what follows.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import hypot
from typing import Any, Final

from heritage.calc._band import Band
from heritage.calc._carting import (
    GREEN_OF_DRY,
    LOADED_PER_H,
    MINUTES,
    PLACED_PER_H,
    TIP_MIN,
    Carts,
    LoadWeight,
    learn_pace,
    load_every,
    load_weight,
)
from heritage.calc._checks import finite, not_negative, whole

__all__ = [
    "GREEN_OF_DRY",
    "LOADED_PER_H",
    "PLACED_PER_H",
    "TIP_MIN",
    "WEIGH_DOWN",
    "Carts",
    "Filling",
    "LoadWeight",
    "Slowest",
    "Stop",
    "all_under",
    "learn_pace",
    "load_every",
    "load_weight",
    "loads_in_time",
    "placing",
    "slowest",
    "stop_carting",
]

# How far the covering and weighing down may miss what was planned for it: our own
# judgement.
WEIGH_DOWN: Final = Band(0.7, 1.0, 1.6)


class Slowest(StrEnum):
    """What sets the pace of an evening."""

    LOADING = "loading"
    CARTS = "carts"
    PLACING = "placing"


@dataclass(frozen=True, slots=True)
class Filling:
    """An evening from now on; all times are minutes from now.

    Attributes
    ----------
    came : tuple of (float, int)
        When each load came that is at the dam, not after now, and its beets. [min]
    to_come : tuple of int
        Beets of each load to come, in order.
    next_min : Band
        When the next of them is to be expected. [min]
    every_min : Band
        How long each comes after the one before it, above zero. [min]
    place_min : Band
        How long those at the dam take to place one beet. [min]
    weigh_down_min : Band
        How long covering and weighing down take, once the last beet is in. [min]
    water_min : Band
        How long the water takes from then until all is under; nought if it is in the
        dam before the flax. [min]
    """

    came: tuple[tuple[float, int], ...]
    to_come: tuple[int, ...]
    next_min: Band
    every_min: Band
    place_min: Band
    weigh_down_min: Band
    water_min: Band

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        for beets in (*(beets for _at, beets in self.came), *self.to_come):
            whole(beets, "beets")
        for name in ("next_min", "every_min", "place_min", "weigh_down_min"):
            not_negative(getattr(self, name).low, name)
        not_negative(self.water_min.low, "water_min")


@dataclass(frozen=True, slots=True)
class Stop:
    """The last moments for a load, in minutes from now; below nought if past.

    Attributes
    ----------
    sure_min, likely_min : float
        When the last load must be at the dam, if all goes slowly and as is likely.
        [min]
    """

    sure_min: float
    likely_min: float


def placing(placers: int) -> Band:
    """Return how long the people at the dam take to place one beet.

    Parameters
    ----------
    placers : int
        People placing, at least 1; who only watches is not among them.

    Returns
    -------
    Band
        Minutes to a beet, the quick end first. [min]

    References
    ----------
    .. [1] 30 to 120 beets in one person's hour: our own judgement, no source.
    """
    hands = whole(placers, "placers", least=1)
    return PLACED_PER_H.scaled(hands / MINUTES).inverse()


def all_under(filling: Filling) -> Band:
    """Return when all of it is under water and weighed down.

    Parameters
    ----------
    filling : Filling
        What came, what is to come, and how fast.

    Returns
    -------
    Band
        Minutes from now: as is likely, and where it lies about eight times in ten.
        [min]

    References
    ----------
    .. [1] Loads through two stations in order: each is placed once it has come and the
       one before it is placed (S. M. Johnson, Naval Research Logistics Quarterly 1,
       1954, 61-68, gives the same finish as the longest path).
    """
    likely = _done(filling)
    early = late = 0.0
    for names in (("next_min", "every_min"), ("place_min",), ("weigh_down_min",)):
        early = hypot(early, likely - _done(_at_end(filling, names, "low")))
        late = hypot(late, _done(_at_end(filling, names, "high")) - likely)
    early = hypot(early, filling.water_min.likely - filling.water_min.low)
    late = hypot(late, filling.water_min.high - filling.water_min.likely)
    return Band(likely - early, likely, likely + late)


def loads_in_time(filling: Filling, dark_min: float) -> Band:
    """Return how many of the loads to come can be under water before dark.

    Parameters
    ----------
    filling : Filling
        What came, what is to come, and how fast.
    dark_min : float
        Minutes until the work has to stop. [min]

    Returns
    -------
    Band
        Loads: if all goes slowly, as is likely, and if all goes fast. None at all if
        even what is at the dam cannot be.
    """
    finite(dark_min, "dark_min")

    def _in_time(end: str) -> int:
        # A load more is never sooner done: the last that is in time is found by halves.
        sooner, later = 0, len(filling.to_come)
        while sooner < later:
            loads = (sooner + later + 1) // 2
            some = replace(filling, to_come=filling.to_come[:loads])
            if getattr(all_under(some), end) <= dark_min:
                sooner = loads
            else:
                later = loads - 1
        return sooner

    return Band(_in_time("high"), _in_time("likely"), _in_time("low"))


def stop_carting(filling: Filling, load_beets: int, dark_min: float) -> Stop:
    """Return when the last load must be at the dam, so that all is under before dark.

    Parameters
    ----------
    filling : Filling
        What came, and how fast the rest of the work goes.
    load_beets : int
        Beets of that last load.
    dark_min : float
        Minutes until the work has to stop. [min]

    Returns
    -------
    Stop
        Minutes from now. The sure one leaves room for slow hands; with a heap waiting
        at the dam either may be past.
    """
    beets = whole(load_beets, "load_beets")
    last = replace(filling, to_come=(beets,), next_min=Band(0, 0, 0))
    after = all_under(last)
    return Stop(dark_min - after.high, dark_min - after.likely)


def slowest(carts: Carts, placers: int) -> Slowest:
    """Say what sets the pace: another hand or cart elsewhere would not help.

    Parameters
    ----------
    carts : Carts
        The carts and those who load them.
    placers : int
        People placing at the dam, at least 1.

    Returns
    -------
    Slowest
        Which of the three takes the longest over a load, as is likely.
    """
    load = carts.load_min.likely
    if placing(placers).likely * carts.load_beets >= load_every(carts).likely:
        return Slowest.PLACING
    return Slowest.LOADING if load_every(carts).likely <= load else Slowest.CARTS


def _at_end(filling: Filling, names: Sequence[str], end: str) -> Filling:
    """Return the evening with some of its figures at one end of their ranges."""
    ends: dict[str, Any] = {}
    for name in names:
        x = getattr(getattr(filling, name), end)
        ends[name] = Band(x, x, x)
    return replace(filling, **ends)


def _done(filling: Filling) -> float:
    """Return when it is done if every figure is the likely one; not before now."""
    first, every = filling.next_min.likely, filling.every_min.likely
    loads = [
        *filling.came,
        *((first + n * every, beets) for n, beets in enumerate(filling.to_come)),
    ]
    placed = float("-inf")
    for at, beets in loads:
        placed = max(placed, at) + beets * filling.place_min.likely
    weighed = max(placed, 0.0) + filling.weigh_down_min.likely
    return weighed + filling.water_min.likely
