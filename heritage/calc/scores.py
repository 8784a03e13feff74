"""How a forecast with its range fared against what happened."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, pi, sqrt
from typing import Final

from scipy.special import ndtr

from ._band import Band
from ._checks import finite

# Of a normal curve, from the middle to the value that one in ten exceeds.
ONE_IN_TEN: Final = 1.2815515655446004
# The integral of the square of a normal's lower half, in its standard deviations.
LOWER_HALF: Final = 1 / sqrt(2 * pi) - 1 / (2 * sqrt(pi))


@dataclass(frozen=True, slots=True)
class Fared:
    """How several forecasts fared together.

    Attributes
    ----------
    told : int
        How many there were.
    inside : int
        How often what happened lay inside the range of eight in ten.
    crps : float
        Their mean continuous ranked probability score. [the quantity's own unit]
    """

    told: int
    inside: int
    crps: float


def is_inside(band: Band, happened: float) -> bool:
    """Say whether what happened lies inside a range, its ends among it.

    Parameters
    ----------
    band : Band
        The range that was told.
    happened : float
        What came, in the same unit.

    Returns
    -------
    bool
        Whether it does.
    """
    return band.low <= finite(happened, "happened") <= band.high


def crps(band: Band, happened: float) -> float:
    """Return how far off a forecast was, its doubt counted too: less is better.

    Parameters
    ----------
    band : Band
        What was told: one in ten below ``low``, half below ``likely``, one in ten
        above ``high``. Between and beyond them a half of a normal curve on either
        side is taken. A band of no width is a forecast without doubt.
    happened : float
        What came. [the unit of the band]

    Returns
    -------
    float
        Continuous ranked probability score, not negative; of a forecast without
        doubt, simply how far off it was. [the unit of the band]

    References
    ----------
    .. [1] J. E. Matheson and R. L. Winkler, Management Science 22 (1976) 1087: the
       score. That the two halves are normal is our own choice.
    """
    beyond = finite(happened, "happened") - band.likely
    left = (band.likely - band.low) / ONE_IN_TEN
    right = (band.high - band.likely) / ONE_IN_TEN
    near, far = (right, left) if beyond >= 0 else (left, right)
    return far * LOWER_HALF + _of_normal(near, abs(beyond)) - near * LOWER_HALF


def fared(told: Iterable[tuple[Band, float]]) -> Fared:
    """Return how several forecasts fared together.

    Parameters
    ----------
    told : iterable of (Band, float)
        What was told, and what happened.

    Returns
    -------
    Fared
        How many, how many inside, and their mean score.

    Raises
    ------
    ValueError
        If there was none.
    """
    pairs = list(told)
    if not pairs:
        raise ValueError("told must hold one forecast or more")
    inside = sum(is_inside(*pair) for pair in pairs)
    return Fared(len(pairs), inside, sum(crps(*pair) for pair in pairs) / len(pairs))


def _of_normal(sd: float, off: float) -> float:
    """Return the score of a normal curve for something so far from its middle."""
    if sd == 0:
        return off
    z = off / sd
    height = exp(-z * z / 2) / sqrt(2 * pi)
    return sd * (z * (2 * float(ndtr(z)) - 1) + 2 * height - 1 / sqrt(pi))
