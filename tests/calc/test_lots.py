from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.dam import Band
from heritage.calc.lots import (
    ASSUMED_MOISTURE_PCT,
    could_be_seed,
    could_be_straw,
    dry_mass,
    least_left,
    stands_at,
)

MONDAY = datetime(2026, 8, 10, 18, tzinfo=UTC)


def day(number):
    return MONDAY + timedelta(days=number)


STEPS = [(day(0), 40), (day(2), -15), (day(5), -10), (day(7), 5)]
ANY = st.lists(st.tuples(st.integers(0, 9).map(day), st.integers(-50, 50)), max_size=20)


def test_what_stands_counts_the_moment_itself():
    assert [stands_at(STEPS, day(n)) for n in (-1, 0, 1, 2, 6, 7)] == [
        0, 40, 40, 25, 15, 20,
    ]  # fmt: skip


def test_what_can_be_taken_is_the_least_of_all_later_moments():
    assert [least_left(STEPS, day(n)) for n in (-1, 0, 3, 5, 7, 9)] == [
        0, 15, 15, 15, 20, 20,
    ]  # fmt: skip


def test_without_a_moment_it_is_the_least_there_ever_was():
    assert least_left(STEPS) == 15
    assert least_left([*STEPS, (day(1), -45)]) == -30
    assert least_left([]) == 0


def test_what_happens_in_one_moment_counts_together():
    assert least_left([(day(0), -5), (day(0), 5)]) == 0


@given(ANY, st.integers(-1, 10).map(day))
def test_the_least_never_exceeds_what_stands_then_or_at_the_end(steps, since):
    least = least_left(steps, since)
    assert least <= stands_at(steps, since)
    assert least <= stands_at(steps, day(10))


@given(ANY, st.integers(0, 9).map(day), st.data())
def test_taking_no_more_than_the_least_leaves_no_moment_short(steps, since, data):
    least = least_left(steps, since)
    taken = data.draw(st.integers(0, max(0, least)))
    if taken:
        assert least_left([*steps, (since, -taken)], since) >= 0


# Twelve per cent regain is 10.71 per cent of water: M = R / (100 + R).
@pytest.mark.parametrize(
    ("weighed", "moisture", "dry"),
    [
        (1120, Decimal("10.71"), 1000),
        (1000, Decimal(0), 1000),
        (1000, Decimal(80), 200),
        (1, Decimal(50), 1),
        (1000, None, 880),
    ],
)
def test_dry_mass_is_the_weight_without_its_water(weighed, moisture, dry):
    assert dry_mass(weighed, moisture) == dry


def test_water_that_nobody_measured_is_taken_for_dry_enough_to_break():
    assert Decimal(8) <= ASSUMED_MOISTURE_PCT <= Decimal(14)


@pytest.mark.parametrize("weighed", [0, -3])
def test_nothing_weighs_nothing(weighed):
    with pytest.raises(ValueError, match="weighed_g must be 1 or more"):
        dry_mass(weighed)


@pytest.mark.parametrize("moisture", [Decimal(-1), Decimal("80.1")])
def test_water_out_of_range_is_refused(moisture):
    with pytest.raises(ValueError, match="from 0 to 80"):
        dry_mass(1000, moisture)


BEET = Band(2, 3, 5)


def test_straw_of_forty_beets_may_weigh_what_retting_leaves_of_them():
    least, most = could_be_straw(40, BEET)
    # 40 beets of 2 to 5 kg, of which 0.47 to 0.68 is left: 37.6 to 136 kg.
    assert least < 40 * 2 * 0.47 < 40 * 5 * 0.68 < most
    assert most < 2000


def test_seed_may_weigh_twice_what_one_account_has():
    assert could_be_seed(40, BEET) == pytest.approx(2 * 0.12 * 40 * 5)


@pytest.mark.parametrize("reckon", [could_be_straw, could_be_seed])
def test_no_beets_weigh_nothing(reckon):
    with pytest.raises(ValueError, match="beets must be 1 or more"):
        reckon(0, BEET)
