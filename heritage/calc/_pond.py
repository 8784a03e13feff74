"""The warmth of a small pond, guessed from the air above it."""

from collections.abc import Sequence
from math import exp
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ._checks import finite, positive

# Depth of water that takes up a day's change; 0.4 to 1.0. Our own judgement, close
# to the 0.5 m/d from memory of Mancini and Barnhart's pond design.
METRES_PER_DAY: Final = 0.6
SUNNY_OFFSET_C: Final = 1.5


def pond_temperature(
    air_c: Sequence[float] | NDArray[np.float64],
    *,
    depth_m: float,
    start_c: float | None = None,
    offset_c: float = SUNNY_OFFSET_C,
    metres_per_day: float = METRES_PER_DAY,
) -> NDArray[np.float64]:
    """Return a pond's daily warmth, lagging and damping that of the air.

    Good to 1.5 or 2 °C at best: a cheap thermometer at half depth beats it.

    Parameters
    ----------
    air_c : sequence of float, length n
        Mean air temperature of each day. [°C]
    depth_m : float
        Depth of the water. [m]
    start_c : float, optional
        Warmth of the water before the first day; the first day's air with its
        offset if not given. [°C]
    offset_c : float, default 1.5
        How far the water tends above the air: 1.5 in a sunny dam (0 to 3), 0 in a
        shaded one, -2 if spring-fed. [°C]
    metres_per_day : float, default 0.6
        Depth of water that follows the air within a day; 0.4 to 1.0. [m/d]

    Returns
    -------
    ndarray, shape (n,)
        Warmth of the water at the end of each day. [°C]

    Raises
    ------
    ValueError
        If a temperature is not finite, or depth or pace is not above zero.

    References
    ----------
    .. [1] Univ. Montana, esg.montana.edu/mtm/h2o2.html: a stream follows lagged air
       by a truncated exponential. The lag by depth is our own judgement.
    .. [2] Gu and Stefan, Water Res. 29 (1995) 1909: even a full model of ponds errs
       by 1.0 to 1.5 °C.
    """
    finite(offset_c, "offset_c")
    lag_days = positive(depth_m, "depth_m") / positive(metres_per_day, "metres_per_day")
    share = 1 - exp(-1 / lag_days)
    tends_to = np.asarray(air_c, dtype=np.float64) + offset_c
    if not np.isfinite(tends_to).all():
        raise ValueError("air_c must be a finite number throughout")
    water = np.empty_like(tends_to)
    warmth = None if start_c is None else finite(start_c, "start_c")
    for day, target in enumerate(tends_to):
        warmth = target if warmth is None else warmth + share * (target - warmth)
        water[day] = warmth
    return water
