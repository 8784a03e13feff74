"""Beets that a piece of ground may give."""

import math

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


def test_a_weighed_beet_moves_the_whole_range():
    """The same straw in beets of 2 kg is half as many beets again, by hand."""
    stand = expected_stand(ACRE_M2, beet_kg=2.0)
    assert (stand.low, stand.likely, stand.high) == (540, 918, 1800)
    with pytest.raises(ValueError, match="beet_kg"):
        expected_stand(ACRE_M2, beet_kg=0)


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
    """Student's t at 0.9 with 3 degrees of freedom is 1.638 (any printed table).

    A quarter of judgement, and a thirtieth of variance from counting thirty.
    """
    band = measured_ratio([Sample(30, 200.0)])
    reach = 1.638 * math.sqrt(0.25**2 + 1 / 30)
    assert band.likely == pytest.approx(0.15)
    assert band.low == pytest.approx(0.15 / math.exp(reach), rel=1e-3)
    assert band.high == pytest.approx(0.15 * math.exp(reach), rel=1e-3)


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


@given(pieces)
def test_one_more_piece_is_less_sure_than_the_whole(samples):
    whole, more = measured_ratio(samples), measured_ratio(samples, pieces_ahead=1)
    assert more.low <= whole.low <= whole.likely <= whole.high <= more.high
    assert more.likely == whole.likely


@given(areas, pieces, st.integers(min_value=0, max_value=10_000))
def test_a_measured_stand_is_never_below_what_was_counted(area, samples, counted):
    stand = measured_stand(area, samples, counted=counted)
    assert max(1, counted) <= stand.low <= stand.likely <= stand.high
    assert (stand.is_measured, stand.pieces) == (True, len(samples))


@pytest.mark.parametrize(
    ("area", "sizes", "counts", "stand"),
    [
        (1005, (100, 110, 95), (510, 640, 590), (4_976, 5_733, 6_668)),
        (100, [10] * 9, (58, 61, 49, 66, 52, 70, 55, 63, 60), (580, 593, 610)),
    ],
)
def test_two_fields_worked_out_beforehand(area, sizes, counts, stand):
    """By another program, from the formula: the last piece has a range of its own."""
    samples = [Sample(*piece) for piece in zip(counts, sizes, strict=True)]
    told = measured_stand(area, samples)
    assert (told.low, told.likely, told.high) == stand


def test_no_piece_ahead_is_refused():
    for ahead in (0, -1, float("nan")):
        with pytest.raises(ValueError, match="pieces_ahead must be above zero"):
            measured_ratio([Sample(3, 1.0)], pieces_ahead=ahead)


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
