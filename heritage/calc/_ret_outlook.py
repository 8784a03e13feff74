"""The water expected ahead of a ret, day by day, and how far it may be off."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ._checks import finite, positive
from ._pond import SUNNY_OFFSET_C, pond_temperature
from ._ret_model import (
    COLDEST_C,
    DEFAULT_RET,
    HOTTEST_C,
    Q10_STEP_C,
    REFERENCE_C,
    RetModel,
)

# How far the water strays from what is expected of it: the size fits published errors
# of stream water forecasts (Padrón et al., HESS 29:1685, 2025); that one day's strays
# into the next by so much is our own judgement.
STRAYS_C: Final = 1.6
STRAYS_ON: Final = 0.91
# After these the water ahead is held: nothing further off is told anyway.
DAYS_AHEAD: Final = 120


@dataclass(frozen=True, slots=True)
class WaterAhead:
    """Mean warmth of the water on each day ahead, and how far each may be off.

    Attributes
    ----------
    mean_c, sd_c : tuple of float, length n
        Day by day; the last is held. [°C]
    air_days : int
        On how many of them the air above it is known, from the first on.
    """

    mean_c: tuple[float, ...]
    sd_c: tuple[float, ...]
    air_days: int


def strays_c(days: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far the water strays from a forecast or a monthly mean.

    Parameters
    ----------
    days : ndarray, shape (n,)
        Days ahead, above nought. [d]

    Returns
    -------
    ndarray, shape (n,)
        Standard deviation: 0.66 on the first day, 1.6 in the end. [°C]

    References
    ----------
    .. [1] R. S. Padrón et al., Hydrol. Earth Syst. Sci. 29 (2025) 1685.
    """
    strays: NDArray[np.float64] = STRAYS_C * np.sqrt(1 - STRAYS_ON ** (2 * days))
    return strays


def held_strays_c(days: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far the water strays from what it was on one day.

    Parameters
    ----------
    days : ndarray, shape (n,)
        Days since then, not negative. [d]

    Returns
    -------
    ndarray, shape (n,)
        Standard deviation: 0.68 on the first day, 2.3 in the end. [°C]

    References
    ----------
    .. [1] The difference of two days that both stray as in `strays_c` says, and share
       what has not yet died away: worked out, on the same judgement.
    """
    strays: NDArray[np.float64] = STRAYS_C * np.sqrt(2 * (1 - STRAYS_ON**days))
    return strays


def water_ahead(
    now_c: float,
    air_c: Sequence[float] = (),
    *,
    depth_m: float,
    offset_c: float = SUNNY_OFFSET_C,
) -> WaterAhead:
    """Reckon the water ahead from the air, and hold it where the air is not known.

    Parameters
    ----------
    now_c : float
        Mean warmth of the water by now. [°C]
    air_c : sequence of float
        Mean air of each day ahead that is forecast or usual, the next first. [°C]
    depth_m : float
        Depth of the water. [m]
    offset_c : float, default 1.5
        How far the water tends above the air, see `pond_temperature`. [°C]

    Returns
    -------
    WaterAhead
        120 days. With no air known, the water stays as it is and is known the less
        the further ahead.

    Raises
    ------
    ValueError
        If a figure is not finite or the depth is not above nought.
    """
    air = [finite(each, "air_c") for each in air_c][:DAYS_AHEAD]
    finite(now_c, "now_c")
    water = pond_temperature(air, depth_m=depth_m, start_c=now_c, offset_c=offset_c)
    left = DAYS_AHEAD - len(air)
    held = float(water[-1]) if air else now_c
    sd = strays_c(np.arange(1.0, len(air) + 1))
    known = float(sd[-1]) if air else 0.0
    after = np.hypot(known, held_strays_c(np.arange(1.0, left + 1)))
    means = np.clip([*water, *[held] * left], COLDEST_C, HOTTEST_C)
    return WaterAhead(tuple(means.tolist()), (*sd.tolist(), *after.tolist()), len(air))


def warmth_of(rate: float, model: RetModel = DEFAULT_RET) -> float:
    """Return the warmth of water that rets at such a rate.

    Parameters
    ----------
    rate : float
        Share of a ret that a day brings, above nought. [1/d]
    model : RetModel, optional
        Settings of the rate.

    Returns
    -------
    float
        Warmth, -5 at the least and the cap at the most. [°C]
    """
    steps = log(positive(rate, "rate") * model.days_at_20) / log(model.q10)
    return min(max(REFERENCE_C + Q10_STEP_C * steps, COLDEST_C), model.cap_c)
