"""What stays somewhere at every moment, and what weighed fibre is when it is dry."""

from collections.abc import Iterable
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from itertools import groupby
from typing import Final

from heritage.calc._band import Band
from heritage.calc._checks import whole

__all__ = [
    "ASSUMED_MOISTURE_PCT",
    "MOST_MOISTURE_PCT",
    "could_be_seed",
    "could_be_straw",
    "dry_mass",
    "least_left",
    "stands_at",
]

# Water in flax that is dry enough to break, by weight as it lies: 8 to 14 in a hundred,
# our own judgement. Printed for flax in damp air: 10 to 12 (GDV, table 30).
ASSUMED_MOISTURE_PCT: Final = Decimal(12)
MOST_MOISTURE_PCT: Final = Decimal(80)

# What retting leaves of the straw without its bolls is 0.47 to 0.68 of the dry crop
# (calc.fibre). Half the least and half as much again as the whole crop are our own
# judgement: what lies outside is more likely a wrong unit than a strange crop.
LEAST_OF_CROP: Final = 0.47 / 2
MOST_OF_CROP: Final = 1.5
# Seed is 12 in a hundred of the crop in one account; twice that is asked about.
MOST_SEED_OF_CROP: Final = 0.24

# A moment, and what came to a place (above nothing) or went from it (below).
Step = tuple[datetime, int]


def stands_at(steps: Iterable[Step], at: datetime) -> int:
    """Return what there is at a moment, all that happens in it counted.

    Parameters
    ----------
    steps : iterable of (datetime, int)
        What came and went, in any order.
    at : datetime
        The moment.

    Returns
    -------
    int
        The sum of all steps up to and in the moment.
    """
    return sum(change for moment, change in steps if moment <= at)


def least_left(steps: Iterable[Step], since: datetime | None = None) -> int:
    """Return the least there ever is from a moment on.

    So much can be taken away at that moment without any later moment falling short.
    What happens in one moment is counted together.

    Parameters
    ----------
    steps : iterable of (datetime, int)
        What came and went, in any order.
    since : datetime, optional
        The moment; without it, from the first step on.

    Returns
    -------
    int
        The least sum; below nothing where more went than came.
    """
    in_order = sorted(steps, key=lambda step: step[0])
    sums = [] if since is None else [stands_at(in_order, since)]
    total = 0
    for moment, together in groupby(in_order, key=lambda step: step[0]):
        total += sum(change for _moment, change in together)
        if since is None or moment > since:
            sums.append(total)
    return min(sums, default=0)


def dry_mass(weighed_g: int, moisture_pct: Decimal | None = None) -> int:
    """Return what something weighed is without its water.

    Parameters
    ----------
    weighed_g : int
        What the scale said; above nothing. [g]
    moisture_pct : Decimal, optional
        Water by weight as it lay on the scale, 0 to 80; without it,
        ``ASSUMED_MOISTURE_PCT``. [%]

    Returns
    -------
    int
        The dry mass, to the nearest gram. [g]

    Raises
    ------
    ValueError
        If the weight is not above nothing, or the water is out of its range.
    """
    weighed = whole(weighed_g, "weighed_g", least=1)
    moisture = ASSUMED_MOISTURE_PCT if moisture_pct is None else moisture_pct
    if not 0 <= moisture <= MOST_MOISTURE_PCT:
        raise ValueError(f"moisture_pct must lie from 0 to 80, not {moisture}")
    dry = weighed * (100 - moisture) / 100
    return int(dry.quantize(Decimal(1), ROUND_HALF_UP))


def could_be_straw(beets: int, beet_kg: Band) -> tuple[float, float]:
    """Return between which dry weights so many beets lie, when they are opened.

    Parameters
    ----------
    beets : int
        How many are opened; one at least.
    beet_kg : Band
        The dry weight of a beet of the crop. [kg]

    Returns
    -------
    tuple of float
        The least and the most that nobody need ask about. [kg]
    """
    opened = whole(beets, "beets", least=1)
    low, high = LEAST_OF_CROP * beet_kg.low, MOST_OF_CROP * beet_kg.high
    return opened * low, opened * high


def could_be_seed(beets: int, beet_kg: Band) -> float:
    """Return the most dry seed that so many beets give, as far as nobody need ask.

    Parameters
    ----------
    beets : int
        How many it is combed off; one at least.
    beet_kg : Band
        The dry weight of a beet of the crop. [kg]

    Returns
    -------
    float
        The most. [kg]
    """
    return whole(beets, "beets", least=1) * MOST_SEED_OF_CROP * beet_kg.high
