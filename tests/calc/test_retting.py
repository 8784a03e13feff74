"""The ret's rate, its progress over a log, and the forecast's promises."""

import math
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.reasons import Reason
from heritage.calc.retting import (
    NO_DATE_BELOW_C,
    Band,
    KnownBy,
    Reading,
    RetModel,
    RetWarning,
    curve,
    days_at,
    dew_days,
    dew_progress,
    dew_state,
    evenings_only,
    forecast,
    pond_temperature,
    progress,
    rate,
    scatter,
    time_between_tests,
    without_swing,
)
from tests.calc.strategies_water import (
    STEEPED,
    any_waters,
    days_band,
    logs,
    rising_times,
    waters,
)

NEAR = pytest.approx
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
LONDON = ZoneInfo("Europe/London")
# The normal's ninth decile, by any table.
NINE_IN_TEN = 1.2815515655


def log_of(*temps, every=12 * HOUR, start=STEEPED):
    """Return readings at even times from the start."""
    return [Reading(start + n * every, temp) for n, temp in enumerate(temps)]


def split(log):
    """Return a log as its times and its temperatures."""
    return [at for at, _ in log], [temp for _, temp in log]


# The rate


@given(any_waters, any_waters)
def test_warmer_water_never_rets_slower(one, other):
    cool, warm = sorted((one, other))
    assert 0 < rate(cool) <= rate(warm) <= rate(33.0)


@given(waters)
def test_the_length_is_one_over_the_rate(temp):
    assert days_at(temp) * rate(temp) == NEAR(1.0)
    band, reach = days_band(temp), math.exp(NINE_IN_TEN * scatter(mean_c=temp))
    assert (band.low, band.likely, band.high) == NEAR(
        (days_at(temp) / reach, days_at(temp), reach * days_at(temp))
    )


def test_rates_come_back_in_the_shape_they_were_asked():
    assert isinstance(rate(20.0), float)
    assert rate(np.full((2, 3), 20.0)).shape == (2, 3)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_temperature_that_is_no_number_is_refused(value):
    with pytest.raises(ValueError, match="temp_c must be a finite number"):
        rate([15.0, value])
    with pytest.raises(ValueError, match="temp_c must be a finite number"):
        days_at(value)


@pytest.mark.parametrize("value", [-273.2, -5.1, 60.1, 451.0])
def test_a_temperature_of_no_water_in_the_open_is_refused(value):
    with pytest.raises(ValueError, match=r"^temp_c must lie from -5 to 60 °C"):
        rate([15.0, value])


def test_colder_than_six_degrees_there_is_no_length():
    with pytest.raises(ValueError, match="no length of ret can be told"):
        days_at(5.9)
    assert days_at(NO_DATE_BELOW_C) > 20


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"days_at_20": 0.0}, "days_at_20 must be above zero"),
        ({"q10": 1.0}, "q10 must be above 1"),
        ({"cap_c": math.nan}, "cap_c must be a finite number"),
        ({"sigma": -0.1}, "sigma must not be negative"),
    ],
)
def test_settings_without_meaning_are_refused(settings, message):
    with pytest.raises(ValueError, match=message):
        RetModel(**settings)


# Progress


@given(logs(temps=any_waters))
def test_progress_starts_at_nought_and_always_rises(log):
    behind = progress(*split(log))
    assert behind[0] == 0
    assert (np.diff(behind) > 0).all()


@given(logs(least=3), st.data())
def test_progress_adds_up_over_any_cut(log, data):
    cut = data.draw(st.integers(1, len(log) - 2))
    whole = progress(*split(log))[-1]
    parts = progress(*split(log[: cut + 1]))[-1] + progress(*split(log[cut:]))[-1]
    assert parts == NEAR(whole)


@given(logs(least=2))
def test_steady_steps_are_never_behind_the_rate_of_the_mean(log):
    """The curve bends upwards, so swings about a mean only hasten the ret."""
    temps = np.array([temp for _, temp in log])
    times = [STEEPED + n * HOUR for n in range(temps.size)]
    behind = progress(times, temps)[-1]
    mean = np.trapezoid(temps) / (temps.size - 1)
    assert behind >= rate(float(mean)) * (temps.size - 1) / 24 * (1 - 1e-12)


@given(rising_times(least=2))
def test_many_dams_at_once_are_as_one_by_one(times):
    dams = np.linspace(12.0, 30.0, 3 * len(times)).reshape(3, len(times))
    together = progress(times, dams)
    assert together.shape == dams.shape
    for row, temps in zip(together, dams, strict=True):
        assert row == NEAR(progress(times, temps))


def test_progress_counts_hours_not_the_clock_on_the_wall():
    """On the night the clocks go back, six o'clock is an hour further away."""
    times = [
        datetime(2026, 10, 24, 18, 0, tzinfo=LONDON),
        datetime(2026, 10, 25, 18, 0, tzinfo=LONDON),
    ]
    assert progress(times, [15.0, 15.0])[-1] == NEAR(25 / 24 * rate(15.0))


@pytest.mark.parametrize(
    ("times", "message"),
    [
        ([], "at least one time"),
        ([STEEPED, STEEPED], "must strictly rise"),
        ([STEEPED, STEEPED - HOUR], "must strictly rise"),
        ([STEEPED, datetime(2026, 8, 21)], "must be aware"),  # noqa: DTZ001
    ],
)
def test_times_out_of_order_or_naive_are_refused(times, message):
    with pytest.raises(ValueError, match=message):
        progress(times, [15.0] * len(times))


def test_every_time_wants_its_temperature():
    with pytest.raises(ValueError, match="one value for each of the 2 times"):
        progress([STEEPED, STEEPED + HOUR], [15.0, 15.0, 15.0])


# The forecast


@given(logs(), waters)
def test_the_dates_keep_their_order_and_the_log_its_progress(log, ahead):
    told = forecast(log, ahead)
    assert told.progress == NEAR(progress(*split(log))[-1])
    assert told.early < told.likely < told.late
    assert log[0].at < told.first_test <= log[0].at + 4 * DAY


@given(waters)
def test_in_steady_water_the_likely_day_is_the_length(temp):
    told = forecast(log_of(temp), temp)
    reach = math.exp(NINE_IN_TEN * scatter(mean_c=temp))
    for date, days in zip(
        (told.early, told.likely, told.late),
        (days_at(temp) / reach, days_at(temp), reach * days_at(temp)),
        strict=True,
    ):
        assert (date - STEEPED) / DAY == NEAR(days)


@given(logs(), st.floats(12.0, 30.0), st.floats(0.0, 3.0))
def test_warmer_water_ahead_is_never_later(log, ahead, warmer):
    assert forecast(log, ahead + warmer).likely <= forecast(log, ahead).likely


@given(logs(), logs(least=2))
def test_the_forecast_comes_true_when_its_outlook_does(log, later):
    """Water that turns out as expected leaves the dates where they stood."""
    shift = log[-1].at - later[0].at + 3 * HOUR
    outlook = [Reading(at + shift, temp) for at, temp in later]
    before, after = forecast(log, outlook), forecast(log + outlook[:1], outlook)
    assert abs(after.likely - before.likely) < timedelta(seconds=1)
    assert abs(after.late - before.late) < timedelta(seconds=1)


@given(logs(), logs())
def test_the_curve_crosses_one_on_the_forecast_dates(log, later):
    """Drawn straight from hour to hour, it does so within a quarter of an hour."""
    shift = log[-1].at - later[0].at + 3 * HOUR
    outlook = [Reading(at + shift, temp) for at, temp in later]
    told, drawn = forecast(log, outlook), curve(log, outlook)
    hours = [(at - log[0].at) / HOUR for at in drawn.times]
    assert (np.diff(drawn.progress) >= 0).all()
    assert drawn.measured_until == log[-1].at
    for line, date in ((drawn.fast, told.early), (drawn.progress, told.likely)):
        assert np.interp(1.0, line, hours) == NEAR((date - log[0].at) / HOUR, abs=0.25)
    assert drawn.slow[-1] >= 1 - 1e-9


def test_the_curve_follows_the_log_point_by_point():
    log = log_of(14.0, 18.0, 12.0, 22.0, every=6 * HOUR)
    drawn = curve(log, 15.0, step=6 * HOUR)
    assert drawn.progress[:4] == NEAR(progress(*split(log)))


def test_the_outlook_is_joined_to_the_log_and_its_last_value_held():
    log = log_of(16.0, 16.0)
    outlook = [Reading(STEEPED + DAY, 20.0)]
    told = forecast(log, outlook)
    through = progress([STEEPED, STEEPED + DAY / 2, STEEPED + DAY], [16.0, 16.0, 20.0])[
        -1
    ]
    assert (told.likely - STEEPED) / DAY == NEAR(1 + (1 - through) / rate(20.0))


def test_an_outlook_already_overtaken_is_passed_over():
    log = log_of(16.0, 16.0)
    stale = [Reading(STEEPED, 30.0), Reading(STEEPED + DAY / 2, 30.0)]
    assert forecast(log, stale) == forecast(log)


def test_a_start_before_the_first_reading_counts():
    later = log_of(16.0, 17.0, start=STEEPED + 10 * HOUR)
    told = forecast(later, 16.0, started=STEEPED)
    whole = [Reading(STEEPED, 16.0), *later]
    assert told == forecast(whole, 16.0)
    assert forecast(whole, 16.0, started=STEEPED) == told


@pytest.mark.parametrize(
    ("started", "message"),
    [
        (STEEPED + HOUR, "started must not be after the first reading"),
        (datetime(2026, 8, 20), "started must be aware"),  # noqa: DTZ001
    ],
)
def test_a_start_that_cannot_be_is_refused(started, message):
    with pytest.raises(ValueError, match=message):
        forecast(log_of(15.0), 15.0, started=started)


def test_a_forecast_without_a_reading_is_refused():
    with pytest.raises(ValueError, match="at least one reading"):
        forecast([], 15.0)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_readings_and_outlooks_that_are_no_numbers_are_refused(value):
    with pytest.raises(ValueError, match="temp_c must be a finite number"):
        forecast(log_of(15.0, value), 15.0)
    with pytest.raises(ValueError, match="temp_c must be a finite number"):
        forecast(log_of(15.0), log_of(value, start=STEEPED + DAY))
    with pytest.raises(ValueError, match="outlook must be a finite number"):
        forecast(log_of(15.0), value)


def test_dates_come_back_in_the_logs_own_time_zone():
    told = forecast(log_of(15.0, start=STEEPED.astimezone(LONDON)), 15.0)
    assert told.likely.tzinfo is LONDON
    assert told.first_test == STEEPED + 4 * DAY


def test_over_the_change_of_the_clocks_a_day_is_24_hours():
    start = datetime(2026, 10, 24, 18, 0, tzinfo=LONDON)
    told = forecast(log_of(15.0, start=start), 15.0)
    assert told.first_test.astimezone(UTC) == start.astimezone(UTC) + 4 * DAY


def test_in_warm_water_the_first_test_comes_before_the_fourth_day():
    told = forecast(log_of(28.0), 28.0)
    assert (told.first_test - STEEPED) / DAY == NEAR(0.55 * days_at(28.0))


# The scatter


@pytest.mark.parametrize(
    ("known_by", "mean", "sigma"),
    [
        ("thermometer", None, 0.30),
        ("thermometer", 14.0, 0.30),
        ("thermometer", 12.0, 0.384),
        ("air", 20.0, 0.32),
        ("season", None, 0.34),
        ("season", 12.0, 0.416),
    ],
)
def test_the_scatter_follows_how_the_warmth_is_known(known_by, mean, sigma):
    """Worked out beforehand from twelve Irish reports; the cold is judgement."""
    assert scatter(known_by, mean_c=mean) == NEAR(sigma, abs=0.0005)


def test_the_irish_reports_leave_what_the_unknown_warmth_does_not_explain():
    """0.34 less 1.5 °C of unknown warmth and the rounding to days is 0.32 or less."""
    warmth = math.log(2.1) / 10 * 1.5
    assert math.sqrt(0.34**2 - warmth**2 - 0.05**2) == NEAR(0.317, abs=0.001)
    assert math.hypot(0.30, warmth) == NEAR(scatter("air"), abs=0.0005)


@given(waters, st.sampled_from(KnownBy))
def test_what_is_known_less_well_is_never_told_closer(temp, known_by):
    told, sure = days_band(temp, known_by=known_by), days_band(temp)
    assert told.low <= sure.low
    assert sure.high <= told.high
    assert told.likely == sure.likely


def test_a_cold_ret_has_a_wider_window_than_a_warm_one():
    warm, cold = (forecast(log_of(temp), temp) for temp in (15.0, 12.0))
    assert warm.sigma == 0.30
    assert cold.sigma == NEAR(0.384, abs=0.0005)
    assert (cold.late - STEEPED) / (cold.likely - STEEPED) > 1.6


def test_the_mean_is_that_of_the_water_until_the_likely_day():
    """Cold at first and warm ahead: by the likely day the mean has risen."""
    log = log_of(*[12.0] * 3)
    assert forecast(log, 12.0).sigma > forecast(log, 18.0).sigma > 0.30 - 1e-12


def simulated(sigma, mean_c, known_by, *, off=0.0, runs=4000):
    """Return how often a batch was ready inside the range, as it was made."""
    chance = np.random.default_rng(7)
    factors = np.exp(sigma * chance.standard_normal(runs))
    errors = off * chance.standard_normal(runs)
    days = factors / rate(mean_c + errors)
    band = days_band(mean_c, known_by=known_by)
    return float(np.mean((band.low <= days) & (days <= band.high)))


@pytest.mark.parametrize(
    ("known_by", "off"),
    [(KnownBy.THERMOMETER, 0.0), (KnownBy.AIR, 1.5), (KnownBy.SEASON, 2.0)],
)
def test_four_batches_in_five_fall_inside_the_range(known_by, off):
    """Under its own model: lognormal batches of 0.30, and water known so well."""
    assert 0.78 <= simulated(0.30, 18.0, known_by, off=off) <= 0.82


def test_the_range_misses_where_its_model_is_wrong():
    """Steadier batches are caught more often, wilder ones less; both are possible."""
    assert 0.93 <= simulated(0.20, 18.0, "thermometer") <= 0.97
    assert 0.65 <= simulated(0.40, 18.0, "thermometer") <= 0.70
    assert 0.70 <= simulated(0.30, 18.0, "thermometer", off=1.5) <= 0.80


# How often


@pytest.mark.parametrize(
    ("behind", "temp", "hours"),
    [
        (0.5, 12.0, 24),
        (0.5, 20.0, 18),
        (0.8, 12.0, 12),
        (0.9, 32.0, 24 * 0.1 / rate(32.0)),
        (1.0, 12.0, 6),
    ],
)
def test_tests_come_closer_as_the_ret_ripens(behind, temp, hours):
    assert time_between_tests(behind, temp) / HOUR == NEAR(hours)


def test_once_the_working_has_died_down_a_test_is_due_every_six_hours():
    """Flax Society of Ireland (1846): every six hours once fermentation subsides."""
    assert time_between_tests(0.3, 16.0, died_down=True) == 6 * HOUR
    told = forecast(log_of(16.0, 16.0), 16.0, died_down=True)
    assert told.test_every == 6 * HOUR
    assert told.warnings == (
        Reason(RetWarning.ONCE_A_DAY_IS_TOO_FEW, {"test_every": 6}),
    )


@given(st.floats(0, 2), st.floats(0, 2), any_waters)
def test_further_on_never_means_seldomer(one, other, temp):
    near, far = sorted((one, other))
    assert time_between_tests(far, temp) <= time_between_tests(near, temp)


def test_the_interval_is_set_by_the_last_days_mean():
    swinging = log_of(30.0, 10.0, 30.0, every=12 * HOUR)
    assert forecast(swinging, 20.0).test_every / HOUR == NEAR(18.0)
    early_heat = log_of(30.0, 20.0, 20.0, 20.0, every=12 * HOUR)
    assert forecast(early_heat, 20.0).test_every / HOUR == NEAR(18.0)


# Warnings


def warned(*temps, ahead=15.0, every=12 * HOUR, **settings):
    """Return the warnings of a log, each code with its figures."""
    told = forecast(log_of(*temps, every=every), ahead, **settings)
    return {warning.code: warning.figures for warning in told.warnings}


def test_good_water_and_a_full_log_need_no_warning():
    assert warned(15.0, 16.0, 15.0) == {}


@pytest.mark.parametrize(
    ("coldest", "code", "below"),
    [
        (11.9, RetWarning.COLD, 12),
        (8.0, RetWarning.COLD, 12),
        (7.9, RetWarning.FAR_TOO_COLD, 8),
        (6.0, RetWarning.FAR_TOO_COLD, 8),
        (5.9, RetWarning.NO_DATE, 6),
    ],
)
def test_cold_water_is_warned_of_behind_and_ahead(coldest, code, below):
    figures = {"coldest": coldest, "below": below}
    assert warned(coldest, 15.0)[code] == figures
    assert warned(15.0, ahead=coldest)[code] == figures


def test_water_too_cold_ahead_gives_no_date():
    told = forecast(log_of(15.0, 15.0), 5.0)
    assert (told.early, told.likely, told.late) == (None, None, None)
    assert told.first_test == STEEPED + 4 * DAY
    drawn = curve(log_of(15.0, 15.0), 5.0)
    assert drawn.times[-1] == drawn.measured_until == STEEPED + DAY / 2


def test_dates_before_the_cold_still_stand():
    outlook = log_of(*[20.0] * 7, 4.0, every=DAY, start=STEEPED + DAY)
    told = forecast(log_of(20.0), outlook)
    assert (told.early - STEEPED) / DAY == NEAR(7.5 * math.exp(-NINE_IN_TEN * 0.3))
    assert told.likely is None, "it would fall half a day after the cold sets in"
    assert told.late is None
    assert curve(log_of(20.0), outlook).times[-1] == STEEPED + 7 * DAY


@pytest.mark.parametrize(
    ("warmest", "code", "figures"),
    [
        (33.1, RetWarning.NO_FASTER, {"warmest": 33.1, "above": 33}),
        (40.1, RetWarning.TOO_HOT, {"warmest": 40.1}),
    ],
)
def test_hot_water_is_warned_of(warmest, code, figures):
    assert warned(15.0, warmest)[code] == figures
    assert warned(15.0, ahead=warmest)[code] == figures


def test_at_the_cap_itself_nothing_is_said_of_heat():
    assert RetWarning.NO_FASTER not in warned(33.0)


def test_a_gap_in_the_log_is_named_by_its_length():
    gap, shorter = 36 * HOUR, 30 * HOUR
    assert warned(15.0, 15.0, every=gap)[RetWarning.GAP] == {"hours": 36}
    assert warned(15.0, 15.0, every=shorter) == {}
    found = warned(15.0, 15.0, every=shorter, longest_gap=24 * HOUR)
    assert found[RetWarning.GAP] == {"hours": 30}


def test_a_start_long_before_the_first_reading_is_a_gap():
    found = warned(15.0, started=STEEPED - 40 * HOUR)
    assert found[RetWarning.GAP] == {"hours": NEAR(40)}


def test_a_log_of_evenings_alone_is_said_to_overstate():
    assert RetWarning.EVENINGS_ONLY in warned(15.0, 16.0, 15.0, every=DAY)
    assert RetWarning.EVENINGS_ONLY not in warned(15.0, 16.0, 15.0)
    assert RetWarning.EVENINGS_ONLY not in warned(15.0, 16.0, every=HOUR)


def test_the_start_of_a_ret_is_no_reading():
    """Steeped in the evening and read in two mornings: nothing is overstated."""
    morning = log_of(15.0, 15.0, every=DAY, start=STEEPED + 12 * HOUR)
    told = forecast(morning, 15.0, started=STEEPED)
    assert RetWarning.EVENINGS_ONLY not in {each.code for each in told.warnings}


def test_evenings_alone_overstate_by_nearly_a_tenth():
    """Water 1.5 °C up and down about 18 °C, warmest at five, read two hours later."""
    at = [STEEPED + n * HOUR for n in range(241)]
    temps = [18 + 1.5 * math.cos((n + 2.5) * math.pi / 12) for n in range(241)]
    true = progress(at, temps)[-1]
    assert progress(at[::24], temps[::24])[-1] / true == NEAR(1.09, abs=0.01)


def test_without_its_swing_a_log_of_evenings_is_near_the_truth():
    """Of the swing it is made for; half as much again or none leaves some 4 %."""
    at = [datetime(2026, 8, 20, 19, 30, tzinfo=UTC) + n * HOUR for n in range(241)]
    for swing, off in ((1.5, 0.0), (0.75, -0.045), (2.25, 0.04)):
        temps = [18 + swing * math.cos((n + 2.5) * math.pi / 12) for n in range(241)]
        log = without_swing(
            [Reading(*one) for one in zip(at, temps, strict=True)][::24]
        )
        told = progress(*split(log))[-1] / progress(at, temps)[-1]
        assert told - 1 == NEAR(off, abs=0.01)
    assert evenings_only(at[::24])
    assert not evenings_only(at[:1])
    assert not evenings_only(at[::6])


def test_no_gap_is_seen_in_the_outlook():
    outlook = [Reading(STEEPED + 5 * DAY, 15.0)]
    assert forecast(log_of(15.0), outlook).warnings == ()


def test_past_the_likely_day_it_says_so_and_asks_for_six_hours():
    log = log_of(*[20.0] * 17)
    told = forecast(log, 20.0)
    assert told.progress > 1
    assert told.likely < log[-1].at
    assert told.warnings[0] == Reason(RetWarning.PAST_LIKELY, {"test_every": 6})
    assert told.test_every == 6 * HOUR


def test_warm_water_wants_more_than_an_evening_look():
    assert RetWarning.ONCE_A_DAY_IS_TOO_FEW in warned(24.0, ahead=24.0)


def test_without_an_outlook_the_last_days_mean_is_held_and_said():
    told = forecast(log_of(12.0, 16.0, 18.0, 14.0))
    assert told.warnings == (Reason(RetWarning.NO_OUTLOOK, {"temp_c": NEAR(16.5)}),)
    assert told.likely == forecast(log_of(12.0, 16.0, 18.0, 14.0), 16.5).likely


@pytest.mark.parametrize("step", [timedelta(0), -HOUR])
def test_a_curve_needs_a_step_forwards(step):
    with pytest.raises(ValueError, match="step must be above nought"):
        curve(log_of(15.0), step=step)


# The pond


@given(st.lists(st.floats(-5, 30), min_size=1, max_size=60), st.floats(0.3, 2.0))
def test_the_pond_stays_within_what_the_air_has_done(air, depth):
    water = pond_temperature(air, depth_m=depth, offset_c=1.5)
    assert water.shape == (len(air),)
    assert (water >= min(air) + 1.5 - 1e-9).all()
    assert (water <= max(air) + 1.5 + 1e-9).all()


@given(st.floats(0.3, 2.0), st.floats(5.0, 25.0))
def test_the_pond_nears_the_air_without_overshooting(depth, start):
    water = pond_temperature([15.0] * 40, depth_m=depth, start_c=start, offset_c=0.0)
    gaps = np.abs(np.append(start, water) - 15.0)
    assert (np.diff(gaps) <= 1e-12).all()
    assert gaps[-1] <= abs(start - 15.0) * math.exp(-40 * 0.6 / depth) + 1e-9


def test_a_deeper_pond_follows_more_slowly():
    shallow, deep = (
        pond_temperature([20.0], depth_m=depth, start_c=10.0)[0] for depth in (0.5, 2.0)
    )
    assert 10.0 < deep < shallow < 21.5


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"depth_m": 0.0}, "depth_m must be above zero"),
        ({"depth_m": 1.0, "metres_per_day": 0.0}, "metres_per_day must be above"),
        ({"depth_m": 1.0, "start_c": math.nan}, "start_c must be a finite number"),
        ({"depth_m": 1.0, "offset_c": math.inf}, "offset_c must be a finite number"),
    ],
)
def test_a_pond_that_cannot_be_is_refused(settings, message):
    with pytest.raises(ValueError, match=message):
        pond_temperature([15.0], **settings)


def test_air_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="air_c must be a finite number"):
        pond_temperature([15.0, math.nan], depth_m=1.0)


# On the grass


@given(st.lists(st.tuples(st.floats(0, 28), st.booleans()), min_size=1, max_size=60))
def test_dew_progress_always_rises_and_damp_days_help_more(days):
    air, damp = zip(*days, strict=True)
    behind = dew_progress(air, damp)
    assert (np.diff(behind, prepend=0.0) > 0).all()
    assert behind[-1] <= dew_progress(air, [True] * len(air))[-1] + 1e-12


@given(st.floats(5, 28))
def test_steady_dew_is_ready_when_its_length_is_up(air):
    days = math.ceil(dew_days(air).likely)
    behind = dew_progress([air] * days, [True] * days)
    assert behind[-1] >= 1 - 1e-9
    assert behind[-2] < 1


def test_dry_days_count_a_quarter():
    assert dew_days(18.0) == Band(0.6 * 28, 28.0, 56.0)
    assert dew_days(18.0, damp_share=0.0).likely == 4 * 28.0
    assert dew_progress([18.0], [False])[0] == NEAR(1 / (4 * 28))


@given(st.lists(st.tuples(st.floats(2, 30), st.booleans()), min_size=1, max_size=90))
def test_a_dew_ret_is_tested_from_half_way_and_each_day_near_its_end(days):
    air, damp = zip(*days, strict=True)
    state = dew_state(air, damp)
    assert state.days == len(days)
    assert state.is_test_time == (state.progress >= 0.5)
    assert state.test_every_days == (1 if state.progress >= 0.6 else 3)
    assert 0 <= state.left.low <= state.left.likely <= state.left.high


def test_the_days_left_of_a_dew_ret_go_on_as_those_before():
    state = dew_state([18.0] * 14, [True] * 14)
    assert state.progress == NEAR(0.5)
    assert state.is_test_time
    assert state.left.low == NEAR(0.1 * 28)
    assert state.left.likely == NEAR(14)
    assert state.left.high == NEAR(1.5 * 28)
    past = dew_state([18.0] * 30, [True] * 30)
    assert (past.left.low, past.left.likely) == (0, 0)


def test_no_day_tells_nothing_of_a_dew_ret():
    with pytest.raises(ValueError, match="air_c must hold one day or more"):
        dew_state([], [])


def test_dew_wants_a_damp_for_every_day_and_numbers():
    with pytest.raises(ValueError, match="one answer for each day"):
        dew_progress([15.0, 15.0], [True])
    with pytest.raises(ValueError, match="air_c must be a finite number"):
        dew_progress([math.nan], [True])
    with pytest.raises(ValueError, match="damp_share must lie from 0 to 1"):
        dew_days(15.0, damp_share=1.5)
