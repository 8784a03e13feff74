"""Beets that a piece of ground may give."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.measures import ACRE_M2
from heritage.calc.stand import (
    Sample,
    counted_stand,
    expected_stand,
    measured_ratio,
    measured_stand,
    total_stand,
)

areas = st.floats(min_value=1, max_value=1e7)
pieces = st.lists(
    st.builds(
        Sample,
        beets=st.integers(min_value=1, max_value=5_000),
        size=st.floats(min_value=1, max_value=1e5),
    ),
    min_size=1,
    max_size=12,
)


def test_an_acre_by_the_published_straw_and_our_own_beet():
    """Stooks per acre: no printed source found; the ends are our own reckoning."""
    stand = expected_stand(ACRE_M2)
    assert (stand.low, stand.likely, stand.high) == (360, 612, 1200)
    assert not stand.is_measured


@given(areas)
def test_the_likely_count_stands_between_the_ends(area):
    stand = expected_stand(area)
    assert 1 <= stand.low <= stand.likely <= stand.high


@given(areas, areas)
def test_more_ground_never_gives_fewer_beets(one, other):
    small, large = sorted((one, other))
    assert expected_stand(small).likely <= expected_stand(large).likely


@pytest.mark.parametrize("area", [0, -1, float("nan"), float("inf")])
def test_ground_without_area_is_refused_by_name(area):
    with pytest.raises(ValueError, match="area_m2"):
        expected_stand(area)


def test_a_counted_stand_has_no_range():
    stand = counted_stand(40)
    assert (stand.low, stand.high, stand.is_measured) == (40, 40, True)


def test_nothing_counted_is_refused():
    with pytest.raises(ValueError, match="beets"):
        counted_stand(0)


def test_stands_add_and_are_measured_only_together():
    total = total_stand([counted_stand(40), expected_stand(ACRE_M2)])
    assert (total.low, total.likely, total.high) == (400, 652, 1240)
    assert not total.is_measured
    assert total_stand([counted_stand(1)]).is_measured
    assert total_stand([]).likely == 0


def test_one_piece_has_the_judged_spread():
    """Student's t at 0.9 with 3 degrees of freedom is 1.638 (any printed table)."""
    band = measured_ratio([Sample(30, 200.0)])
    assert band.likely == pytest.approx(0.15)
    assert band.low == pytest.approx(0.15 / math.exp(1.638 * 0.25), rel=1e-3)
    assert band.high == pytest.approx(0.15 * math.exp(1.638 * 0.25), rel=1e-3)


def test_the_likely_ratio_is_all_beets_over_all_ground():
    band = measured_ratio([Sample(10, 100.0), Sample(60, 300.0)])
    assert band.likely == pytest.approx(70 / 400)


def test_like_pieces_narrow_the_range_and_unlike_ones_widen_it():
    def width(samples):
        band = measured_ratio(samples)
        return band.high / band.low

    alike = [Sample(15, 100.0)] * 6
    unlike = [Sample(beets, 100.0) for beets in (3, 27, 15, 5, 25, 15)]
    assert width(alike) < width(alike[:1]) < width(unlike[:2])
    assert width(alike) < width(unlike)


def test_the_range_holds_the_truth_eight_times_in_ten():
    """Played out: fields whose pieces differ by a quarter, as judged."""
    random = np.random.default_rng(7)
    held = 0
    for _ in range(2_000):
        gave = np.maximum(random.normal(1, 0.25, 4), 0.05) * 150
        band = measured_ratio([Sample(round(beets), 1_000.0) for beets in gave])
        held += band.low <= 0.15 <= band.high
    assert 0.76 < held / 2_000 < 0.88


@given(pieces)
def test_one_more_piece_is_less_sure_than_the_whole(samples):
    whole, more = measured_ratio(samples), measured_ratio(samples, another=True)
    assert more.low <= whole.low <= whole.likely <= whole.high <= more.high
    assert more.likely == whole.likely


@given(areas, pieces, st.integers(min_value=0, max_value=10_000))
def test_a_measured_stand_is_never_below_what_was_counted(area, samples, counted):
    stand = measured_stand(area, samples, counted=counted)
    assert max(1, counted) <= stand.low <= stand.likely <= stand.high
    assert (stand.is_measured, stand.pieces) == (True, len(samples))


def test_ground_all_cleared_has_no_range_left():
    stand = measured_stand(400.0, [Sample(40, 250.0), Sample(20, 150.0)], counted=60)
    assert (stand.low, stand.likely, stand.high) == (60, 60, 60)


def test_only_the_rest_of_the_ground_is_an_estimate():
    half = measured_stand(400.0, [Sample(30, 200.0)], counted=30)
    beside = measured_stand(400.0, [Sample(30, 200.0)], of_this_ground=False)
    assert half.likely == beside.likely == 60
    assert half.low > 30
    assert half.high - half.low < (beside.high - beside.low) / 2


def test_pieces_without_beets_say_nothing():
    with pytest.raises(ValueError, match="beets"):
        measured_ratio([Sample(0, 10.0)])
    with pytest.raises(ValueError, match="beets"):
        measured_ratio([])


def test_a_piece_without_size_is_refused_by_name():
    with pytest.raises(ValueError, match="size"):
        Sample(3, 0.0)
