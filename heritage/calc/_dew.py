"""Retting on the grass, by dew and rain."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ._band import Band
from ._checks import finite, fraction

DEW_DAYS_AT_18: Final = 28.0
DEW_Q10: Final = 2.0
DEW_REFERENCE_C: Final = 18.0
DRY_DAY_COUNTS: Final = 0.25

# Published lengths run from 9 days to 13 weeks; this band is our own judgement.
DEW_BAND: Final = Band(0.6, 1.0, 2.0)
# The first test comes a little before the earliest that was ever ready, then every
# third day, and each day once it may be ready: our own rule. After three wet weeks one
# more wet day would have lost a crop (Entraid, September 2024).
DEW_FIRST_TEST: Final = 0.5
DEW_TEST_EVERY: Final = 3
DEW_TEST_EVERY_NEAR: Final = 1


@dataclass(frozen=True, slots=True)
class DewState:
    """How far a dew ret is, and when to test it; never when to bring it in.

    Attributes
    ----------
    progress : float
        Share of the likely length that is behind. [-]
    days : int
        Days it has lain. [d]
    is_test_time : bool
        Whether it should be tested by now.
    test_every_days : int
        Longest time between tests from here on. [d]
    left : Band
        Days still to lie if they are like those so far; nought where the time is
        past. [d]
    """

    progress: float
    days: int
    is_test_time: bool
    test_every_days: int
    left: Band


def dew_days(air_c: float, *, damp_share: float = 1.0) -> Band:
    """Return the early, likely and late length of a dew ret.

    Parameters
    ----------
    air_c : float
        Mean air temperature while it lies. [°C]
    damp_share : float, default 1
        Share of the days that have dew or rain, 0 to 1. [-]

    Returns
    -------
    Band
        Days on the grass. [d]

    References
    ----------
    .. [1] Our own rule. Virginia's 17 days in July and 21 or more in late September
       (motherearthnews.com, 2017) lie within it.
    """
    damp = fraction(damp_share, "damp_share")
    counts = damp + DRY_DAY_COUNTS * (1 - damp)
    pace = DEW_Q10 ** ((finite(air_c, "air_c") - DEW_REFERENCE_C) / 10)
    return DEW_BAND.scaled(DEW_DAYS_AT_18 / (pace * counts))


def dew_progress(air_c: ArrayLike, damp: Sequence[bool]) -> NDArray[np.float64]:
    """Return the share of a dew ret that is behind at the end of each day.

    Parameters
    ----------
    air_c : array_like, shape (n,)
        Mean air temperature of each day on the grass. [°C]
    damp : sequence of bool, length n
        Whether each day had dew or rain; a dry day counts a quarter.

    Returns
    -------
    ndarray, shape (n,)
        Progress; likely to be ready at 1, from 0.6 to 2 in truth. [-]

    Raises
    ------
    ValueError
        If a temperature is not finite, or the two do not match in length.

    References
    ----------
    .. [1] Our own rule, as in `dew_days`. Turn the crop at least once near half-time.
    """
    temps = np.asarray(air_c, dtype=np.float64)
    if not np.isfinite(temps).all():
        raise ValueError("air_c must be a finite number throughout")
    if temps.shape != (len(damp),):
        raise ValueError("damp must hold one answer for each day of air_c")
    counts = np.where(np.asarray(damp, dtype=bool), 1.0, DRY_DAY_COUNTS)
    pace = np.power(DEW_Q10, (temps - DEW_REFERENCE_C) / 10)
    return np.cumsum(counts * pace / DEW_DAYS_AT_18)


def dew_state(air_c: ArrayLike, damp: Sequence[bool]) -> DewState:
    """Tell how a dew ret stands after its days on the grass.

    Parameters
    ----------
    air_c : array_like, shape (n,)
        Mean air temperature of each day, n at least 1. [°C]
    damp : sequence of bool, length n
        Whether each day had dew or rain.

    Returns
    -------
    DewState
        Progress, whether to test, and the days that may be left.

    Raises
    ------
    ValueError
        If there is no day, or as in `dew_progress`.

    References
    ----------
    .. [1] Our own rule, as in `dew_days`.
    """
    course = dew_progress(air_c, damp)
    if not course.size:
        raise ValueError("air_c must hold one day or more")
    # Days add up to a half or a whole in floating point only nearly.
    done = round(float(course[-1]), 9)
    pace = done / course.size
    near = done >= DEW_BAND.low
    left = Band(
        *(max(0.0, end - done) / pace for end in (DEW_BAND.low, 1.0, DEW_BAND.high))
    )
    return DewState(
        progress=done,
        days=int(course.size),
        is_test_time=done >= DEW_FIRST_TEST,
        test_every_days=DEW_TEST_EVERY_NEAR if near else DEW_TEST_EVERY,
        left=left,
    )
