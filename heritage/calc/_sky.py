"""The sun's height over one place, followed both ways from one day's noon.

The sun's place is ephem's (VSOP87). Crossings are found here rather than by ephem's
own search, which gives up near the edge of the polar day.
"""

import math
from datetime import UTC, date, datetime, time, tzinfo

import ephem
from scipy.optimize import brentq

from heritage.calc._checks import finite

REFRACTION_DEG = 34 / 60
SEMIDIAMETER_DEG = 16 / 60
CIVIL_DEG = -6.0

_HALF_A_DAY = 0.5
_HUNDREDTH_SECOND = 1e-7  # [day]


def sunset_deg(skyline_deg: float) -> float:
    """Give the true height of the sun's centre as its last edge meets the skyline.

    Refraction falls off with height as in Bennett's formula, scaled to the almanacs'
    34' at the horizon (G. G. Bennett, Journal of Navigation 35, 1982, from memory).
    """
    bend = math.tan(math.radians(7.31 / 4.4)) / math.tan(
        math.radians(skyline_deg + 7.31 / (skyline_deg + 4.4))
    )
    return skyline_deg - REFRACTION_DEG * bend - SEMIDIAMETER_DEG


class Sky:
    """The sun's height over one place, round one local day's noon."""

    def __init__(
        self, day: date, latitude: float, longitude: float, zone: tzinfo
    ) -> None:
        self._sun = ephem.Sun()
        self._place = ephem.Observer()
        self._place.pressure = 0
        self._place.lat = math.radians(angle(latitude, "latitude", -90, 90))
        self._place.lon = math.radians(angle(longitude, "longitude", -180, 180))
        midday = datetime.combine(day, time(12), zone).astimezone(UTC)
        # The first culmination after the clocks' midnight or so: whatever zone is
        # asked for, it is the one nearest to that zone's midday.
        before = ephem.Date(midday.replace(tzinfo=None)) - _HALF_A_DAY
        self.noon = float(self._place.next_transit(self._sun, start=before))

    def height(self, at: float) -> float:
        self._place.date = at
        self._sun.compute(self._place)
        return math.degrees(self._sun.alt)

    def is_dark_at_noon(self, level: float) -> bool:
        return self.height(self.noon) <= level

    def sinks_through(self, level: float) -> float | None:
        return self._leaves(level, _HALF_A_DAY)

    def climbs_through(self, level: float) -> float | None:
        return self._leaves(level, -_HALF_A_DAY)

    def _leaves(self, level: float, step: float) -> float | None:
        """Find when the sun, followed from noon, first falls to ``level``.

        The second half is for the poles, where it sinks all round the clock.
        """
        for start in (self.noon, self.noon + step):
            if self.height(start) > level >= self.height(start + step):
                ends = sorted((start, start + step))
                return self._crossing(level, *ends)
        return None

    def _crossing(self, level: float, low: float, high: float) -> float:
        def above(at: float) -> float:
            return self.height(at) - level

        return float(brentq(above, low, high, xtol=_HUNDREDTH_SECOND))


def angle(value: float, name: str, least: float, most: float) -> float:
    """Return ``value`` as a float, or refuse it outside its range."""
    degrees = finite(value, name)
    if not least <= degrees <= most:
        raise ValueError(f"{name} must lie from {least} to {most}, not {value}")
    return degrees


def to_utc(at: float) -> datetime:
    """Turn ephem's days since the end of 1899 into an aware time."""
    moment: datetime = ephem.Date(at).datetime()
    return moment.replace(tzinfo=UTC)
