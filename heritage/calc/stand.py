"""How many beets a piece of ground may give, before anything has been pulled."""

from dataclasses import dataclass
from typing import SupportsFloat

from heritage.calc._checks import positive, whole
from heritage.calc.measures import ACRE_M2

# Stooks of twelve to the statute acre. No printed count was found: the middle is
# 4.5 t/ha of dry straw in beets of 3 kg; the ends are the widest the same
# reckoning allows. Nothing here is measured.
LOW_STOOKS, LIKELY_STOOKS, HIGH_STOOKS = 30, 51, 100
BEETS_IN_STOOK = 12


@dataclass(frozen=True, slots=True)
class Stand:
    """Beets that a piece of ground may give.

    Attributes
    ----------
    low, likely, high : int
        Beets.
    is_measured : bool
        Whether it comes from counted beets rather than from the area alone.
    """

    low: int
    likely: int
    high: int
    is_measured: bool = False


def expected_stand(area_m2: SupportsFloat) -> Stand:
    """Estimate the beets on a piece of ground from its area alone.

    Parameters
    ----------
    area_m2 : float
        Area, above nothing. [m²]

    Returns
    -------
    Stand
        A wide range: from 30 to 100 stooks of twelve to the acre, likely 51.

    Raises
    ------
    ValueError
        If the area is not above nothing.

    References
    ----------
    .. [1] Our own reckoning: straw of 4.4 t/ha follows from 34.1 stone of fibre to
       the acre (Hansard, 3 March 1921) at 12.05 % of straw (Hodges, Encyclopaedia
       Britannica, 9th ed.); the weight of a beet is an estimate, no source found.
    """
    acres = positive(area_m2, "area_m2") / float(ACRE_M2)
    low, likely, high = (
        max(1, round(acres * stooks * BEETS_IN_STOOK))
        for stooks in (LOW_STOOKS, LIKELY_STOOKS, HIGH_STOOKS)
    )
    return Stand(low, likely, high)


def total_stand(stands: list[Stand]) -> Stand:
    """Add the stands of several pieces of ground, end to end.

    Parameters
    ----------
    stands : list of Stand, length n
        The pieces; their low ends are added, and their high ends, which makes the
        range wider than independent errors would.

    Returns
    -------
    Stand
        The sum; measured only if every piece is. Of no pieces, nothing.
    """
    return Stand(
        sum(stand.low for stand in stands),
        sum(stand.likely for stand in stands),
        sum(stand.high for stand in stands),
        bool(stands) and all(stand.is_measured for stand in stands),
    )


def counted_stand(beets: int) -> Stand:
    """Return a stand that somebody has counted: no range is left.

    Parameters
    ----------
    beets : int
        Beets counted or firmly expected, at least 1.

    Returns
    -------
    Stand
        The same count three times.

    Raises
    ------
    ValueError
        If the count is not whole, or below 1.
    """
    count = whole(beets, "beets", least=1)
    return Stand(count, count, count, is_measured=True)
