"""Measures and money against their definitions, printed conversions and pint."""

from fractions import Fraction

import pint
import pytest

from heritage.calc.measures import (
    ACRE_M2,
    CUNNINGHAM_ACRE_M2,
    HUNDREDWEIGHT_KG,
    IRISH_ACRE_M2,
    LONG_TON_KG,
    PERCH_M2,
    POUND_KG,
    ROOD_M2,
    STONE_KG,
    YARD_M,
    acres_roods_perches,
    yield_kg_per_ha,
)
from heritage.calc.money import old_money, to_new_pence, write_new

UNITS = pint.UnitRegistry()


def test_statute_acre():
    """By definition: 4840 square yards (Weights and Measures Act 1985 as enacted)."""
    assert Fraction("4046.8564224") == ACRE_M2
    assert Fraction("1011.7141056") == ROOD_M2
    assert Fraction("25.29285264") == PERCH_M2


def test_irish_acre():
    """7840 square yards, 1A 2R 19 21/121 P (sizes.com, quoting Kelly 1835)."""
    assert Fraction("6555.2385024") == IRISH_ACRE_M2
    assert acres_roods_perches(IRISH_ACRE_M2) == (1, 2, 19 + Fraction(21, 121))


def test_thirty_and_a_quarter_irish_acres_are_forty_nine_statute_acres():
    """Same source."""
    assert Fraction(121, 4) * IRISH_ACRE_M2 == 49 * ACRE_M2


def test_cunningham_acre():
    """6250 square yards: the perch of 6¼ yards is from memory, the rest arithmetic."""
    assert Fraction("5225.796") == CUNNINGHAM_ACRE_M2


def test_weights():
    """14, 112 and 2240 lb (mce-software.com, UK table)."""
    assert Fraction("6.35029318") == STONE_KG
    assert Fraction("50.80234544") == HUNDREDWEIGHT_KG
    assert Fraction("1016.0469088") == LONG_TON_KG


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (YARD_M, UNITS.Quantity(1, "yard").to("m")),
        (ACRE_M2, UNITS.Quantity(4840, "yard**2").to("m**2")),
        (IRISH_ACRE_M2, UNITS.Quantity(7840, "yard**2").to("m**2")),
        (POUND_KG, UNITS.Quantity(1, "pound").to("kg")),
        (STONE_KG, UNITS.Quantity(1, "stone").to("kg")),
        (HUNDREDWEIGHT_KG, UNITS.Quantity(1, "long_hundredweight").to("kg")),
        (LONG_TON_KG, UNITS.Quantity(1, "long_ton").to("kg")),
    ],
)
def test_pint_agrees(ours, theirs):
    assert float(ours) == pytest.approx(theirs.magnitude, rel=1e-12)


def test_the_survey_acre_is_another_one():
    """Pint's plain acre is the US survey acre, 4 mm² in a m² larger."""
    survey = UNITS.Quantity(1, "acre").to("m**2").magnitude
    assert 1e-6 < survey / float(ACRE_M2) - 1 < 1e-5


def test_yield_of_ireland_in_1913():
    """34.1 stone of scutched fibre a statute acre (Hansard, 3 March 1921)."""
    per_ha = yield_kg_per_ha(Fraction("34.1") * STONE_KG, ACRE_M2)
    assert per_ha == pytest.approx(535.094, abs=0.001)


def test_a_stone_and_a_long_ton_to_the_acre():
    """15.69 and 2510.7 kg/ha."""
    assert yield_kg_per_ha(STONE_KG, ACRE_M2) == pytest.approx(15.692, abs=0.001)
    assert yield_kg_per_ha(LONG_TON_KG, ACRE_M2) == pytest.approx(2510.7, abs=0.05)


@pytest.mark.parametrize(
    ("amount", "pence"),
    [
        (old_money(pence=1), Fraction(5, 12)),
        (old_money(pence=6), Fraction(5, 2)),
        (old_money(shillings=1), 5),
        (old_money(shillings=2), 10),
        (old_money(shillings=2, pence=6), Fraction(25, 2)),
        (old_money(pounds=1, shillings=1), 105),
        (old_money(pounds=7, shillings=10, pence=6), Fraction("752.5")),
    ],
)
def test_old_money_in_new_pence(amount, pence):
    """The exchange of Decimal Day, 15 February 1971 (retrowow.co.uk)."""
    assert to_new_pence(amount) == pence


@pytest.mark.parametrize(
    ("amount", "new"),
    [
        (old_money(shillings=2, pence=5), "£0.12"),
        (old_money(shillings=15, pence=9), "£0.79"),
        (old_money(pounds=1, shillings=5, pence=3), "£1.26"),
    ],
)
def test_rounded_conversions_in_print(amount, new):
    """From cawstonheritage.co.uk."""
    assert write_new(amount) == new
