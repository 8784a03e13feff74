"""When the sun rises and sets, and how long there is light to work by.

A day runs here from solar noon to solar noon: the evening of a day is the time from
its noon to the next one, and its morning the time back to the noon before. A sunset
after midnight therefore belongs to the evening that it ends, and no sunset is lost
or counted twice.

A day's noon is the one that the mean sun has nearest to the clocks' noon. Where the
clocks stand half a day out from the sun, as no place's own do, that noon can fall up
to 18 minutes outside the day; and a change of such clocks can move it by a whole day.

Any zone is answered, even one half a day out from the sun, because a place near the
date line with its zone left at UTC is a likely slip, and a page with an odd noon is
better than one that fails.

References
----------
.. [1] HM Nautical Almanac Office, Astronomical Information Sheet 7 (1996): the sun
   rises and sets with its centre at a true altitude of -50' (34' of refraction and
   16' of semi-diameter); civil twilight ends at -6°, without refraction.
.. [2] American Meteorological Society, Glossary, and Hong Kong Observatory: by the
   end of civil twilight outdoor work is hard without lamps, some 2 to 3.5 lux.
.. [3] The sun's place is ephem's (VSOP87), within 1 s of JPL's DE421 at sunset on
   eleven evenings from 62° N to 44° S.
"""

from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from enum import StrEnum
from zoneinfo import ZoneInfo

from heritage.calc._sky import CIVIL_DEG, Passages, angle, passages, sunset_deg, to_utc

MARGIN = timedelta(minutes=15)
LONGEST_MARGIN = timedelta(hours=12)
# As far from the year 2000 as VSOP87 is good for (4,000 years, from memory), less
# the calendar's own first year.
FIRST_YEAR, LAST_YEAR = 2, 6000


@dataclass(frozen=True, slots=True)
class SunTimes:
    """What the sun does on one local day; ``None`` where it does not do it.

    Attributes
    ----------
    dawn : datetime or None
        Start of civil twilight before this day's noon.
    sunrise : datetime or None
        Sunrise before this day's noon.
    noon : datetime
        The sun at its highest.
    sunset : datetime or None
        Sunset after this day's noon, though it may come after midnight.
    dusk : datetime or None
        End of civil twilight after this day's noon, likewise.
    """

    dawn: datetime | None
    sunrise: datetime | None
    noon: datetime
    sunset: datetime | None
    dusk: datetime | None


class WhyItEnds(StrEnum):
    """What sets the end of the time with light to work by."""

    DUSK = "dusk"
    DUSK_BEHIND_SKYLINE = "dusk_behind_skyline"
    LATEST_TIME = "latest_time"
    NO_DARK = "no_dark"


@dataclass(frozen=True, slots=True)
class End:
    """What sets the end of a window, and by which times.

    Attributes
    ----------
    code : WhyItEnds
        Dusk, the latest finishing time, or the end of a day without dark.
    at : time or None
        Dusk or the latest finishing time by the clock there; ``None`` without dark.
    margin_min : int
        How long before dusk it ends. [min]
    """

    code: WhyItEnds
    at: time | None = None
    margin_min: int = 0


@dataclass(frozen=True, slots=True)
class Window:
    """A time with light to work by.

    Attributes
    ----------
    start : datetime
        When work can begin.
    end : datetime
        When work must be over.
    hours : float
        How long that is, whatever the clocks do. [h]
    why_it_ends : End
        What sets the end.
    """

    start: datetime
    end: datetime
    hours: float
    why_it_ends: End


def sun_times(
    day: date,
    latitude: float,
    longitude: float,
    *,
    timezone: tzinfo | str,
    skyline_deg: float = 0,
) -> SunTimes:
    """Find dawn, sunrise, noon, sunset and dusk of one local day.

    Parameters
    ----------
    day : date
        The local day whose noon is meant.
    latitude : float
        North positive, -90 to 90. [°]
    longitude : float
        East positive, -180 to 180. [°]
    timezone : tzinfo or str
        The zone that names the day and in which the answer stands. Any zone will do,
        though it be half a day out from the sun.
    skyline_deg : float
        How high the land stands round the field. Sunset and dusk come that much
        sooner and sunrise and dawn that much later, which is cautious: behind a hill
        the sky stays lit for longer than the field. 0 to 45. [°]

    Returns
    -------
    SunTimes
        Aware times in ``timezone``.

    Raises
    ------
    ValueError
        If an angle is not finite or is out of its range, the day lies before the
        year 2 or after 6000, or the time zone is not known.

    Notes
    -----
    Expect a minute or so between any almanac and the real sky [1]_: a tenth of a
    degree of refraction is 50 s at Belfast and more in the north.

    References
    ----------
    .. [1] HM Nautical Almanac Office, Astronomical Information Sheet 7 (1996).
    """
    zone = _zone(day, timezone)
    skyline = angle(skyline_deg, "skyline_deg", 0, 45)
    light = passages(day, latitude, longitude, zone, CIVIL_DEG + skyline)
    sun = passages(day, latitude, longitude, zone, sunset_deg(skyline))
    crossings = (light.climbs, sun.climbs, sun.sinks, light.sinks)
    dawn, sunrise, sunset, dusk = (
        None if at is None else to_utc(at).astimezone(zone) for at in crossings
    )
    return SunTimes(dawn, sunrise, to_utc(sun.noon).astimezone(zone), sunset, dusk)


def working_window(
    day: date,
    latitude: float,
    longitude: float,
    *,
    timezone: tzinfo | str,
    earliest: time | None = None,
    latest: time | None = None,
    margin: timedelta = MARGIN,
    skyline_deg: float = 0,
) -> Window | None:
    """Find the part of a local day that has light to work by.

    Parameters
    ----------
    day : date
        The local day whose noon is meant.
    latitude : float
        North positive, -90 to 90. [°]
    longitude : float
        East positive, -180 to 180. [°]
    timezone : tzinfo or str
        The zone that names the day and in which the answer stands.
    earliest : time or None
        Local clock time before which nobody comes; ``None`` for first light.
    latest : time or None
        Local clock time by which all go home; ``None`` for last light. If it is not
        after ``earliest`` it is taken for the night after, past midnight.
    margin : timedelta
        Light kept in hand: work ends that long before civil dusk, and does not begin
        until that long after civil dawn. A judgement; 0 to 30 minutes is usual.
    skyline_deg : float
        How high the land stands round the field; see ``sun_times``. [°]

    Returns
    -------
    Window or None
        ``None`` if there is no light between the two times. Where it does not get
        dark, and without ``latest``, the window ends with the local day.

    Raises
    ------
    ValueError
        As ``sun_times``, or if ``margin`` is negative or over 12 hours.
    """
    if not timedelta(0) <= margin <= LONGEST_MARGIN:
        raise ValueError(f"margin must lie from nought to 12 hours, not {margin}")
    zone = _zone(day, timezone)
    skyline = angle(skyline_deg, "skyline_deg", 0, 45)
    light = passages(day, latitude, longitude, zone, CIVIL_DEG + skyline)
    first, last = _clock_limits(day, zone, earliest, latest)
    end, why = _last_light(light, margin, zone, skyline > 0)
    start = _first_light(light, margin)
    # Compared in UTC: between two local times Python would compare the clocks' faces.
    start = first if start is None else max(first, start)
    if end is None:
        end = last
    if latest is not None and last <= end:
        end, why = last, End(WhyItEnds.LATEST_TIME, latest)
    if light.dark or end <= start:
        return None
    hours = (end - start) / timedelta(hours=1)
    return Window(start.astimezone(zone), end.astimezone(zone), hours, why)


def _first_light(light: Passages, margin: timedelta) -> datetime | None:
    return None if light.climbs is None else to_utc(light.climbs) + margin


def _last_light(
    light: Passages, margin: timedelta, zone: tzinfo, behind_land: bool
) -> tuple[datetime | None, End]:
    if light.sinks is None:
        return None, End(WhyItEnds.NO_DARK)
    dusk = to_utc(light.sinks)
    code = WhyItEnds.DUSK_BEHIND_SKYLINE if behind_land else WhyItEnds.DUSK
    minutes = round(margin / timedelta(minutes=1))
    return dusk - margin, End(code, dusk.astimezone(zone).time(), minutes)


def _clock_limits(
    day: date, zone: tzinfo, earliest: time | None, latest: time | None
) -> tuple[datetime, datetime]:
    """Give the first and last moment the clock allows, in UTC."""
    next_day = day + timedelta(days=1)
    first = earliest or time(0)
    past_midnight = latest is None or latest <= first
    last = datetime.combine(next_day if past_midnight else day, latest or time(0), zone)
    return datetime.combine(day, first, zone).astimezone(UTC), last.astimezone(UTC)


def _zone(day: date, timezone: tzinfo | str) -> tzinfo:
    """Return the time zone, or refuse one that is not known or a day too far off."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(
            f"day must lie from the year {FIRST_YEAR} to {LAST_YEAR}, not {day}"
        )
    zone: object = timezone
    if isinstance(timezone, str):
        # An unknown name is a missing key, an ill-formed one a wrong value.
        with suppress(KeyError, ValueError, OSError):
            zone = ZoneInfo(timezone)
    if not isinstance(zone, tzinfo) or _offset(day, zone) is None:
        raise ValueError(f"timezone must be a known time zone, not {timezone!r}")
    return zone


def _offset(day: date, zone: tzinfo) -> timedelta | None:
    return datetime.combine(day, time(12), zone).utcoffset()
