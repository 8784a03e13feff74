"""Old measures come out exact and go back without loss."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc import measures
from heritage.calc.measures import (
    ACRE_M2,
    CUNNINGHAM_ACRE_M2,
    IRISH_ACRE_M2,
    PERCH_M2,
    acres_roods_perches,
    area_m2,
    stooks_and_beets,
    write_area,
    yield_kg_per_ha,
)
from tests.calc.strategies import areas_m2, beets, beets_per_stook

acres = st.sampled_from([ACRE_M2, IRISH_ACRE_M2, CUNNINGHAM_ACRE_M2])


@given(areas_m2, acres)
def test_an_area_goes_there_and_back(area, acre):
    parts = acres_roods_perches(area, acre)
    assert area_m2(*parts, acre_m2=acre) == area
    assert 0 <= parts[1] < 4
    assert 0 <= parts[2] < 40


@pytest.mark.parametrize("kind", [Fraction, float, Decimal])
def test_a_float_is_taken_for_the_decimal_it_prints_as(kind):
    area = kind(str(float(IRISH_ACRE_M2)))
    assert acres_roods_perches(area) == (1, 2, 19 + Fraction(21, 121))


@pytest.mark.parametrize(
    ("area", "written"),
    [
        (IRISH_ACRE_M2, "1a 2r 19p"),
        (ACRE_M2 - PERCH_M2 / 4, "1a 0r 0p"),
        (ACRE_M2 / 4 - PERCH_M2 / 4, "0a 1r 0p"),
        (0, "0a 0r 0p"),
    ],
)
def test_a_written_area_carries_full_perches_and_roods(area, written):
    assert write_area(area) == written


@given(areas_m2, acres)
def test_a_written_area_is_within_half_a_perch(area, acre):
    a, r, p = (int(part[:-1]) for part in write_area(area, acre).split())
    assert p < 40
    assert r < 4
    assert abs(area_m2(a, r, p, acre_m2=acre) - area) <= acre / 320


@given(beets, beets_per_stook)
def test_stooks_and_beets_make_up_the_count(count, per_stook):
    stooks, over = stooks_and_beets(count, per_stook)
    assert stooks * per_stook + over == count
    assert over < per_stook


def test_twelve_beets_make_a_stook_unless_told_otherwise():
    assert stooks_and_beets(30) == (2, 6)
    assert stooks_and_beets(30, 6) == (5, 0)


def test_yield_is_weight_over_area():
    assert yield_kg_per_ha(1.5, 2.0) == 7500


REFUSED = [
    (lambda x: acres_roods_perches(x), "area_m2"),
    (lambda x: acres_roods_perches(1, x), "acre_m2"),
    (lambda x: write_area(x), "area_m2"),
    (lambda x: area_m2(x), "acres"),
    (lambda x: area_m2(0, x), "roods"),
    (lambda x: area_m2(0, 0, x), "perches"),
    (lambda x: area_m2(1, acre_m2=x), "acre_m2"),
    (lambda x: stooks_and_beets(x), "beets"),
    (lambda x: stooks_and_beets(1, x), "beets_per_stook"),
    (lambda x: yield_kg_per_ha(x, 1), "weight_kg"),
    (lambda x: yield_kg_per_ha(1, x), "area_m2"),
]


@pytest.mark.parametrize(("call", "name"), REFUSED)
@pytest.mark.parametrize("value", [-1, float("nan"), float("inf")])
def test_what_cannot_be_measured_is_refused_by_name(call, name, value):
    with pytest.raises(ValueError, match=f"^{name} must"):
        call(value)


def test_the_perch_builds_the_acre():
    assert measures.ROOD_M2 * 4 == ACRE_M2 == PERCH_M2 * 160
    assert (22 * measures.YARD_M) ** 2 * 10 == ACRE_M2
