"""The sun's height over one place, followed both ways from one day's noon.

The sun's place is ephem's (VSOP87). Crossings are found here rather than by ephem's
own search, which gives up near the edge of the polar day.
"""

import math
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import lru_cache
from typing import NamedTuple

import ephem

from heritage.calc._checks import finite

REFRACTION_DEG = 34 / 60
SEMIDIAMETER_DEG = 16 / 60
CIVIL_DEG = -6.0

_HALF_A_DAY = 0.5
_HALVINGS = 22  # of half a day: to a hundredth of a second
# Where ephem's days are counted from. Its own calendar is not asked, for it is the
# Julian one before 1582, and Python's never is.
_EPOCH = datetime(1899, 12, 31, 12, tzinfo=UTC)


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
        east = angle(longitude, "longitude", -180, 180)
        self._place.lon = math.radians(east)
        self._east = east / 360  # [day]
        self._number = _number_of_noon(day, self._east, zone)
        self.noon = self._noon(self._number)

    def height(self, at: float) -> float:
        self._place.date = at
        self._sun.compute(self._place)
        return math.degrees(self._sun.alt)

    def is_dark_at_noon(self, level: float) -> bool:
        return self.height(self.noon) <= level

    def sinks_through(self, level: float) -> float | None:
        return self._leaves(level, 1)

    def climbs_through(self, level: float) -> float | None:
        return self._leaves(level, -1)

    def _noon(self, number: int) -> float:
        """Find the sun's noon within minutes of the mean sun's, which is even."""
        half_a_day_before = number - self._east - _HALF_A_DAY
        return float(self._place.next_transit(self._sun, start=half_a_day_before))

    def _leaves(self, level: float, way: int) -> float | None:
        """Find when the sun, followed from noon, first falls to ``level``.

        The second half is for the poles, where it sinks all round the clock. It ends
        at the next noon itself, which is not a whole day off but up to 30 s less or
        more.
        """
        midnight = self.noon + way * _HALF_A_DAY
        if self.height(midnight) <= level:
            lit = self.height(self.noon) > level
            return self._crossing(level, self.noon, midnight) if lit else None
        other_noon = self._noon(self._number + way)
        if self.height(other_noon) <= level:
            return self._crossing(level, midnight, other_noon)
        return None

    def _crossing(self, level: float, lit: float, dark: float) -> float:
        """Give the last moment above ``level``, by halving.

        A higher level can never come out the later one, however near the two: both
        ask the sun at the same moments until they part.
        """
        for _ in range(_HALVINGS):
            middle = (lit + dark) / 2
            if self.height(middle) > level:
                lit = middle
            else:
                dark = middle
        return lit


class Passages(NamedTuple):
    """When the sun stands highest on a day, and passes one height before and after.

    In ephem's days; ``None`` where it does not pass it. ``dark`` if noon lies below it.
    """

    noon: float
    climbs: float | None
    sinks: float | None
    dark: bool


@lru_cache(maxsize=2048)
def passages(
    day: date, latitude: float, longitude: float, zone: tzinfo, level: float
) -> Passages:
    """Follow the sun of one day once, for a page asks of the same days many times."""
    sky = Sky(day, latitude, longitude, zone)
    return Passages(
        sky.noon,
        sky.climbs_through(level),
        sky.sinks_through(level),
        sky.is_dark_at_noon(level),
    )


def _number_of_noon(day: date, east: float, zone: tzinfo) -> int:
    """Count from ephem's epoch to the mean sun's noon nearest to the clocks' noon.

    The mean sun's, for the sun's own noons are not a day apart: half a day out from
    the clocks they stray over midnight, so that one day has two and another none.
    """
    midday = datetime.combine(day, time(12), zone)
    clocks_ahead = (midday.replace(tzinfo=UTC) - midday) / timedelta(days=1)
    whole_days = day.toordinal() - _EPOCH.toordinal()
    return whole_days + math.floor(east - clocks_ahead + _HALF_A_DAY)


def angle(value: float, name: str, least: float, most: float) -> float:
    """Return ``value`` as a float, or refuse it outside its range."""
    degrees = finite(value, name)
    if not least <= degrees <= most:
        raise ValueError(f"{name} must lie from {least} to {most}, not {value}")
    return degrees


def to_utc(at: float) -> datetime:
    """Turn ephem's days since the end of 1899 into an aware time."""
    return _EPOCH + timedelta(days=at)
