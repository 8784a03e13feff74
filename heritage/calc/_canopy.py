"""Water that stands on the crop."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heritage.calc._checks import finite, not_negative, positive

CAPACITY_MM = 0.8


def canopy_water(
    rain_mm: ArrayLike,
    evaporation_mm: ArrayLike,
    *,
    capacity_mm: float = CAPACITY_MM,
    start_mm: float = 0.0,
) -> NDArray[np.float64]:
    """Follow the water on a crop: what it catches less what dries off.

    Parameters
    ----------
    rain_mm : sequence of float, length n
        Rain in each step; not negative. [mm]
    evaporation_mm : sequence of float, length n
        What the air would take from a wet crop in each step, as
        ``wet_canopy_evaporation`` gives it; below zero for dew. [mm]
    capacity_mm : float
        What the crop can hold; the rest drips off. No figure for flax was found: it
        is a judgement, between 0.2 and 1.5 for grass and corn. [mm]
    start_mm : float
        Water on it at first; not negative, and counted up to the capacity. [mm]

    Returns
    -------
    ndarray of float, length n
        Water after each step, from zero to the capacity. [mm]

    Raises
    ------
    ValueError
        If a value is not finite or is out of its range, or the lengths differ.

    References
    ----------
    .. [1] The pattern is Thompson's, J. Agric. Sci. (1981), for hay: interception
       and dew on one side, Penman-Monteith evaporation on the other.
    """
    rain, drying = _steps(rain_mm, "rain_mm"), _steps(evaporation_mm, "evaporation_mm")
    if rain.shape != drying.shape:
        raise ValueError("rain_mm and evaporation_mm must be of one length")
    if (rain < 0).any():
        raise ValueError("rain_mm must not be negative")
    capacity = positive(capacity_mm, "capacity_mm")
    water = min(capacity, not_negative(start_mm, "start_mm"))
    standing = np.empty_like(rain)
    for step, gained in enumerate((rain - drying).tolist()):
        water = min(capacity, max(0.0, water + gained))
        standing[step] = water
    return standing


def drying_hours(water_mm: float, evaporation_mm_per_h: float) -> float | None:
    """Say how long a wet crop takes to dry.

    Parameters
    ----------
    water_mm : float
        Water on the crop; not negative. [mm]
    evaporation_mm_per_h : float
        What the air takes from it. [mm/h]

    Returns
    -------
    float or None
        The time [h]; ``None`` if it is wet and nothing dries.

    Raises
    ------
    ValueError
        If one is not finite, or the water is negative.
    """
    water = not_negative(water_mm, "water_mm")
    rate = finite(evaporation_mm_per_h, "evaporation_mm_per_h")
    if water == 0:
        return 0.0
    return water / rate if rate > 0 else None


def _steps(values: ArrayLike, name: str) -> NDArray[np.float64]:
    steps = np.asarray(values, dtype=float)
    if steps.ndim != 1:
        raise ValueError(f"{name} must be one row of numbers")
    if not np.isfinite(steps).all():
        raise ValueError(f"{name} must hold finite numbers")
    return steps
