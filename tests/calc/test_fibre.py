"""Each step keeps less than the one before, with a range that is measured away."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc._band import joined
from heritage.calc.fibre import (
    MILL,
    VOLUNTEERS,
    Band,
    Chain,
    Source,
    Step,
    kept,
    parts,
    project,
)

NEAR = pytest.approx
CHAINS = pytest.mark.parametrize("chain", [MILL, VOLUNTEERS])
LEVEL = dict.fromkeys([step for step in Step if step is not Step.CROP], Band(1, 1, 1))


@CHAINS
@given(beets=st.integers(0, 5_000))
def test_every_step_weighs_less_and_its_range_is_in_order(chain, beets):
    steps = project(chain, beets)
    assert [each.step for each in steps] == list(Step)
    likely = [each.kg.likely for each in steps]
    assert likely == sorted(likely, reverse=True)
    assert all(0 <= each.kg.low <= each.kg.likely <= each.kg.high for each in steps)
    assert all(each.lost_kg >= 0 and not each.measured for each in steps)


@CHAINS
@given(beets=st.integers(1, 5_000))
def test_what_is_lost_what_is_tow_and_what_is_left_make_the_whole(chain, beets):
    steps = project(chain, beets)
    lost = sum(each.lost_kg for each in steps)
    tow = sum(each.tow_kg.likely for each in steps if each.tow_kg)
    assert lost + tow + steps[-1].kg.likely == NEAR(steps[0].kg.likely)


@given(st.integers(0, 2_000), st.integers(2, 9))
def test_so_many_times_the_beets_give_as_many_times_the_fibre(beets, times):
    one, many = project(MILL, beets), project(MILL, beets * times)
    assert many[-1].kg.high == NEAR(times * one[-1].kg.high)


def test_the_range_is_narrower_than_if_all_went_wrong_at_once():
    line = project(MILL, 1)[-1].kg
    worst = MILL.beet_kg.low * math.prod(share.low for share in MILL.kept.values())
    best = MILL.beet_kg.high * math.prod(share.high for share in MILL.kept.values())
    assert worst < line.low < line.likely < line.high < best


@given(st.floats(1, 3_000))
def test_a_weight_that_was_taken_has_no_range_and_narrows_what_follows(kilograms):
    guessed = project(MILL, 500)
    known = project(MILL, 500, measured={Step.RETTED: kilograms})
    crop, straw, retted, scutched, line = known
    assert (crop, straw) == guessed[:2]
    assert (retted.kg, retted.measured) == (Band(*[kilograms] * 3), True)
    assert scutched.kg.likely == NEAR(0.16 * kilograms)
    spread = guessed[-1].kg.high / guessed[-1].kg.low
    assert line.kg.high / line.kg.low < spread


def test_of_several_weights_taken_each_is_kept_and_the_last_goes_on():
    known = project(MILL, 1, measured={Step.RETTED: 70.0, Step.STRAW: 100.0})
    assert [each.kg.likely for each in known[1:3]] == [100.0, 70.0]
    assert known[2].lost_kg == 30.0
    assert known[3].kg.likely == NEAR(0.16 * 70.0)


def test_tow_goes_by_the_weight_it_came_off():
    known = project(VOLUNTEERS, 1, measured={Step.RETTED: 100.0})
    assert known[3].tow_kg.likely == NEAR(6.0)
    assert known[3].lost_kg == NEAR(100.0 - 10.0 - 6.0)
    assert known[4].tow_kg.likely == NEAR(4.0)
    assert known[0].tow_kg is None


@pytest.mark.parametrize(
    ("measured", "message"),
    [
        ({Step.STRAW: 10.0, Step.RETTED: 11.0}, "the retted must not outweigh"),
        ({Step.RETTED: 10.0, Step.CROP: 9.0}, "the retted must not outweigh"),
        ({Step.LINE: -1.0}, r"measured\[line\] must not be negative"),
        ({Step.LINE: math.nan}, r"measured\[line\] must be a finite number"),
    ],
)
def test_weights_that_cannot_be_are_refused(measured, message):
    with pytest.raises(ValueError, match=message):
        project(MILL, 10, measured=measured)


@pytest.mark.parametrize("beets", [-1, 1.5])
def test_beets_are_whole(beets):
    with pytest.raises(ValueError, match="beets must be"):
        project(MILL, beets)


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"beet_kg": Band(0, 1, 2)}, r"beet_kg\.low must be above zero"),
        ({"kept": {Step.STRAW: Band(1, 1, 1)}}, "kept must name every step"),
        ({"tow": {Step.CROP: Band(1, 1, 1)}}, "tow must name steps after the crop"),
        ({"kept": LEVEL | {Step.LINE: Band(0, 1, 1)}}, "share of line must be"),
        (
            {"kept": LEVEL | {Step.LINE: Band(1, 1, 1.1)}},
            "share of line must not be above 1",
        ),
        (
            {"tow": {Step.LINE: Band(0.1, 0.1, 0.1)}},
            "line and tow of line must not come to more than 1",
        ),
    ],
)
def test_a_chain_that_makes_something_of_nothing_is_refused(settings, message):
    with pytest.raises(ValueError, match=message):
        Chain(**({"beet_kg": Band(1, 1, 1), "kept": LEVEL} | settings))


def test_only_the_mills_figures_are_confirmed():
    assert MILL.confirmed
    assert MILL.source is Source.MILLS
    assert not VOLUNTEERS.confirmed


def test_a_step_cannot_keep_more_than_it_had():
    assert kept(4.0, 1.0) == 0.25
    with pytest.raises(ValueError, match="after_kg must not be above before_kg"):
        kept(1.0, 1.1)


@given(st.lists(st.floats(0.01, 1e6), min_size=1, max_size=6))
def test_parts_add_up_to_the_whole(weights):
    assert sum(parts(*weights)) == NEAR(1.0)


@pytest.mark.parametrize("weights", [(), (0.0, 0.0), (1.0, -1.0), (math.inf,)])
def test_parts_of_nothing_are_refused(weights):
    with pytest.raises(ValueError, match="weights must"):
        parts(*weights)


# Bands joined


factors = st.tuples(*[st.floats(0.01, 100.0)] * 3).map(lambda v: Band(*sorted(v)))


@given(st.lists(factors, min_size=1, max_size=5), st.randoms())
def test_joined_bands_are_order_free_and_within_the_corners(bands, random):
    both = joined(bands)
    again = joined(random.sample(bands, len(bands)))
    assert (both.low, both.likely, both.high) == NEAR(
        (again.low, again.likely, again.high)
    )
    assert both.low >= math.prod(band.low for band in bands) * (1 - 1e-9)
    assert both.high <= math.prod(band.high for band in bands) * (1 + 1e-9)


@given(factors)
def test_one_band_alone_is_itself_and_so_is_its_inverses_inverse(band):
    alone, back = joined([band]), band.inverse().inverse()
    for each in (alone, back):
        assert (each.low, each.likely, each.high) == NEAR(
            (band.low, band.likely, band.high)
        )


def test_a_factor_that_may_be_nought_takes_the_low_end_with_it():
    both = joined([Band(0, 1, 1), Band(2, 3, 3)])
    assert (both.low, both.likely, both.high) == (0.0, 3.0, 3.0)


@pytest.mark.parametrize(
    ("band", "message"),
    [
        (Band(-1, 1, 2), "low must not be negative"),
        (Band(0, 0, 2), "likely must be above zero"),
    ],
)
def test_bands_that_cannot_be_joined_are_refused(band, message):
    with pytest.raises(ValueError, match=message):
        joined([band])


def test_a_band_that_reaches_nought_has_no_inverse():
    with pytest.raises(ValueError, match="low must be above zero"):
        Band(0, 1, 2).inverse()
