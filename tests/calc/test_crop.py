"""The crop's dates follow its heat, and three anchors are never mixed up."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc._band import Band
from heritage.calc.crop import (
    DAYS_TO_PULL,
    DAYS_TO_PULL_FINE,
    CropProfile,
    Dates,
    DayHeat,
    PullWindow,
    crop_dates,
    pull_window,
    pull_window_by_heat,
    thermal_time,
)
from tests.calc.strategies import days, temperatures_c

SOWN = date(2026, 4, 20)
NEVER = Dates(None, None, None)
extremes = st.tuples(temperatures_c, temperatures_c).map(sorted)


def season(length, low=8, high=18, start=SOWN):
    return [DayHeat(start + timedelta(days=n), low, high) for n in range(length)]


def test_a_day_counts_for_its_mean_above_the_base():
    assert thermal_time(10, 20, 5) == 10
    assert thermal_time([10, -5], [20, 5], 5).tolist() == [10, 0]


@given(extremes, st.floats(0, 10), st.floats(0, 10))
def test_a_higher_base_never_counts_for_more(day, one, other):
    low, high = sorted((one, other))
    assert 0 <= thermal_time(*day, high) <= thermal_time(*day, low)


@given(extremes, st.floats(0, 10), st.floats(0, 5))
def test_a_warmer_day_never_counts_for_less(day, base, more):
    low, high = day
    assert thermal_time(low, high + more, base) >= thermal_time(low, high, base)


@given(st.lists(extremes, max_size=20), st.floats(0, 10))
def test_a_row_of_days_is_each_day_by_itself(row, base):
    lows, highs = [day[0] for day in row], [day[1] for day in row]
    each = [thermal_time(*day, base) for day in row]
    assert thermal_time(lows, highs, base).tolist() == each


def test_stages_fall_on_the_first_day_by_whose_end_the_heat_is_there():
    """At 13 °C a day gives 11 over 2 °C and 8 over 5 °C."""
    found = crop_dates(SOWN, season(130))
    assert found.emergence.likely == SOWN + timedelta(days=7)  # 80 / 11 = 7.3
    assert found.flower_start.likely == SOWN + timedelta(days=68)  # 550 / 8 = 68.75
    assert found.ready.likely == SOWN + timedelta(days=106)  # 850 / 8 = 106.25
    assert found.ready.late == SOWN + timedelta(days=124)  # 1000 / 8 = 125, just
    assert found.heat == 130 * 8


def test_stages_beyond_the_temperatures_are_not_guessed():
    found = crop_dates(SOWN, season(40))
    assert found.emergence.late is not None
    assert found.flower_start == found.ready == NEVER
    assert found.ready_by_calendar.likely == SOWN + timedelta(days=100)


def test_without_any_temperatures_only_the_calendar_speaks():
    found = crop_dates(SOWN, [])
    assert found.emergence == NEVER
    assert found.heat == 0
    assert found.ready_by_calendar == Dates(
        date(2026, 7, 19), date(2026, 7, 29), date(2026, 8, 23)
    )


def test_days_before_the_sowing_do_not_count():
    early = season(150, start=SOWN - timedelta(days=20))
    assert crop_dates(SOWN, early) == crop_dates(SOWN, season(130))


def test_deep_seed_comes_up_later():
    deep = crop_dates(SOWN, season(130), CropProfile(depth_cm=3))
    assert deep.emergence.likely > crop_dates(SOWN, season(130)).emergence.likely
    assert deep.flower_start == crop_dates(SOWN, season(130)).flower_start


@given(st.floats(6, 14), st.floats(0, 6))
def test_a_warmer_season_is_never_later(mean, more):
    cool = crop_dates(SOWN, season(400, mean - 4, mean + 4))
    warm = crop_dates(SOWN, season(400, mean - 4 + more, mean + 4 + more))
    for stage in ("emergence", "flower_start", "ready"):
        early, late = getattr(warm, stage), getattr(cool, stage)
        for part in ("early", "likely", "late"):
            slow = getattr(late, part)
            assert slow is None or getattr(early, part) <= slow


def test_stages_come_in_their_order():
    found = crop_dates(SOWN, season(130))
    stages = [found.emergence, found.flower_start, found.ready]
    dates = [d for stage in stages for d in (stage.early, stage.likely, stage.late)]
    assert dates == sorted(dates)


@pytest.mark.parametrize("missing", [0, 3])
def test_a_gap_in_the_temperatures_is_refused(missing):
    daily = season(10)
    del daily[missing]
    gone = SOWN + timedelta(days=missing)
    with pytest.raises(ValueError, match=f"daily must hold every day .*{gone} is miss"):
        crop_dates(SOWN, daily)


@pytest.mark.parametrize(
    ("anchor", "first", "best", "last"),
    [
        ("flower_start", 25, 30, 40),
        ("flower_full", 20, 24, 31),
        ("flower_end", 14, 17, 21),
    ],
)
def test_each_anchor_has_its_own_days(anchor, first, best, last):
    on = date(2026, 7, 1)
    window = pull_window(anchor=anchor, on=on)
    assert [(day - on).days for day in (window.first, window.best, window.last)] == [
        first,
        best,
        last,
    ]


@given(days)
def test_a_later_anchor_leaves_fewer_days(on):
    start, full, end = (pull_window(anchor=name, on=on) for name in DAYS_TO_PULL)
    assert start.best > full.best > end.best
    for window in (start, full, end):
        assert on < window.first <= window.best <= window.last


def test_the_finest_fibre_is_pulled_soon_after_full_flower():
    window = pull_window(
        anchor="flower_full", on=date(2026, 7, 10), days_after=DAYS_TO_PULL_FINE
    )
    assert window == PullWindow(date(2026, 7, 20), date(2026, 7, 22), date(2026, 7, 24))


@pytest.mark.parametrize("anchor", ["flower", "", None])
def test_an_anchor_must_be_one_of_the_three(anchor):
    with pytest.raises(ValueError, match="anchor must be flower_start, flower_full or"):
        pull_window(anchor=anchor, on=date(2026, 7, 1))


def test_heat_since_the_first_flowers_tells_the_window_too():
    """At 8 °C d a day, 300, 350 and 400 are there after 38, 44 and 50 days."""
    flower = date(2026, 6, 30)
    window = pull_window_by_heat(flower_start=flower, daily=season(130))
    assert [
        (day - flower).days for day in (window.early, window.likely, window.late)
    ] == [
        38,
        44,
        50,
    ]


def test_heat_that_is_not_there_yet_gives_no_date():
    flower = date(2026, 6, 30)
    window = pull_window_by_heat(flower_start=flower, daily=season(115))
    assert window.early is not None
    assert window.late is None


WRONG = [
    (lambda x: thermal_time(x, 20, 5), "tmin_c"),
    (lambda x: thermal_time(10, x, 5), "tmax_c"),
    (lambda x: thermal_time([10, x], [20, 20], 5), "tmin_c"),
    (lambda x: thermal_time(10, 20, x), "base_c"),
    (lambda x: CropProfile(emergence_base_c=x), "emergence_base_c"),
    (lambda x: CropProfile(depth_cm=x), "depth_cm"),
    (lambda x: crop_dates(SOWN, season(3, low=x)), "tmin_c"),
    (lambda x: pull_window_by_heat(flower_start=SOWN, daily=[], base_c=x), "base_c"),
]


@pytest.mark.parametrize(("function", "name"), WRONG)
@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_what_is_not_finite_is_refused_by_name(function, name, value):
    with pytest.raises(ValueError, match=f"^{name} must be a finite number"):
        function(value)


def test_needs_below_nothing_are_refused():
    below = Band(-5, 0, 5)
    with pytest.raises(ValueError, match="ready_days must not be negative"):
        CropProfile(ready_days=below)
    with pytest.raises(ValueError, match="days_after must not be negative"):
        pull_window(anchor="flower_end", on=SOWN, days_after=below)
    with pytest.raises(ValueError, match="heat must not be negative"):
        pull_window_by_heat(flower_start=SOWN, daily=[], heat=below)


def test_crossed_or_unequal_temperatures_are_refused():
    with pytest.raises(ValueError, match="tmin_c must not be above tmax_c"):
        thermal_time(20, 10, 5)
    with pytest.raises(ValueError, match="must be of one length"):
        thermal_time([1, 2], [3], 5)
