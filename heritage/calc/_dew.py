"""Retting on the grass, by dew and rain."""

from collections.abc import Sequence
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
