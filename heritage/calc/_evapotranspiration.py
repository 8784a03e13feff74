"""Evaporation from grass and from a wet crop, by the Penman-Monteith method.

References
----------
.. [1] Allen, Pereira, Raes and Smith, Crop Evapotranspiration, FAO Irrigation and
   Drainage Paper 56 (1998). The equations' numbers below are this paper's.
"""

import math
from dataclasses import dataclass
from typing import Final

from heritage.calc._checks import (
    air_temperature,
    day_extremes,
    finite,
    not_negative,
    percent,
)


@dataclass(frozen=True, slots=True)
class _Air:
    """The air: its warmth [°C], lack of vapour [kPa], wind [m/s] and height [m]."""

    temp: float
    deficit: float
    wind: float
    altitude_m: float


@dataclass(frozen=True, slots=True)
class _Surface:
    """What draws: the numerator's constant for the step, and its resistance [s/m]."""

    factor: float
    resistance: float


_GRASS_BY_DAY: Final = _Surface(900, 0.34)
_GRASS_BY_HOUR: Final = _Surface(37, 0.34)
_WET_BY_HOUR: Final = _Surface(37, 0.0)


def saturation_vapour_pressure(temp_c: float) -> float:
    """Give the vapour pressure of saturated air (eq. 11).

    Parameters
    ----------
    temp_c : float
        Air temperature, -90 to 60. [°C]

    Returns
    -------
    float
        The pressure. [kPa]

    Raises
    ------
    ValueError
        If ``temp_c`` is not finite or is out of its range.
    """
    temp = air_temperature(temp_c, "temp_c")
    return 0.6108 * math.exp(17.27 * temp / (temp + 237.3))


def wind_at_2m(wind_ms: float, height_m: float) -> float:
    """Bring a wind measured at another height down to 2 m over grass (eq. 47).

    Parameters
    ----------
    wind_ms : float
        Mean wind; not negative. [m/s]
    height_m : float
        Height of the instrument, from 0.5. [m]

    Returns
    -------
    float
        Mean wind at 2 m. [m/s]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    height = finite(height_m, "height_m")
    if height < 0.5:
        raise ValueError(f"height_m must be 0.5 or more, not {height_m}")
    return not_negative(wind_ms, "wind_ms") * 4.87 / math.log(67.8 * height - 5.42)


def reference_evapotranspiration_daily(
    *,
    tmax_c: float,
    tmin_c: float,
    vapour_kpa: float,
    wind_ms: float,
    net_radiation_mj: float,
    soil_heat_mj: float = 0.0,
    altitude_m: float,
) -> float:
    """Give the water a day would draw from watered grass (eq. 6).

    Parameters
    ----------
    tmax_c : float
        The day's highest temperature. [°C]
    tmin_c : float
        The day's lowest temperature. [°C]
    vapour_kpa : float
        Actual vapour pressure; not negative. [kPa]
    wind_ms : float
        Mean wind at 2 m; not negative. [m/s]
    net_radiation_mj : float
        Net radiation. [MJ/m²/day]
    soil_heat_mj : float
        Heat that goes into the soil. [MJ/m²/day]
    altitude_m : float
        Height above the sea. [m]

    Returns
    -------
    float
        Evapotranspiration; below zero when dew forms. [mm/day]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    top, low = day_extremes(tmax_c, tmin_c)
    saturated = (saturation_vapour_pressure(top) + saturation_vapour_pressure(low)) / 2
    air = _Air(
        temp=(top + low) / 2,
        deficit=saturated - not_negative(vapour_kpa, "vapour_kpa"),
        wind=not_negative(wind_ms, "wind_ms"),
        altitude_m=altitude_m,
    )
    return _penman_monteith(air, _heat(net_radiation_mj, soil_heat_mj), _GRASS_BY_DAY)


def reference_evapotranspiration_hourly(
    *,
    temp_c: float,
    rh: float,
    wind_ms: float,
    net_radiation_mj: float,
    soil_heat_mj: float = 0.0,
    altitude_m: float,
) -> float:
    """Give the water an hour would draw from watered grass (eq. 53).

    Parameters
    ----------
    temp_c : float
        Air temperature. [°C]
    rh : float
        Relative humidity, 0 to 100. [%]
    wind_ms : float
        Mean wind at 2 m; not negative. [m/s]
    net_radiation_mj : float
        Net radiation. [MJ/m²/h]
    soil_heat_mj : float
        Heat that goes into the soil. [MJ/m²/h]
    altitude_m : float
        Height above the sea. [m]

    Returns
    -------
    float
        Evapotranspiration; below zero when dew forms. [mm/h]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    air = _Air(
        temp=air_temperature(temp_c, "temp_c"),
        deficit=_deficit(temp_c, rh),
        wind=not_negative(wind_ms, "wind_ms"),
        altitude_m=altitude_m,
    )
    return _penman_monteith(air, _heat(net_radiation_mj, soil_heat_mj), _GRASS_BY_HOUR)


def wet_canopy_evaporation(
    *,
    temp_c: float,
    rh: float,
    wind_ms: float,
    net_radiation_mj: float,
    altitude_m: float,
) -> float:
    """Give the water an hour would draw from a crop that is wet all over.

    The hourly equation without the leaves' own resistance, since the water lies on
    them; how rough a crop of flax is to the wind is taken to be as grass.

    Parameters
    ----------
    temp_c : float
        Air temperature. [°C]
    rh : float
        Relative humidity, 0 to 100. [%]
    wind_ms : float
        Mean wind at 2 m; not negative. [m/s]
    net_radiation_mj : float
        Net radiation. [MJ/m²/h]
    altitude_m : float
        Height above the sea. [m]

    Returns
    -------
    float
        Evaporation; below zero when dew forms. Reckoned, not measured. [mm/h]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    air = _Air(
        temp=air_temperature(temp_c, "temp_c"),
        deficit=_deficit(temp_c, rh),
        wind=not_negative(wind_ms, "wind_ms"),
        altitude_m=altitude_m,
    )
    return _penman_monteith(air, _heat(net_radiation_mj, 0.0), _WET_BY_HOUR)


def _penman_monteith(air: _Air, heat: float, surface: _Surface) -> float:
    slope = 4098 * saturation_vapour_pressure(air.temp) / (air.temp + 237.3) ** 2
    gamma = _psychrometric(air.altitude_m)
    by_wind = gamma * surface.factor / (air.temp + 273) * air.wind * air.deficit
    drawn = 0.408 * slope * heat + by_wind
    return drawn / (slope + gamma * (1 + surface.resistance * air.wind))


def _psychrometric(altitude_m: float) -> float:
    altitude = finite(altitude_m, "altitude_m")
    if not -500 <= altitude <= 9000:
        raise ValueError(f"altitude_m must lie from -500 to 9000, not {altitude_m}")
    pressure = 101.3 * ((293 - 0.0065 * altitude) / 293) ** 5.26
    return float(0.665e-3 * pressure)


def _deficit(temp_c: float, rh: float) -> float:
    return saturation_vapour_pressure(temp_c) * (1 - percent(rh, "rh") / 100)


def _heat(net_radiation_mj: float, soil_heat_mj: float) -> float:
    net = finite(net_radiation_mj, "net_radiation_mj")
    return net - finite(soil_heat_mj, "soil_heat_mj")
