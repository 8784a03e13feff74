"""The weight chain against published weights."""

import pytest

from heritage.calc.fibre import MILL, Step, kept, parts, project

NEAR = pytest.approx

# Hodges of Belfast, Encyclopaedia Britannica, 9th ed., v. 9 p. 296, in pounds.
WHOLE, BOLLS, STRAW, RETTED, FIBRE = 7_770, 1_946, 5_824, 39 * 112, 702


@pytest.mark.parametrize(
    ("before", "after", "per_cent"),
    [
        (WHOLE, BOLLS, 25.05),
        (STRAW, STRAW - RETTED, 25.0),
        (STRAW, FIBRE, 12.05),
        (RETTED, FIBRE, 16.07),
        (WHOLE, FIBRE, 9.03),
    ],
)
def test_hodges_shares(before, after, per_cent):
    assert 100 * kept(before, after) == NEAR(per_cent, abs=0.005)


def test_hodges_weights_add_up():
    assert WHOLE - BOLLS == STRAW
    assert RETTED == 4_368


def test_the_mills_chain_is_hodges_to_the_per_cent():
    """Not independent: the chain's likely shares are rounded from his weights."""
    crop, straw, retted, scutched, _ = project(
        MILL, 1, measured={Step.CROP: float(WHOLE)}
    )
    assert straw.kg.likely == NEAR(STRAW, rel=0.01)
    assert retted.kg.likely == NEAR(RETTED, rel=0.01)
    assert scutched.kg.likely == NEAR(FIBRE, rel=0.01)
    assert crop.kg.low == crop.kg.high == WHOLE


def test_line_and_tow_of_new_zealands_forecast():
    """Press, 11 June 1941: more than 4,300 tons of line and 2,000 of tow."""
    assert 100 * parts(4_300, 2_000)[0] == NEAR(68.25, abs=0.005)


def test_oregons_straw_and_fibre():
    """Bullis, Oregon AES Misc. Paper 18: 3,300 tons of fibre from 37,000 of straw."""
    assert 100 * kept(37_000, 3_300) == NEAR(8.92, abs=0.005)


@pytest.mark.parametrize(("straw_t", "per_cent"), [(6.0, 21.7), (6.5, 20.0)])
def test_long_fibre_of_2016(straw_t, per_cent):
    """saneco.com, 4 Oct 2016: 143,000 t of long fibre on 110,000 ha, 6 to 6.5 t/ha."""
    fibre_t = 143_000 / 110_000
    assert fibre_t == NEAR(1.30, abs=0.005)
    assert 100 * kept(straw_t, fibre_t) == NEAR(per_cent, abs=0.05)


def test_hackling_forty_pounds():
    """USDA report 10 (Dodge, 1898): 25 lb of line, 13 of tow, 2 of waste."""
    assert parts(25, 13, 2) == NEAR((0.625, 0.325, 0.05))


def test_the_second_lot_hackled_lies_in_the_mills_range():
    """The same report: another lot gave 47 per cent of line."""
    line = MILL.kept[Step.LINE]
    assert line.low <= 0.47 <= line.high


@pytest.mark.parametrize(
    ("kept_of_straw", "name"),
    [(0.1205, "Hodges"), (0.0892, "Oregon"), (0.21, "2016, dew-retted, by machine")],
)
def test_published_fibre_of_straw_against_the_projected_range(kept_of_straw, name):
    """A modern machine's dew-retted straw is richer, and outside the range."""
    scutched = project(MILL, 1, measured={Step.STRAW: 1.0})[3].kg
    inside = scutched.low <= kept_of_straw <= scutched.high
    assert inside is (not name.startswith("2016"))
