"""Daylight against almanacs, a JPL ephemeris, and another algorithm."""

import math
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

import ephem
import numpy as np
import pandas as pd
import pytest
from pvlib.solarposition import spa_python

from heritage.calc._sky import Sky, sunset_deg
from heritage.calc.daylight import sun_times

MST = timezone(timedelta(hours=-7))
SPA_EXAMPLE = {"latitude": 39.742476, "longitude": -105.1786, "timezone": MST}
ANCHORAGE = {
    "latitude": 61 + 13 / 60,
    "longitude": -149 - 52 / 60,
    "timezone": "America/Anchorage",
}
MINUTE = timedelta(minutes=1)


def seconds_from(at, day, clock):
    """Count the seconds by which a moment is past a UTC clock time of that day."""
    expected = datetime.combine(day, time.fromisoformat(clock), UTC)
    return (at - expected).total_seconds()


# Skyfield 1.55 with JPL's DE421: UTC of sunset (-0.8333°) and civil dusk (-6°). The
# places' coordinates are those commonly given.
JPL = [
    ("Belfast", 54.597, -5.930, "2026-08-15", "19:55:39.8", "20:36:48.4"),
    ("Taunton", 51.015, -3.100, "2020-08-15", "19:32:38.9", "20:09:27.2"),
    ("Dublin", 53.350, -6.260, "2026-09-01", "19:14:33.7", "19:51:01.1"),
    ("Edinburgh", 55.953, -3.189, "2026-07-10", "20:54:29.2", "21:52:07.4"),
    ("Lerwick", 60.155, -1.145, "2026-07-20", "21:03:33.0", "22:15:53.0"),
    ("Kortrijk", 50.828, 3.265, "2026-07-25", "19:42:52.0", "20:23:56.2"),
    ("Reykjavik", 64.147, -21.940, "2026-09-10", "20:11:23.8", "21:01:14.4"),
    ("Geraldine", -44.090, 171.240, "2026-01-25", "08:10:07.1", "08:43:35.2"),
    ("Hobart", -42.880, 147.330, "2026-02-10", "09:24:24.3", "09:55:03.8"),
]


@pytest.mark.parametrize(
    ("latitude", "longitude", "day", "sunset", "dusk"),
    [row[1:] for row in JPL],
    ids=[row[0] for row in JPL],
)
def test_a_jpl_ephemeris(latitude, longitude, day, sunset, dusk):
    """Agrees to 0.6 s, coordinates and all."""
    day = date.fromisoformat(day)
    zone = timezone(timedelta(hours=round(longitude / 15)))
    sun = sun_times(day, latitude, longitude, timezone=zone)
    assert abs(seconds_from(sun.sunset, day, sunset)) < 0.6
    assert abs(seconds_from(sun.dusk, day, dusk)) < 0.6


def test_the_polar_day_at_tromso_has_no_sunset():
    """Same source, 2026-07-05."""
    sun = sun_times(date(2026, 7, 5), 69.65, 18.96, timezone="Europe/Oslo")
    assert sun.sunset is None
    assert sun.dusk is None


# US Naval Observatory tables, as copied in public test fixtures
# (cosinekitty/astronomy, klausbrunner/solarpositioning, Skyfield's design scripts).
USNO = [
    (60, 0, UTC, "2019-08-15", "2019-08-15 19:54"),
    (60, 0, UTC, "2019-10-01", "2019-10-01 17:34"),
    (36 + 57 / 60, -112 - 31 / 60, MST, "2023-08-15", "2023-08-16 02:22"),
    (
        -36 - 50 / 60,
        174 + 48 / 60,
        ZoneInfo("Pacific/Auckland"),
        "2020-01-15",
        "2020-01-15 07:42",
    ),
]


@pytest.mark.parametrize(("latitude", "longitude", "zone", "day", "printed"), USNO)
def test_an_almanac_to_its_printed_minute(latitude, longitude, zone, day, printed):
    sun = sun_times(date.fromisoformat(day), latitude, longitude, timezone=zone)
    expected = datetime.fromisoformat(printed).replace(tzinfo=UTC)
    assert abs(sun.sunset - expected) <= MINUTE / 2


def test_an_almanacs_civil_dusk_belongs_to_the_local_evening():
    """USNO, Anchorage: 06:18 on the 25th in UTC is the evening of the 24th there."""
    sun = sun_times(date(2020, 8, 24), **ANCHORAGE)
    assert abs(sun.dusk - datetime(2020, 8, 25, 6, 18, tzinfo=UTC)) <= MINUTE / 2


def test_an_almanacs_evening_without_civil_dusk():
    """USNO, Anchorage, 15 June 2020."""
    sun = sun_times(date(2020, 6, 15), **ANCHORAGE)
    assert sun.sunset is not None
    assert sun.dusk is None


def test_nrel_spa_example_sunrise():
    """Reda and Andreas's printed example for 17 October 2003: 06:12:43."""
    sun = sun_times(date(2003, 10, 17), **SPA_EXAMPLE)
    assert abs(seconds_from(sun.sunrise, date(2003, 10, 17), "13:12:43")) < 2


def test_nrel_spa_example_sunset_is_the_evening_before():
    """It prints 17:20:19 under the 17th, but reckons by the day of UT."""
    sixteenth = sun_times(date(2003, 10, 16), **SPA_EXAMPLE).sunset
    assert abs(seconds_from(sixteenth, date(2003, 10, 17), "00:20:19")) < 2
    seventeenth = sun_times(date(2003, 10, 17), **SPA_EXAMPLE).sunset
    assert seventeenth < sixteenth + timedelta(days=1) - MINUTE


def test_meeus_declination():
    """-7°47'01.74" at 0 h TD on 13 October 1992 (example 25.b, from memory).

    The quick method of 25.a gives -7.78507°, and claims no more than 0.01°. At the
    pole the sun's height is its declination, less a parallax of nearly 8.8".
    """
    pole = Sky(date(1992, 10, 13), 90, 0, UTC)
    at = float(ephem.Date("1992/10/13")) - 59 / 86400  # TD was 59 s ahead of UT
    parallax = 8.794 / 3600 * math.cos(math.radians(7.78))
    declination = pole.height(at) + parallax
    assert declination == pytest.approx(-(7 + 47 / 60 + 1.74 / 3600), abs=0.0001)
    assert declination == pytest.approx(-7.78507, abs=0.01)


def test_meeus_equation_of_time():
    """Plus 13m 42.7s at 0 h on 13 October 1992 (example 28.a, from memory)."""
    noons = [
        sun_times(date(1992, 10, day), 51, 0, timezone=UTC).noon for day in (12, 13)
    ]
    early = [datetime.combine(noon.date(), time(12), UTC) - noon for noon in noons]
    mean = sum(early, timedelta()) / 2
    assert mean.total_seconds() == pytest.approx(13 * 60 + 42.7, abs=1)


# Belfast in 2026 by the clock there: reckoned with two libraries for this project.
BELFAST = [
    ("2026-07-01", "22:03", "22:58"),
    ("2026-07-15", "21:51", "22:43"),
    ("2026-08-01", "21:25", "22:10"),
    ("2026-08-15", "20:56", "21:37"),
    ("2026-09-01", "20:16", "20:53"),
    ("2026-09-15", "19:40", "20:17"),
    ("2026-10-01", "19:00", "19:36"),
    ("2026-10-15", "18:26", "19:02"),
    ("2026-10-31", "16:50", "17:28"),
]


@pytest.mark.parametrize(("day", "sunset", "dusk"), BELFAST)
def test_belfast_to_the_nearest_minute(day, sunset, dusk):
    sun = sun_times(date.fromisoformat(day), 54.597, -5.930, timezone="Europe/London")
    half_a_minute = timedelta(seconds=30)
    assert f"{sun.sunset + half_a_minute:%H:%M}" == sunset
    assert f"{sun.dusk + half_a_minute:%H:%M}" == dusk


def test_an_evening_in_dromara():
    """25 August 2004: people came at seven; 20:31 and 21:10 (BBC, times reckoned)."""
    sun = sun_times(date(2004, 8, 25), 54.38, -6.03, timezone="Europe/London")
    assert abs(seconds_from(sun.sunset, date(2004, 8, 25), "19:31:00")) < 60
    assert abs(seconds_from(sun.dusk, date(2004, 8, 25), "20:10:00")) < 90


@pytest.mark.parametrize("latitude", range(-65, 66, 5))
@pytest.mark.parametrize("name", ["dawn", "sunrise", "sunset", "dusk"])
def test_nrels_algorithm_over_the_globe(latitude, name):
    """Pvlib's SPA, asked for the sun's true height at our moments.

    Its own sunset is not asked: it answers by the day of UT (see above).
    """
    level = -50 / 60 if name in ("sunrise", "sunset") else -6.0
    days = [date(2026, 1, 3) + timedelta(days=17 * n) for n in range(22)]
    longitude = 7.5 * (latitude % 25)
    zone = timezone(timedelta(hours=round(longitude / 15)))
    found = [
        at
        for day in days
        if (at := getattr(sun_times(day, latitude, longitude, timezone=zone), name))
    ]
    assert len(found) >= 15
    heights = spa_heights(found, latitude, longitude)
    later = spa_heights(
        [at + timedelta(seconds=10) for at in found], latitude, longitude
    )
    seconds_off = (heights - level) / np.abs(later - heights) * 10
    assert np.abs(seconds_off).max() < 0.15


def spa_heights(moments, latitude, longitude):
    """Give the true heights of the sun's centre in degrees, without refraction."""
    index = pd.DatetimeIndex([at.astimezone(UTC) for at in moments])
    return spa_python(index, latitude, longitude)["elevation"].to_numpy()


def test_a_hill_in_the_west_of_belfast():
    """Two degrees of hill hide the sun some 17 to 21 minutes early in summer.

    By the centre of the sun alone, without refraction or its half width, it is 21 to
    26: the published rule of thumb of 20 to 25 minutes is of that kind.
    """
    for day, least, most in ((date(2026, 6, 21), 19, 23), (date(2026, 8, 15), 16, 18)):
        place = (day, 54.597, -5.930)
        free = sun_times(*place, timezone="Europe/London")
        hill = sun_times(*place, timezone="Europe/London", skyline_deg=2)
        minutes = (free.sunset - hill.sunset) / MINUTE
        assert least < minutes < most


def test_the_skyline_at_the_horizon_is_the_almanacs():
    assert sunset_deg(0) == pytest.approx(-50 / 60, abs=1e-12)


def test_refraction_falls_off_as_in_the_tables():
    """About 18' at 2° and 10' at 5° (usual tables, from memory)."""
    for height, minutes in ((2, 18), (5, 10)):
        bend = (height - sunset_deg(height)) * 60 - 16
        assert bend == pytest.approx(minutes, abs=0.5)
