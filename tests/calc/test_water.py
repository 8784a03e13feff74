"""What a dam's water can do between two readings."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.water import (
    SUN_C_AN_HOUR,
    could_be_fahrenheit,
    most_change,
    to_celsius,
)


def test_the_sun_warms_half_a_metre_of_water_so_fast_and_no_faster():
    """1000 W/m² (ASTM G173, about) into 0.5 m of water of 4186 J/(kg K), 1000 kg/m³."""
    an_hour = 1000 * 3600 / (0.5 * 1000 * 4186)
    assert pytest.approx(an_hour, rel=0.02) == SUN_C_AN_HOUR


def test_fifty_eight_after_seventeen_in_eleven_hours_is_asked_about():
    assert most_change(11) < 58 - 16.9


@pytest.mark.parametrize(
    ("change", "hours"),
    # A dam that is read in the shade and in the sun; a July afternoon; a cold week.
    [(2.5, 0), (6, 6), (9, 12), (14, 24 * 5)],
)
def test_what_dams_do_is_not_asked_about(change, hours):
    assert change <= most_change(hours)


@given(st.floats(0, 1000), st.floats(0, 1000))
def test_more_time_allows_more_change(one, other):
    less, more = sorted((one, other))
    assert most_change(less) <= most_change(more)


def test_time_does_not_run_backwards():
    with pytest.raises(ValueError, match="hours"):
        most_change(-1)


def test_fahrenheit_by_its_fixed_points():
    """Water freezes at 32 °F and boils at 212 °F, by definition."""
    assert (to_celsius(32), to_celsius(212)) == (0, pytest.approx(100))


@pytest.mark.parametrize(
    ("temp", "asked"), [(58, True), (36, True), (35, False), (16.9, False), (99, False)]
)
def test_a_number_that_would_do_in_fahrenheit(temp, asked):
    assert could_be_fahrenheit(temp) is asked
