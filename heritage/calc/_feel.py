"""Names and felt temperatures for rain, wind, cold and heat.

What it feels like is one continuous measure for cold (the wind chill, carried on) and
one for heat (the heat index), never two that are joined at a threshold.
"""

import math
from bisect import bisect_right
from enum import StrEnum

from heritage.calc._checks import air_temperature, finite, not_negative, percent

# Lower bounds of forces 1 to 12. [m/s]
_BEAUFORT_MS = (0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7)
# Below it the wind chill has a line of its own. [km/h]
_CALM_KMH = 5.0
# The hottest cell of the US National Weather Service's chart. [°F]
HOTTEST_F = 137


class RainClass(StrEnum):
    """How hard it rains, in the Met Office's words."""

    NONE = "none"
    SLIGHT = "slight"
    MODERATE = "moderate"
    HEAVY = "heavy"
    VIOLENT = "violent"


def rain_class(mm_per_h: float, *, shower: bool = False) -> RainClass:
    """Name a rate of rain.

    Parameters
    ----------
    mm_per_h : float
        Rate of rain; not negative. [mm/h]
    shower : bool
        Whether it falls in showers, which have names and limits of their own.

    Returns
    -------
    RainClass
        Rain: slight to 0.5, moderate to 4, then heavy. Showers: slight below 2,
        moderate to 10, heavy to 50, then violent. [mm/h]

    Raises
    ------
    ValueError
        If ``mm_per_h`` is negative or not finite.

    References
    ----------
    .. [1] Met Office classes, as given by The Independent, 5 January 1998, and
       llansadwrn-wx.co.uk.
    """
    rate = not_negative(mm_per_h, "mm_per_h")
    if rate == 0:
        return RainClass.NONE
    if not shower:
        if rate <= 0.5:
            return RainClass.SLIGHT
        return RainClass.MODERATE if rate <= 4 else RainClass.HEAVY
    if rate < 2:
        return RainClass.SLIGHT
    if rate <= 10:
        return RainClass.MODERATE
    return RainClass.HEAVY if rate <= 50 else RainClass.VIOLENT


def beaufort(speed_ms: float) -> int:
    """Give the Beaufort force of a wind.

    Parameters
    ----------
    speed_ms : float
        Mean speed at 10 m; not negative. [m/s]

    Returns
    -------
    int
        Force, 0 to 12.

    Raises
    ------
    ValueError
        If ``speed_ms`` is negative or not finite.

    References
    ----------
    .. [1] World Meteorological Organization's bounds in metres a second, from
       memory; they agree with v = 0.836 B^1.5 at the half forces to 0.1 m/s and
       with the rounded tables of wwsc.org.uk to half a mile an hour.
    """
    return bisect_right(_BEAUFORT_MS, not_negative(speed_ms, "speed_ms"))


def wind_chill(temp_c: float, wind_kmh: float) -> float | None:
    """Give the still-air temperature that would chill a face as much.

    Parameters
    ----------
    temp_c : float
        Air temperature. [°C]
    wind_kmh : float
        Mean wind at 10 m; not negative. [km/h]

    Returns
    -------
    float or None
        The wind chill [°C], or ``None`` where the method does not apply: above
        10 °C, or in wind of 4.8 km/h or less.

    Raises
    ------
    ValueError
        If either is not finite or is out of its range.

    References
    ----------
    .. [1] Environment Canada's chart of 2001.
    """
    temp = air_temperature(temp_c, "temp_c")
    wind = not_negative(wind_kmh, "wind_kmh")
    if temp > 10 or wind <= 4.8:
        return None
    return _chart(temp, wind)


def felt_in_wind(temp_c: float, wind_kmh: float) -> float:
    """Give how cold the air feels in wind, at any warmth, with no jump anywhere.

    Parameters
    ----------
    temp_c : float
        Air temperature. [°C]
    wind_kmh : float
        Mean wind at 10 m; not negative. [km/h]

    Returns
    -------
    float
        The wind chill, which is published up to 10 °C; above that the same formula
        carried on until it meets the air temperature, which it never passes. [°C]

    Raises
    ------
    ValueError
        If either is not finite or is out of its range.

    References
    ----------
    .. [1] Environment Canada's chart of 2001. Its line for wind under 5 km/h,
       T + (0.1345 T - 1.59) V/5, is from memory; it meets the chart's formula at 5
       to 0.01 °C. The stretch above 10 °C is our own.
    """
    temp = air_temperature(temp_c, "temp_c")
    wind = not_negative(wind_kmh, "wind_kmh")
    if wind < _CALM_KMH:
        return min(temp, temp + (0.1345 * temp - 1.59) * wind / _CALM_KMH)
    return min(temp, _chart(temp, wind))


def _chart(temp_c: float, wind_kmh: float) -> float:
    root: float = wind_kmh**0.16
    return 13.12 + 0.6215 * temp_c - 11.37 * root + 0.3965 * temp_c * root


def heat_index(temp_f: float, rh: float) -> float:
    """Give how hot the air feels in the shade.

    Parameters
    ----------
    temp_f : float
        Air temperature, -130 to 140. [°F]
    rh : float
        Relative humidity, 0 to 100. [%]

    Returns
    -------
    float
        The heat index [°F]: Rothfusz's regression with its two adjustments where
        Steadman's simple form comes to 80 °F, that form below, and the air
        temperature itself up to 40 °F. Each passes over into the next within a few
        degrees, so that nothing jumps; that passing over is our own.

    Raises
    ------
    ValueError
        If either is not finite or is out of its range, or the two lie beyond the
        chart, whose hottest cell is 137 °F.

    References
    ----------
    .. [1] US Weather Prediction Center, wpc.ncep.noaa.gov, "The Heat Index
       Equation". The limit of 40 °F, and the chart's end, are from memory.
    """
    t, r = finite(temp_f, "temp_f"), percent(rh, "rh")
    if not -130 <= t <= 140:
        raise ValueError(f"temp_f must lie from -130 to 140 °F, not {temp_f}")
    simple = 0.5 * (t + 61 + (t - 68) * 1.2 + r * 0.094)
    cool = _passing(t, t, simple, begins=40, ends=50)
    if simple <= 77:
        return cool
    hot = _rothfusz(t, r) + _heat_adjustment(t, r)
    index = _passing(simple, cool, hot, begins=77, ends=80)
    if round(index) > HOTTEST_F:
        raise ValueError(
            f"temp_f and rh must lie on the chart, which ends at {HOTTEST_F} °F, "
            f"not {temp_f} and {rh}"
        )
    return index


def apparent_temperature(temp_c: float, rh: float, wind_ms: float) -> float:
    """Give how warm the air feels to somebody walking in the shade.

    Parameters
    ----------
    temp_c : float
        Air temperature. [°C]
    rh : float
        Relative humidity, 0 to 100. [%]
    wind_ms : float
        Mean wind at 10 m; not negative. [m/s]

    Returns
    -------
    float
        The apparent temperature. [°C]

    Raises
    ------
    ValueError
        If one is not finite or is out of its range.

    References
    ----------
    .. [1] The Australian Bureau of Meteorology's formula, as quoted by vcalc.com.
    """
    temp = air_temperature(temp_c, "temp_c")
    wind = not_negative(wind_ms, "wind_ms")
    saturated = 6.105 * math.exp(17.27 * temp / (237.7 + temp))
    vapour_hpa = percent(rh, "rh") / 100 * saturated
    return temp + 0.33 * vapour_hpa - 0.70 * wind - 4.00


def _passing(
    at: float, before: float, after: float, *, begins: float, ends: float
) -> float:
    """Pass evenly from one value to another between two marks."""
    share = min(1.0, max(0.0, (at - begins) / (ends - begins)))
    return before + share * (after - before)


def _rothfusz(t: float, r: float) -> float:
    return (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 0.00683783 * t * t
        - 0.05481717 * r * r
        + 0.00122874 * t * t * r
        + 0.00085282 * t * r * r
        - 0.00000199 * t * t * r * r
    )


def _heat_adjustment(t: float, r: float) -> float:
    """Give what dry air takes off and damp air puts on, from 80 °F up."""
    if r < 13 and t <= 112:
        least = (13 - r) / 4 * math.sqrt((17 - abs(max(t, 80) - 95)) / 17)
        return _passing(t, 0, -least, begins=78, ends=80)
    if r > 85 and t <= 87:
        most = (r - 85) / 10 * (87 - max(t, 80)) / 5
        return _passing(t, 0, most, begins=78, ends=80)
    return 0.0
