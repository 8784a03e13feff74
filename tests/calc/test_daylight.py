"""An evening has its own light, on any day and at any latitude."""

import math
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from heritage.calc.daylight import (
    MARGIN,
    End,
    WhyItEnds,
    sun_times,
    working_window,
)
from tests.calc.strategies import days, latitudes, longitudes

BELFAST = {"latitude": 54.597, "longitude": -5.930, "timezone": "Europe/London"}
TROMSO = {"latitude": 69.65, "longitude": 18.96, "timezone": "Europe/Oslo"}
REYKJAVIK = {"latitude": 64.15, "longitude": -21.94, "timezone": "Atlantic/Reykjavik"}
GERALDINE = {"latitude": -44.09, "longitude": 171.24, "timezone": "Pacific/Auckland"}
LONDON = ZoneInfo("Europe/London")
zones = st.integers(-12, 14).map(lambda hours: timezone(timedelta(hours=hours)))


def clock(at):
    return at.strftime("%H:%M")


# --- the sun


@settings(max_examples=60, deadline=None)
@given(days, latitudes, longitudes, zones)
def test_what_happens_happens_in_order_round_noon(day, latitude, longitude, zone):
    sun = sun_times(day, latitude, longitude, timezone=zone)
    morning = [at for at in (sun.dawn, sun.sunrise) if at]
    evening = [at for at in (sun.sunset, sun.dusk) if at]
    whole = [*morning, sun.noon, *evening]
    assert whole == sorted(whole)
    assert all(sun.noon - at <= timedelta(days=1) for at in morning)
    assert all(at - sun.noon <= timedelta(days=1) for at in evening)


@settings(max_examples=60, deadline=None)
@given(days, latitudes, longitudes, zones)
@example(date(2026, 2, 11), 0, 180, UTC)
@example(date(2026, 11, 3), 0, 180, UTC)
def test_noon_is_the_one_nearest_to_the_clocks_noon(day, latitude, longitude, zone):
    """Nearest by the mean sun, from which the sun strays by up to 17 minutes.

    The equation of time is at most some 16.5 minutes (from memory).
    """
    noon = sun_times(day, latitude, longitude, timezone=zone).noon
    midday = datetime.combine(day, time(12), zone)
    after_midday = (noon - midday) / timedelta(hours=1)
    clocks_ahead = midday.utcoffset() / timedelta(hours=1) - longitude / 15
    stray = math.remainder(after_midday - clocks_ahead, 24)
    assert abs(stray) <= 17 / 60
    assert abs(after_midday - stray) <= 12 + 1e-6


@settings(max_examples=30, deadline=None)
@given(days, st.floats(-60, 60), longitudes, zones)
# Half a day out from the sun, whose noon goes over the clocks' midnight.
@example(date(2026, 4, 18), 0, 179.82230377998764, UTC)
@example(date(2026, 6, 7), 0, -0.2761187300727954, timezone(timedelta(hours=-12)))
@example(date(2026, 8, 7), 0, 1.4384150257597241, timezone(timedelta(hours=-12)))
@example(date(2026, 12, 5), 0, 87.69804707612195, timezone(timedelta(hours=-6)))
# The end of the Julian calendar, which is not Python's.
@example(date(1582, 10, 13), 54, -6, UTC)
@example(date(1500, 2, 27), 54, -6, UTC)
def test_no_sunset_is_lost_or_told_twice(day, latitude, longitude, zone):
    """Between two evenings' sunsets lies about a day, whatever the calendar does."""
    times = [
        sun_times(day + timedelta(days=n), latitude, longitude, timezone=zone)
        for n in range(3)
    ]
    assert len({sun.sunset for sun in times}) == 3
    for one, next_one in pairwise(times):
        assert abs(next_one.sunset - one.sunset - timedelta(days=1)) < timedelta(
            minutes=9
        )


def test_a_year_half_a_day_out_from_the_sun_has_a_sunset_for_every_day():
    """The sun's noon goes over the clocks' midnight and back, four times a year."""
    year = [
        sun_times(date(2026, 1, 1) + timedelta(days=n), 0, 180, timezone=UTC).sunset
        for n in range(366)
    ]
    gaps = [(late - early) / timedelta(days=1) for early, late in pairwise(year)]
    assert min(gaps) > 0.999
    assert max(gaps) < 1.001


@settings(max_examples=40, deadline=None)
@given(days, st.floats(-60, 60), longitudes, st.floats(0, 10))
# So low that it takes less than the search could once tell.
@example(date(2026, 10, 19), -27.99198997850857, 12.899179067565655, 1.39e-08)
@example(date(2026, 1, 19), -26.796810469696226, 32.1884702789344, 4.804264357e-10)
@example(date(2026, 11, 23), 37.635375360249995, 166.93315061195335, 9.4574453e-10)
def test_a_skyline_only_takes_light_away(day, latitude, longitude, skyline):
    sun = sun_times(day, latitude, longitude, timezone=UTC)
    behind = sun_times(day, latitude, longitude, timezone=UTC, skyline_deg=skyline)
    assume(behind.sunset)
    assert behind.sunrise >= sun.sunrise
    assert behind.sunset <= sun.sunset
    if sun.dusk:
        assert behind.dusk <= sun.dusk


@settings(max_examples=40, deadline=None)
@given(
    days, latitudes, longitudes, st.floats(0, 44), st.floats(0, 1e-6) | st.floats(0, 1)
)
def test_of_two_skylines_the_higher_never_gives_more_light(
    day, latitude, longitude, skyline, more
):
    """However near the two, and at any latitude."""
    low, high = (
        sun_times(day, latitude, longitude, timezone=UTC, skyline_deg=degrees)
        for degrees in (skyline, skyline + more)
    )
    for name in ("dawn", "sunrise"):
        early, late = getattr(low, name), getattr(high, name)
        assert early is None or late is None or early <= late
    for name in ("sunset", "dusk"):
        early, late = getattr(high, name), getattr(low, name)
        assert early is None or late is None or early <= late


def test_a_sunset_after_midnight_belongs_to_the_evening_before():
    sun = sun_times(date(2026, 6, 21), **REYKJAVIK)
    assert sun.sunset.date() == date(2026, 6, 22)
    assert clock(sun.sunset) == "00:04"
    assert sun.dusk is None


def test_the_last_sun_before_the_polar_day_is_over_comes_after_midnight():
    """At Tromsø on 25 July the sun sets at last, at 00:37 on the 26th."""
    sun = sun_times(date(2026, 7, 25), **TROMSO)
    assert sun.sunrise is None
    assert sun.sunset.date() == date(2026, 7, 26)


def test_in_the_polar_day_nothing_happens_but_noon():
    sun = sun_times(date(2026, 7, 5), **TROMSO)
    assert (sun.dawn, sun.sunrise, sun.sunset, sun.dusk) == (None,) * 4
    assert clock(sun.noon) == "12:48"


def test_in_the_polar_night_there_is_twilight_without_a_sun():
    sun = sun_times(date(2026, 12, 20), **TROMSO)
    assert sun.sunrise is None
    assert sun.sunset is None
    assert sun.dawn < sun.noon < sun.dusk


@pytest.mark.parametrize("latitude", [90, 89.9, -90])
def test_at_a_pole_the_sun_rises_and_sets_once_a_year(latitude):
    year = [
        sun_times(date(2024, 1, 1) + timedelta(days=n), latitude, 0, timezone=UTC)
        for n in range(366)
    ]
    for name in ("dawn", "sunrise", "sunset", "dusk"):
        assert sum(getattr(sun, name) is not None for sun in year) == 1


@pytest.mark.parametrize(
    ("name", "day", "latitude", "longitude", "hours"),
    [
        ("sunset", date(2026, 9, 24), 90, 128.0693619052111, 9),
        ("sunrise", date(2026, 3, 19), 90, -3.260368134069722, 0),
        ("sunset", date(2026, 3, 22), -90, -76.8021636338532, -5),
        ("dusk", date(2026, 10, 8), 90, -4.110783480573446, 0),
    ],
)
def test_what_a_pole_sees_once_a_year_is_not_told_of_two_days(
    name, day, latitude, longitude, hours
):
    """It comes within seconds of noon, and near an equinox a day is 20 s short."""
    zone = timezone(timedelta(hours=hours))
    week = [
        sun_times(day + timedelta(days=n), latitude, longitude, timezone=zone)
        for n in range(-3, 4)
    ]
    assert sum(getattr(sun, name) is not None for sun in week) == 1


@pytest.mark.parametrize("day", [date(2, 3, 1), date(1500, 3, 1), date(1582, 10, 10)])
def test_a_day_before_1582_is_a_day_of_our_own_calendar(day):
    """There the sun is over the equator about 21 March, as it is now."""
    assert sun_times(day, 54, 0, timezone=UTC).noon.date() == day
    sun = sun_times(date(day.year, 3, 21), 54, 0, timezone=UTC)
    assert sun.sunset - sun.sunrise == pytest.approx(
        timedelta(hours=12.2), abs=timedelta(minutes=10)
    )


def test_the_southern_summer_is_in_january():
    sun = sun_times(date(2026, 1, 25), **GERALDINE)
    assert clock(sun.sunset) == "21:10"
    assert sun.sunset.utcoffset() == timedelta(hours=13)


@pytest.mark.parametrize(
    ("day", "sunset"), [(date(2026, 10, 24), "18:04"), (date(2026, 10, 25), "17:02")]
)
def test_the_clocks_go_back_between_two_sunsets(day, sunset):
    assert clock(sun_times(day, **BELFAST).sunset) == sunset


def test_a_zone_may_be_named_or_given():
    named = sun_times(date(2026, 8, 15), **BELFAST)
    assert named == sun_times(date(2026, 8, 15), **BELFAST | {"timezone": LONDON})


def test_a_zone_far_from_the_place_still_gets_that_days_evening():
    """In UTC, Colorado's sunset of the 15th falls after midnight."""
    sun = sun_times(date(2026, 8, 15), 39.74, -105.18, timezone=UTC)
    assert sun.noon.date() == date(2026, 8, 15)
    assert sun.sunset.date() == date(2026, 8, 16)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 400, -400])
@pytest.mark.parametrize("name", ["latitude", "longitude", "skyline_deg"])
@pytest.mark.parametrize("function", [sun_times, working_window])
def test_angles_without_meaning_are_refused(function, name, value):
    asked = BELFAST | {"skyline_deg": 0} | {name: value}
    with pytest.raises(ValueError, match=f"^{name} must"):
        function(date(2026, 8, 15), **asked)


# --- the window


def why(window):
    """Return what sets the end of a window, by the clock, and how long before it."""
    end = window.why_it_ends
    return end.code, f"{end.at:%H:%M}", end.margin_min


def test_work_ends_a_quarter_of_an_hour_before_dusk():
    window = working_window(date(2026, 8, 15), **BELFAST, earliest=time(18, 30))
    assert clock(window.start) == "18:30"
    assert clock(window.end) == "21:21"
    assert window.hours == pytest.approx(2.863, abs=0.001)
    assert why(window) == (WhyItEnds.DUSK, "21:36", 15)


def test_without_a_margin_work_ends_at_dusk():
    window = working_window(
        date(2026, 8, 15), **BELFAST, earliest=time(18, 30), margin=timedelta(0)
    )
    assert window.end == sun_times(date(2026, 8, 15), **BELFAST).dusk
    assert why(window) == (WhyItEnds.DUSK, "21:36", 0)


def test_the_clock_ends_work_before_the_light_does():
    window = working_window(
        date(2026, 8, 15), **BELFAST, earliest=time(18, 30), latest=time(21)
    )
    assert window.hours == 2.5
    assert window.why_it_ends == End(WhyItEnds.LATEST_TIME, time(21))


def test_the_light_ends_work_before_the_clock_does():
    window = working_window(
        date(2026, 10, 1), **BELFAST, earliest=time(18), latest=time(21)
    )
    assert why(window) == (WhyItEnds.DUSK, "19:35", 15)


def test_a_skyline_brings_the_end_forward_and_says_so():
    window = working_window(
        date(2026, 8, 15), **BELFAST, earliest=time(18, 30), skyline_deg=2
    )
    assert clock(window.end) == "21:05"
    assert why(window) == (WhyItEnds.DUSK_BEHIND_SKYLINE, "21:20", 15)


def test_a_whole_day_runs_from_first_light_to_last():
    window = working_window(date(2026, 8, 15), **BELFAST)
    sun = sun_times(date(2026, 8, 15), **BELFAST)
    assert window.start - sun.dawn == MARGIN
    assert sun.dusk - window.end == MARGIN


def test_nobody_starts_in_the_dark_however_early_they_come():
    window = working_window(date(2026, 10, 1), **BELFAST, earliest=time(5))
    assert clock(window.start) == "07:05"


def test_an_evening_after_dark_is_no_window():
    assert working_window(date(2026, 10, 1), **BELFAST, earliest=time(20)) is None


def test_the_polar_night_has_no_window():
    svalbard = {"latitude": 78.2, "longitude": 15.6, "timezone": "Europe/Oslo"}
    assert working_window(date(2026, 12, 20), **svalbard, earliest=time(11)) is None


def test_where_it_does_not_get_dark_the_day_ends_the_work():
    window = working_window(date(2026, 7, 5), **TROMSO, earliest=time(18))
    assert window.hours == 6
    assert window.why_it_ends == End(WhyItEnds.NO_DARK)


def test_first_light_is_midnight_where_there_was_no_dark():
    window = working_window(date(2026, 7, 5), **TROMSO, latest=time(2))
    assert window.hours == 2
    assert clock(window.start) == "00:00"


def test_a_latest_before_the_earliest_is_past_midnight():
    window = working_window(
        date(2026, 7, 5), **TROMSO, earliest=time(20), latest=time(1)
    )
    assert window.hours == 5
    assert window.end.date() == date(2026, 7, 6)
    assert window.why_it_ends == End(WhyItEnds.LATEST_TIME, time(1))


@pytest.mark.parametrize(
    ("day", "latitude", "hours"),
    [(date(2026, 3, 29), 88, 11), (date(2026, 10, 25), -85, 13)],
)
def test_hours_are_hours_on_the_day_the_clocks_change(day, latitude, hours):
    """From midnight to noon on London's clocks, where the sun is up all night."""
    place = {"latitude": latitude, "longitude": 0, "timezone": "Europe/London"}
    window = working_window(day, **place, earliest=time(0), latest=time(12))
    assert window.hours == hours


@settings(max_examples=60, deadline=None)
@given(
    days,
    latitudes,
    st.none() | st.times(),
    st.none() | st.times(),
    st.integers(0, 60),
    st.floats(0, 5),
)
def test_a_window_is_lit_and_within_the_clock(
    day, latitude, earliest, latest, minutes, skyline
):
    margin = timedelta(minutes=minutes)
    window = working_window(
        day,
        latitude,
        0,
        timezone=UTC,
        earliest=earliest,
        latest=latest,
        margin=margin,
        skyline_deg=skyline,
    )
    assume(window)
    sun = sun_times(day, latitude, 0, timezone=UTC, skyline_deg=skyline)
    assert window.start < window.end
    assert window.hours > 0
    assert sun.dawn is None or window.start >= sun.dawn + margin
    assert sun.dusk is None or window.end <= sun.dusk - margin
    assert window.start >= datetime.combine(day, earliest or time(0), UTC)


@settings(max_examples=40, deadline=None)
@given(days, st.floats(-60, 60), st.integers(0, 30), st.integers(0, 30))
def test_a_wider_margin_never_gives_more_light(day, latitude, one, more):
    def hours(minutes):
        margin = timedelta(minutes=minutes)
        found = working_window(day, latitude, 0, timezone=UTC, margin=margin)
        return found.hours if found else 0

    assert hours(one + more) <= hours(one)


@pytest.mark.parametrize("margin", [timedelta(minutes=-1), timedelta.max])
def test_a_margin_below_nothing_or_of_days_is_refused(margin):
    with pytest.raises(ValueError, match="margin must lie from nought to 12 hours"):
        working_window(date(2026, 8, 15), **BELFAST, margin=margin)


class NoZone(tzinfo):
    """A zone that was never set."""

    def utcoffset(self, _moment):
        return None


@pytest.mark.parametrize("function", [sun_times, working_window])
@pytest.mark.parametrize("zone", ["", "Mars/Base", "../etc", "Europe", None, NoZone()])
def test_a_zone_unset_or_unknown_is_refused_by_name(function, zone):
    """Never taken for the machine's own."""
    with pytest.raises(ValueError, match=r"^timezone must be a known time zone, not "):
        function(date(2026, 8, 15), **BELFAST | {"timezone": zone})


@pytest.mark.parametrize("function", [sun_times, working_window])
@pytest.mark.parametrize("day", [date.min, date(6001, 1, 1), date.max])
def test_a_day_that_the_suns_theory_does_not_reach_is_refused(function, day):
    with pytest.raises(ValueError, match=r"^day must lie from the year 2 to 6000"):
        function(day, **BELFAST)
