"""Farthings add up exactly, and read as they are written."""

from fractions import Fraction

import pytest
from hypothesis import given

from heritage.calc.money import (
    old_money,
    read_old,
    to_new_pence,
    write_new,
    write_old,
)
from tests.calc.strategies import farthings, not_finite

WRITTEN = [
    (old_money(1, 3, 6, 2), "£1 3s 6½d", "£1.18"),
    (old_money(1, 0, 6), "£1 0s 6d", "£1.02"),
    (old_money(1, 3), "£1 3s", "£1.15"),
    (old_money(2), "£2", "£2.00"),
    (old_money(0, 3), "3s", "£0.15"),
    (old_money(0, 2, 6), "2s 6d", "£0.12"),
    (old_money(farthings=1), "¼d", "£0.00"),
    (old_money(pence=11, farthings=3), "11¾d", "£0.05"),
    (0, "0d", "£0.00"),
    (-old_money(0, 1, 6, 2), "-1s 6½d", "-£0.08"),
    (-1, "-¼d", "£0.00"),
]


@pytest.mark.parametrize(("amount", "old", "new"), WRITTEN)
def test_amounts_are_written_in_both_moneys(amount, old, new):
    assert (write_old(amount), write_new(amount)) == (old, new)


@given(farthings)
def test_what_is_written_reads_back(amount):
    assert read_old(write_old(amount)) == amount


@given(farthings, farthings)
def test_changing_money_adds_up(first, second):
    assert to_new_pence(first) + to_new_pence(second) == to_new_pence(first + second)


@given(farthings)
def test_new_money_is_written_within_half_a_penny(amount):
    shown = Fraction(write_new(amount).replace("£", "")) * 100
    assert abs(shown - to_new_pence(amount)) <= Fraction(1, 2)


def test_an_exact_half_penny_goes_to_the_even_penny():
    """12½p is written as 12p, and 37½p as 38p."""
    assert write_new(old_money(shillings=2, pence=6)) == "£0.12"
    assert write_new(old_money(shillings=7, pence=6)) == "£0.38"


@pytest.mark.parametrize("text", ["", " ", "-", "£", "d", "£1 d", "6", "6d 1s", "1.5d"])
def test_what_is_not_old_money_is_refused(text):
    with pytest.raises(ValueError, match="text must be old money"):
        read_old(text)


@pytest.mark.parametrize("text", ["£1 3S 6½D", " £1  3 s 6 ½ d ", "£1 3s6½d"])
def test_reading_is_easy_about_spaces_and_capitals(text):
    assert read_old(text) == old_money(1, 3, 6, 2)


@pytest.mark.parametrize("part", ["pounds", "shillings", "pence", "farthings"])
@given(value=not_finite)
def test_a_part_that_is_no_number_is_refused_by_name(part, value):
    with pytest.raises(ValueError, match=part):
        old_money(**{part: value})


@pytest.mark.parametrize("write", [write_old, write_new, to_new_pence])
def test_parts_of_a_farthing_are_refused(write):
    with pytest.raises(ValueError, match="farthings must be a whole number"):
        write(0.5)
