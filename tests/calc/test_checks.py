"""Arguments without meaning are refused, and the message names them."""

import math
from fractions import Fraction

import numpy as np
import pytest

from heritage.calc._checks import (
    air_temperature,
    day_extremes,
    finite,
    fraction,
    not_negative,
    percent,
    positive,
    whole,
)

CHECKS = (finite, positive, not_negative, fraction, whole, percent, air_temperature)


@pytest.mark.parametrize("check", CHECKS)
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_refused_by_name(check, value):
    with pytest.raises(ValueError, match="depth_m must be a finite number"):
        check(value, "depth_m")


def test_a_number_too_great_for_a_float_is_refused():
    with pytest.raises(ValueError, match="pay must be a finite number"):
        finite(10**400, "pay")


@pytest.mark.parametrize("check", CHECKS)
def test_one_passes_everywhere(check):
    assert check(1, "share") == 1


@pytest.mark.parametrize("value", [0, -0.5])
def test_positive_refuses_nothing_and_less(value):
    with pytest.raises(ValueError, match="area must be above zero"):
        positive(value, "area")


def test_not_negative_takes_zero_and_refuses_less():
    assert not_negative(0, "rain") == 0.0
    with pytest.raises(ValueError, match=r"rain must not be negative, not -0\.1"):
        not_negative(-0.1, "rain")


@pytest.mark.parametrize("value", [-0.01, 1.01])
def test_fraction_keeps_between_nought_and_one(value):
    with pytest.raises(ValueError, match="share must lie from 0 to 1"):
        fraction(value, "share")
    assert fraction(Fraction(1, 4), "share") == 0.25


@pytest.mark.parametrize("value", [7, 7.0, np.int64(7), np.float64(7)])
def test_whole_gives_an_int(value):
    assert type(whole(value, "beets")) is int
    assert whole(value, "beets") == 7


def test_whole_refuses_parts_and_too_few():
    with pytest.raises(ValueError, match=r"beets must be a whole number, not 7\.5"):
        whole(7.5, "beets")
    with pytest.raises(ValueError, match="beets must be 1 or more, not 0"):
        whole(0, "beets", least=1)


def test_whole_without_a_floor_takes_debts():
    assert whole(-3, "farthings", least=None) == -3


@pytest.mark.parametrize("value", [-1, 101])
def test_percent_keeps_between_nought_and_a_hundred(value):
    with pytest.raises(ValueError, match="humidity must lie from 0 to 100 %"):
        percent(value, "humidity")


@pytest.mark.parametrize("value", [-91, 61])
def test_no_air_is_so_cold_or_hot(value):
    with pytest.raises(ValueError, match="temp_c must lie from -90 to 60 °C"):
        air_temperature(value, "temp_c")


def test_a_days_lowest_is_not_above_its_highest():
    assert day_extremes(20, 10) == (20, 10)
    with pytest.raises(ValueError, match="tmin_c must not be above tmax_c"):
        day_extremes(10, 20)
