"""Shares sum exactly, and beets are settled by three named rules."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.tally import Statement, settle, share
from tests.calc.strategies import beets, beets_per_stook, claims, some_claims

RULES = ["carry", "pro_rata", "drop"]


@given(beets, some_claims)
def test_parts_sum_to_the_total_and_are_never_negative(total, weights):
    parts = share(total, weights)
    assert sum(parts) == total
    assert min(parts) >= 0


@given(beets, some_claims)
def test_each_part_is_within_one_of_its_exact_share(total, weights):
    claimed = sum(weights)
    for part, weight in zip(share(total, weights), weights, strict=True):
        assert abs(part - total * weight / claimed) < 1


@given(beets, some_claims, st.randoms())
def test_the_order_of_the_list_changes_nobody_by_name(total, weights, random):
    """Whoever has a claim gets the same parts for it, wherever they stand."""
    shuffled = random.sample(weights, len(weights))
    before = sorted(zip(weights, share(total, weights), strict=True))
    assert sorted(zip(shuffled, share(total, shuffled), strict=True)) == before


@given(beets, some_claims)
def test_no_claim_no_part_and_a_greater_claim_no_smaller_part(total, weights):
    pairs = sorted(zip(weights, share(total, weights), strict=True))
    assert all(part == 0 for weight, part in pairs if weight == 0)
    assert [part for _, part in pairs] == sorted(part for _, part in pairs)


@given(claims)
def test_nothing_is_shared_as_nothing(weights):
    assert share(0, weights) == [0] * len(weights)


@pytest.mark.parametrize("weights", [[], [0, 0]])
def test_something_needs_somebody(weights):
    with pytest.raises(ValueError, match="weights must not all be zero"):
        share(5, weights)


@pytest.mark.parametrize("weight", [-1, float("nan"), float("inf")])
def test_a_claim_without_meaning_is_refused(weight):
    with pytest.raises(ValueError, match="weights"):
        share(5, [1, weight])


def test_a_debt_is_not_shared():
    with pytest.raises(ValueError, match="total must be 0 or more"):
        share(-5, [1, 1])


@pytest.mark.parametrize(
    ("rule", "farthings"), [("carry", 22), ("pro_rata", 28), ("drop", 22)]
)
def test_two_stooks_and_a_half_by_each_rule(rule, farthings):
    """2½ stooks at 11 farthings come to 27½: the even 28, or two stooks' 22."""
    statement = settle(30, beets_per_stook=12, rate_farthings=11, part_stooks=rule)
    assert statement == Statement(stooks=2, beets_over=6, farthings=farthings)


def test_beets_are_carried_unless_told_otherwise():
    assert settle(11, beets_per_stook=12, rate_farthings=48) == Statement(0, 11, 0)


@given(beets, beets_per_stook, st.integers(0, 5000), st.sampled_from(RULES))
def test_every_beet_is_told(count, per_stook, rate, rule):
    found = settle(
        count, beets_per_stook=per_stook, rate_farthings=rate, part_stooks=rule
    )
    assert found.stooks * per_stook + found.beets_over == count
    assert abs(found.farthings - Fraction(count * rate, per_stook)) <= rate


@given(beets, beets, beets_per_stook, st.integers(0, 5000))
def test_carried_beets_are_paid_in_the_end(first, second, per_stook, rate):
    """Settling twice, with the beets carried over, pays what settling once pays."""

    def carried(count):
        return settle(count, beets_per_stook=per_stook, rate_farthings=rate)

    one = carried(first)
    two = carried(one.beets_over + second)
    assert one.farthings + two.farthings == carried(first + second).farthings


@given(beets, beets_per_stook, st.integers(0, 5000), st.sampled_from(RULES))
def test_one_beet_more_never_pays_less(count, per_stook, rate, rule):
    pay = [
        settle(n, beets_per_stook=per_stook, rate_farthings=rate, part_stooks=rule)
        for n in (count, count + 1)
    ]
    assert pay[0].farthings <= pay[1].farthings


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"beets": -1}, "beets must be 0 or more"),
        ({"beets_per_stook": 0}, "beets_per_stook must be 1 or more"),
        ({"rate_farthings": -1}, "rate_farthings must be 0 or more"),
        ({"rate_farthings": 0.5}, "rate_farthings must be a whole number"),
        ({"part_stooks": "round"}, "part_stooks must be carry, pro_rata or drop"),
    ],
)
def test_what_cannot_be_settled_is_refused(wrong, message):
    asked = {"beets": 24, "beets_per_stook": 12, "rate_farthings": 48} | wrong
    with pytest.raises(ValueError, match=message):
        settle(asked.pop("beets"), **asked)
