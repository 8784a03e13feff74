"""The sun's heat on a field, by the day.

References
----------
.. [1] Allen, Pereira, Raes and Smith, Crop Evapotranspiration, FAO Irrigation and
   Drainage Paper 56 (1998). The equations' numbers below are this paper's.
"""

import math

from heritage.calc._checks import day_extremes, finite, not_negative

SOLAR_CONSTANT = 0.0820  # [MJ/m²/min]
STEFAN_BOLTZMANN = 4.903e-9  # [MJ/K⁴/m²/day]
GRASS_ALBEDO = 0.23


def extraterrestrial_radiation(latitude: float, day_of_year: int) -> float:
    """Give the sun's heat on level ground above the air, over a day (eq. 21).

    Parameters
    ----------
    latitude : float
        North positive, -90 to 90. [°]
    day_of_year : int
        1 to 366.

    Returns
    -------
    float
        The radiation; zero in the polar night. [MJ/m²/day]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    phi, declination, sunset = _geometry(latitude, day_of_year)
    nearness = 1 + 0.033 * math.cos(2 * math.pi / 365 * day_of_year)
    level = sunset * math.sin(phi) * math.sin(declination)
    level += math.cos(phi) * math.cos(declination) * math.sin(sunset)
    return max(0.0, 24 * 60 / math.pi * SOLAR_CONSTANT * nearness * level)


def daylight_hours(latitude: float, day_of_year: int) -> float:
    """Give the hours of possible sunshine, roughly, as the paper does (eq. 34).

    Parameters
    ----------
    latitude : float
        North positive, -90 to 90. [°]
    day_of_year : int
        1 to 366.

    Returns
    -------
    float
        The hours, 0 to 24. For a clock time ask ``daylight``. [h]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    return 24 / math.pi * _geometry(latitude, day_of_year)[2]


def solar_radiation(sunshine_h: float, latitude: float, day_of_year: int) -> float:
    """Give the sun's heat that reaches the ground, from hours of sunshine (eq. 35).

    Parameters
    ----------
    sunshine_h : float
        Bright sunshine; not negative, and counted up to the possible hours. [h]
    latitude : float
        North positive, -90 to 90. [°]
    day_of_year : int
        1 to 366.

    Returns
    -------
    float
        The radiation, with the paper's coefficients 0.25 and 0.50. [MJ/m²/day]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    sunshine = not_negative(sunshine_h, "sunshine_h")
    possible = daylight_hours(latitude, day_of_year)
    share = min(1.0, sunshine / possible) if possible else 0.0
    return (0.25 + 0.50 * share) * extraterrestrial_radiation(latitude, day_of_year)


def net_radiation_daily(
    solar_mj: float,
    *,
    tmax_c: float,
    tmin_c: float,
    vapour_kpa: float,
    latitude: float,
    day_of_year: int,
    altitude_m: float,
) -> float | None:
    """Give what grass keeps of the sun's heat over a day (eqs. 37 to 40).

    Parameters
    ----------
    solar_mj : float
        Solar radiation on the ground; not negative. [MJ/m²/day]
    tmax_c : float
        The day's highest temperature. [°C]
    tmin_c : float
        The day's lowest temperature. [°C]
    vapour_kpa : float
        Actual vapour pressure; not negative. [kPa]
    latitude : float
        North positive, -90 to 90. [°]
    day_of_year : int
        1 to 366.
    altitude_m : float
        Height above the sea. [m]

    Returns
    -------
    float or None
        Net radiation [MJ/m²/day]; ``None`` in the polar night, where the method,
        which reads the clouds off the sunshine, does not apply.

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.
    """
    solar = not_negative(solar_mj, "solar_mj")
    vapour = not_negative(vapour_kpa, "vapour_kpa")
    top, low = day_extremes(tmax_c, tmin_c)
    clear = 0.75 + 2e-5 * finite(altitude_m, "altitude_m")
    clear *= extraterrestrial_radiation(latitude, day_of_year)
    if not clear:
        return None
    glow = STEFAN_BOLTZMANN * ((top + 273.16) ** 4 + (low + 273.16) ** 4) / 2
    clouds = 1.35 * min(1.0, solar / clear) - 0.35
    lost = glow * (0.34 - 0.14 * math.sqrt(vapour)) * clouds
    return (1 - GRASS_ALBEDO) * solar - lost


def _geometry(latitude: float, day_of_year: int) -> tuple[float, float, float]:
    """Give latitude, declination (eq. 24) and sunset hour angle (eq. 25)."""
    degrees = finite(latitude, "latitude")
    if not -90 <= degrees <= 90:
        raise ValueError(f"latitude must lie from -90 to 90, not {latitude}")
    if not 1 <= finite(day_of_year, "day_of_year") <= 366:
        raise ValueError(f"day_of_year must lie from 1 to 366, not {day_of_year}")
    phi = math.radians(degrees)
    declination = 0.409 * math.sin(2 * math.pi / 365 * day_of_year - 1.39)
    cosine = -math.tan(phi) * math.tan(declination)
    return phi, declination, math.acos(min(1.0, max(-1.0, cosine)))
