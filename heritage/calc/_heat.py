"""Heat that counts for growth, gathered day by day."""

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heritage.calc._band import Band
from heritage.calc._checks import finite


@dataclass(frozen=True, slots=True)
class DayHeat:
    """One day's temperatures, measured or forecast.

    Attributes
    ----------
    day : date
        The day.
    tmin_c, tmax_c : float
        Its lowest and highest. [°C]
    """

    day: date
    tmin_c: float
    tmax_c: float


@dataclass(frozen=True, slots=True)
class Dates:
    """The early, likely and late date of one stage.

    Attributes
    ----------
    early, likely, late : date or None
        ``None`` where the temperatures given do not reach so far.
    """

    early: date | None
    likely: date | None
    late: date | None


def thermal_time(
    tmin_c: ArrayLike, tmax_c: ArrayLike, base_c: float
) -> NDArray[np.float64]:
    """Give the heat that counts for growth, by the day.

    Parameters
    ----------
    tmin_c : float or sequence of float, length n
        Each day's lowest temperature. [°C]
    tmax_c : float or sequence of float, length n
        Each day's highest temperature, none below its lowest. [°C]
    base_c : float
        Mean temperature at or below which a day counts for nothing. [°C]

    Returns
    -------
    float or ndarray of float, length n
        Each day's mean less the base, never negative. [°C d]

    Raises
    ------
    ValueError
        If a temperature is not finite, or a lowest is above its highest, or the
        lengths differ.

    References
    ----------
    .. [1] McMaster and Wilhelm, Agric. For. Meteorol. 87 (1997) 291-300: method 1.
    """
    base = finite(base_c, "base_c")
    lows, tops = np.asarray(tmin_c, dtype=float), np.asarray(tmax_c, dtype=float)
    if lows.shape != tops.shape:
        raise ValueError("tmin_c and tmax_c must be of one length")
    for values, name in ((lows, "tmin_c"), (tops, "tmax_c")):
        if not np.isfinite(values).all():
            raise ValueError(f"{name} must be a finite number on every day")
    if (lows > tops).any():
        raise ValueError("tmin_c must not be above tmax_c on any day")
    heat: NDArray[np.float64] = np.maximum(0.0, (lows + tops) / 2 - base)
    return heat


def days_from(start: date, daily: Sequence[DayHeat], name: str) -> list[DayHeat]:
    """Keep the days from ``start`` on, and refuse a gap among them."""
    days = [heat for heat in daily if heat.day >= start]
    for offset, heat in enumerate(days):
        if heat.day != start + timedelta(days=offset):
            raise ValueError(
                f"daily must hold every day in order from {name}; "
                f"{start + timedelta(days=offset)} is missing"
            )
    return days


def gathered_heat(days: Sequence[DayHeat], base_c: float) -> NDArray[np.float64]:
    """Add up the heat by the end of each day."""
    lows, tops = [d.tmin_c for d in days], [d.tmax_c for d in days]
    return np.cumsum(thermal_time(lows, tops, base_c))


def reached(
    start: date, gathered: NDArray[np.float64], need: Band, extra: float = 0.0
) -> Dates:
    """Find the days by whose end each part of the need has been gathered."""
    # A sum of floats that has just been reached must not look as if it had not.
    wanted = [n + extra - 1e-9 for n in astuple(need)]
    days = [int(np.searchsorted(gathered, n)) for n in wanted]
    return Dates(
        *(start + timedelta(days=i) if i < len(gathered) else None for i in days)
    )
