"""How many beets a piece of ground may give: by its area, or by what pieces gave."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, sqrt
from typing import SupportsFloat

from scipy.special import stdtrit

from heritage.calc._band import Band
from heritage.calc._checks import positive, whole
from heritage.calc.dam import BEET_KG
from heritage.calc.measures import ACRE_M2

# Stooks of twelve to the statute acre. No printed count was found: the middle is
# 4.5 t/ha of dry straw in beets of 3 kg; the ends are the widest the same
# reckoning allows. Nothing here is measured.
LOW_STOOKS, LIKELY_STOOKS, HIGH_STOOKS = 30, 51, 100
BEETS_IN_STOOK = 12

# How far one piece differs from the next until the pieces themselves have said so:
# a quarter either way besides the chance of any count, given the weight of three
# pieces. No source; a judgement.
JUDGED_SPREAD, JUDGED_PIECES = 0.25, 3
# A measured range holds the truth eight times in ten.
UPPER = 0.9


@dataclass(frozen=True, slots=True)
class Stand:
    """Beets that a piece of ground may give.

    Attributes
    ----------
    low, likely, high : int
        Beets.
    is_measured : bool
        Whether it comes from counted beets rather than from the area alone.
    pieces : int
        Measured pieces of ground that it was reckoned from.
    """

    low: int
    likely: int
    high: int
    is_measured: bool = False
    pieces: int = 0


@dataclass(frozen=True, slots=True)
class Sample:
    """What one piece gave: beets from ground, or beets in an evening's hours.

    Attributes
    ----------
    beets : int
        Beets counted; not negative.
    size : float
        What they came from, above nothing. [m², person-hour or machine-hour]
    """

    beets: int
    size: float

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        whole(self.beets, "beets")
        positive(self.size, "size")


def expected_stand(area_m2: SupportsFloat, *, beet_kg: float = BEET_KG.likely) -> Stand:
    """Estimate the beets on a piece of ground from its area alone.

    Parameters
    ----------
    area_m2 : float
        Area, above nothing. [m²]
    beet_kg : float, default 3
        Dry weight of a beet, above nothing: heavier ones are fewer. [kg]

    Returns
    -------
    Stand
        A wide range: from 30 to 100 stooks of twelve to the acre, likely 51, for
        beets of 3 kg. How thick the crop stands is not known, so that a beet that was
        weighed moves the range and leaves it as wide.

    Raises
    ------
    ValueError
        If the area or the weight is not above nothing.

    References
    ----------
    .. [1] Our own reckoning: straw of 4.4 t/ha follows from 34.1 stone of fibre to
       the acre (Hansard, 3 March 1921) at 12.05 % of straw (Hodges, Encyclopaedia
       Britannica, 9th ed.); the weight of a beet is an estimate, no source found.
    """
    acres = positive(area_m2, "area_m2") / float(ACRE_M2)
    acres *= BEET_KG.likely / positive(beet_kg, "beet_kg")
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
        sum(stand.pieces for stand in stands),
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


def measured_ratio(samples: Sequence[Sample], *, pieces_ahead: float = inf) -> Band:
    """Say what a unit of ground or time gives, from pieces that were measured.

    All beets are set against all ground, so that a large piece counts for more than
    a small one. The range comes from how far the pieces differ from each other,
    begun with a judgement that a few pieces cannot overturn and many do.

    Parameters
    ----------
    samples : sequence of Sample, length n >= 1
        The pieces, at least one of them with beets.
    pieces_ahead : float
        How many more pieces of that size the answer is for, above nothing. They
        vary as the measured ones do, so that few of them give a wider range: 1 for
        one piece such as the plot beside, without end for the mean alone.

    Returns
    -------
    Band
        Beets to the unit, with a range that holds eight times in ten if the pieces
        are fair ones. [beet/m², beet/h]

    Raises
    ------
    ValueError
        If there is no sample, there are no beets in any, or no piece is ahead.

    References
    ----------
    .. [1] The ratio estimator of sample surveys, and Student's t with a prior on the
       variance (scaled inverse chi-squared): textbook methods, from memory. The
       judged spread is our own.
    """
    if not pieces_ahead > 0:
        raise ValueError(f"pieces_ahead must be above zero, not {pieces_ahead}")
    size = sum(sample.size for sample in samples)
    beets = positive(sum(sample.beets for sample in samples), "beets")
    ratio, pieces = beets / size, len(samples)
    weights = [sample.size / size for sample in samples]
    off = [sample.beets / (ratio * sample.size) - 1 for sample in samples]
    spread = sum(w * pieces * e * e for w, e in zip(weights, off, strict=True))
    freedom = JUDGED_PIECES + pieces - 1
    judged = JUDGED_SPREAD**2 + pieces / beets
    variance = (JUDGED_PIECES * judged + spread) / freedom
    share = sum(w * w for w in weights) + 1 / pieces_ahead
    reach = float(stdtrit(freedom, UPPER)) * sqrt(variance * share)
    return Band(ratio * exp(-reach), ratio, ratio * exp(reach))


def measured_stand(
    area_m2: SupportsFloat,
    samples: Sequence[Sample],
    *,
    counted: int = 0,
    of_this_ground: bool = True,
) -> Stand:
    """Estimate the beets on a piece of ground anew, from what pulled pieces gave.

    Parameters
    ----------
    area_m2 : float
        The whole piece of ground, above nothing. [m²]
    samples : sequence of Sample, length n >= 1
        Measured pieces; sizes in square metres.
    counted : int
        Beets counted on this ground so far, measured or not; not negative.
    of_this_ground : bool
        Whether the pieces were part of this ground. If so their beets are counted
        already, and only the rest is an estimate.

    Returns
    -------
    Stand
        The beets of the whole ground, never fewer than were counted. The ground not
        yet pulled varies as the pieces did, so its range does not close up before
        the last piece is counted.

    Raises
    ------
    ValueError
        If the area is not above nothing, or as ``measured_ratio``.
    """
    area = positive(area_m2, "area_m2")
    least = max(1, whole(counted, "counted"))
    known, measured = 0, 0.0
    if of_this_ground:
        known = sum(sample.beets for sample in samples)
        measured = sum(sample.size for sample in samples)
    rest = max(0.0, area - measured)
    ahead = rest * len(samples) / measured if measured else 1.0
    ratio = measured_ratio(samples, pieces_ahead=max(1.0, ahead))
    low, likely, high = (
        max(least, round(known + rest * each))
        for each in (ratio.low, ratio.likely, ratio.high)
    )
    return Stand(low, likely, high, is_measured=True, pieces=len(samples))
