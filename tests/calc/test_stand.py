"""Beets that a piece of ground may give."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.measures import ACRE_M2
from heritage.calc.stand import counted_stand, expected_stand, total_stand

areas = st.floats(min_value=1, max_value=1e7)


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
