"""The dam's volumes, what it holds, and the stones on it."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc import dam
from heritage.calc.dam import (
    UPLIFT_KG_PER_TONNE,
    Band,
    Basin,
    Phase,
    ballast,
    ballast_by_curve,
    capacity,
    has_died_down,
    phase_chances,
    phase_seen,
    stone_factor,
    stones,
    weighed_beet,
)
from tests.calc.strategies_water import basins, shares, weights

NEAR = pytest.approx
BOX = Basin(10.0, 4.0, 10.0, 4.0, 1.2)
SLOPED = Basin(12.0, 4.0, 8.0, 2.0, 1.0)


@given(basins(), shares, shares)
def test_more_water_never_means_less_volume_or_surface(basin, one, other):
    shallow, deep = sorted((one * basin.depth, other * basin.depth))
    assert basin.volume(shallow) <= basin.volume(deep) + 1e-9
    assert basin.surface(shallow) <= basin.surface(deep)


@given(basins(), shares)
def test_volume_lies_between_two_boxes(basin, share):
    depth = share * basin.depth
    least = basin.surface(0.0) * depth
    most = basin.surface(depth) * depth
    assert least - 1e-9 <= basin.volume(depth) <= most + 1e-9


@given(basins(), st.floats(1.0, 5.0))
def test_a_dam_twice_as_long_above_and_below_holds_twice(basin, times):
    longer = Basin(
        basin.top_length * times,
        basin.top_width,
        basin.bottom_length * times,
        basin.bottom_width,
        basin.depth,
    )
    assert longer.volume(basin.depth) == NEAR(times * basin.volume(basin.depth))


def test_upright_sides_make_a_box():
    assert BOX.volume(0.6) == NEAR(24.0)
    assert BOX.surface(0.6) == NEAR(40.0)


def test_a_ditch_with_no_floor_is_half_a_box():
    assert Basin(10.0, 4.0, 10.0, 0.0, 1.0).volume(1.0) == NEAR(20.0)


def test_water_above_the_brim_is_refused():
    with pytest.raises(
        ValueError, match=r"water_depth must not be above the dam's 1\.2"
    ):
        BOX.volume(1.3)


@pytest.mark.parametrize("name", ["top_length", "top_width", "depth"])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_a_dam_without_a_size_is_refused(name, value):
    sizes = {
        "top_length": 10.0,
        "top_width": 4.0,
        "bottom_length": 0.0,
        "bottom_width": 0.0,
        "depth": 1.0,
    }
    with pytest.raises(ValueError, match=f"{name} must be"):
        Basin(**(sizes | {name: value}))


def test_a_dam_wider_below_than_above_is_refused():
    with pytest.raises(ValueError, match="bottom_width must not be above top_width"):
        Basin(10.0, 4.0, 10.0, 5.0, 1.0)


@given(basins(), shares)
def test_capacity_keeps_its_order_and_grows_with_water(basin, share):
    part = capacity(basin, water_depth=share * basin.depth)
    full = capacity(basin)
    assert 0 <= part.low <= part.beets <= part.high
    assert part.beets <= full.beets
    assert part.dry_kg <= full.dry_kg * (1 + 1e-12)


def test_capacity_without_spread_has_no_range():
    held = capacity(BOX, liquor_l_per_kg=Band(20, 20, 20), beet_kg=Band(3, 3, 3))
    assert held.dry_kg == NEAR(2400.0)
    assert (held.low, held.beets, held.high) == (800, 800, 800)


def test_one_uncertain_thing_alone_gives_its_own_range():
    held = capacity(BOX, liquor_l_per_kg=Band(20, 20, 20), beet_kg=Band(2, 3, 5))
    assert (held.low, held.beets, held.high) == (480, 800, 1200)


@pytest.mark.parametrize("name", ["liquor_l_per_kg", "beet_kg"])
def test_a_beet_or_a_liquor_of_nothing_is_refused(name):
    with pytest.raises(ValueError, match=rf"{name}\.low must be above zero"):
        capacity(BOX, **{name: Band(0.0, 1.0, 2.0)})


@pytest.mark.parametrize("phase", list(Phase))
@given(dry_kg=weights)
def test_ballast_is_in_order_never_negative_and_additive(phase, dry_kg):
    once, twice = ballast(dry_kg, phase), ballast(2 * dry_kg, phase)
    assert 0 <= once.low_kg <= once.likely_kg <= once.high_kg
    assert twice.high_kg == NEAR(2 * once.high_kg)
    assert not once.confirmed


def test_ballast_rises_and_falls_in_the_order_the_old_books_tell():
    likely = {phase: ballast(1000.0, phase).likely_kg for phase in Phase}
    assert likely[Phase.END] == 0 < likely[Phase.GREEN] < likely[Phase.GASSING]
    assert likely[Phase.GASSING] < likely[Phase.DRY]


def test_denser_stone_and_stone_out_of_the_water_weigh_more():
    sandstone = ballast(1000.0, Phase.GASSING, stone_density=2400.0)
    basalt = ballast(1000.0, Phase.GASSING, stone_density=2900.0)
    dry_stone = ballast(1000.0, Phase.GASSING, submerged=False)
    assert sandstone.likely_kg > basalt.likely_kg > dry_stone.likely_kg
    assert dry_stone.likely_kg == NEAR(1.3 * 500.0)


def test_a_pull_measured_on_the_spot_takes_the_place_of_the_phases():
    held = ballast(
        2000.0, "gassing", safety=1.0, uplift_kg_per_tonne=Band(200, 300, 400)
    )
    assert held.likely_kg == NEAR(600.0 / (1 - 1000 / 2650))


@pytest.mark.parametrize(
    ("setting", "message"),
    [
        ({"safety": 0.9}, "safety must be 1 or more"),
        ({"stone_density": 1000.0}, "stone_density must be above 1000"),
        ({"stone_density": math.nan}, "stone_density must be a finite number"),
    ],
)
def test_settings_that_would_let_the_crop_rise_are_refused(setting, message):
    with pytest.raises(ValueError, match=message):
        ballast(100.0, Phase.DRY, **setting)


def test_an_unknown_phase_is_refused():
    with pytest.raises(ValueError, match="'simmering' is not a valid Phase"):
        ballast(100.0, "simmering")


sigmas = st.floats(0.0, 0.6)


@given(st.floats(0.0, 3.0), sigmas)
def test_the_chances_of_the_phases_add_up(progress, sigma):
    chances = phase_chances(progress, sigma)
    assert sum(chances.values()) == NEAR(1.0)
    assert all(-1e-12 <= chance <= 1 for chance in chances.values())


def test_at_seven_tenths_of_the_likely_way_half_the_batches_still_gas():
    """By hand: the likely batch ends there, and half are slower than it."""
    assert phase_chances(0.7, 0.30)[Phase.END] == NEAR(0.5)
    assert phase_chances(0.90, 0.30)[Phase.END] == NEAR(0.8, abs=0.005)
    assert phase_chances(0.0, 0.30)[Phase.GREEN] == 0.5


@given(st.floats(0.0, 3.0), sigmas, st.floats(1.0, 5000.0))
def test_the_curve_alone_never_takes_all_stones_off(progress, sigma, dry_kg):
    held = ballast_by_curve(dry_kg, phase_chances(progress, sigma))
    assert 0 <= held.low_kg <= held.likely_kg <= held.high_kg
    assert held.likely_kg > 0
    assert held.high_kg >= ballast(dry_kg, Phase.GASSING).high_kg


@given(st.floats(0.0, 1.0), st.floats(0.1, 0.5))
def test_the_range_covers_every_phase_that_one_batch_in_ten_is_in(progress, sigma):
    """Each batch in turn, drawn from the normal's own table of percentiles."""
    held = ballast_by_curve(1000.0, phase_chances(progress, sigma))
    for z in (-1.28, 0.0, 1.28):
        own = progress / math.exp(sigma * z)
        if 0.2 <= own < 0.7:
            gassing = ballast(1000.0, Phase.GASSING)
            assert held.low_kg <= gassing.low_kg
            assert gassing.high_kg <= held.high_kg
        elif own < 0.2:
            assert held.high_kg == ballast(1000.0, Phase.DRY).high_kg


@pytest.mark.parametrize(
    ("signs", "phase"),
    [
        ([], None),
        (["fast", "loosening"], None),
        (["still"], None),
        (["sunk"], None),
        (["bubbles"], Phase.GASSING),
        (["fast", "risen", "fast"], Phase.GASSING),
        (["bubbles", "still"], Phase.END),
        (["risen", "sunk"], Phase.END),
        (["free"], Phase.END),
        (["bubbles", "still", "fast"], Phase.GASSING),
        (["risen", "sunk", "risen"], Phase.GASSING),
    ],
)
def test_the_phase_is_what_was_seen(signs, phase):
    """It rises, add; it sinks, take off: American Agriculturist (1853), Ure, Spon."""
    assert phase_seen(signs) is phase


@pytest.mark.parametrize(
    ("signs", "died_down"),
    [
        ([], False),
        (["bubbles", "fast"], False),
        (["still"], True),
        (["bubbles", "sunk", "loosening"], True),
        (["still", "bubbles"], False),
        (["sunk", "risen"], False),
    ],
)
def test_the_working_has_died_down_until_it_is_seen_again(signs, died_down):
    """Ure: when the flax sinks, look more often; rising or bubbling takes it back."""
    assert has_died_down(signs) is died_down


def test_an_unknown_sign_is_refused():
    with pytest.raises(ValueError, match="'singing' is not a valid Sign"):
        phase_seen(["singing"])


def test_every_phase_has_its_pull():
    assert set(UPLIFT_KG_PER_TONNE) == set(Phase)


@given(st.integers(0, 500), st.floats(0.5, 40.0))
def test_stones_are_never_too_few_nor_one_too_many(count, stone_kg):
    assert stones(count * stone_kg, stone_kg) == count
    assert stones((count + 0.5) * stone_kg, stone_kg) == count + 1


def test_out_of_water_a_stone_counts_in_full():
    assert stone_factor(2650.0, submerged=False) == 1.0


@given(st.integers(1, 400), st.floats(0.5, 20.0))
def test_more_beets_weighed_tell_the_weight_closer(count, each):
    one, many = weighed_beet(1, each), weighed_beet(count, count * each)
    assert many.likely == NEAR(each)
    assert one.low <= many.low * (1 + 1e-12)
    assert many.high <= one.high * (1 + 1e-12)


def test_ten_weighed_beets_hold_the_crop_eight_times_in_ten():
    """Simulated under its own model: beets that differ by a quarter, lognormally."""
    chance = np.random.default_rng(3)
    lots = 3.0 * np.exp(0.25 * chance.standard_normal((4000, 10)))
    true = 3.0 * math.exp(0.25**2 / 2)
    bands = [weighed_beet(10, float(total)) for total in lots.sum(axis=1)]
    inside = np.mean([band.low <= true <= band.high for band in bands])
    assert 0.78 <= inside <= 0.83


def test_a_band_out_of_order_is_refused():
    with pytest.raises(ValueError, match="likely must lie between low and high"):
        Band(2.0, 1.0, 3.0)


def test_a_band_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="high must be a finite number"):
        Band(2.0, 3.0, math.inf)


@pytest.mark.parametrize(
    ("lying", "seen", "is_up", "act", "likely"),
    [
        # The order is in print (American Agriculturist, 1853): add, then remove.
        (0, None, False, dam.StoneAct.PUT_ON, 80),
        (19.9, dam.Phase.GASSING, False, dam.StoneAct.PUT_ON, 60.1),
        (20, None, False, dam.StoneAct.LEAVE, 0),
        (160, None, False, dam.StoneAct.LEAVE, 0),
        (161, None, False, dam.StoneAct.MORE_THAN_ENOUGH, 0),
        (161, dam.Phase.GASSING, True, dam.StoneAct.RISEN, 0),
        (50, dam.Phase.GASSING, True, dam.StoneAct.RISEN, 30),
        (50, dam.Phase.END, True, dam.StoneAct.TAKE_OFF, 50),
        (0, dam.Phase.END, False, dam.StoneAct.NONE, 0),
    ],
)
def test_what_was_seen_goes_before_the_figures(lying, seen, is_up, act, likely):
    wanted = dam.Ballast(20, 80, 160)
    advice = dam.stone_advice(lying, wanted, seen=seen, is_up=is_up)
    assert advice.act is act
    assert advice.likely_kg == pytest.approx(likely)


def test_no_stone_weighs_less_than_nothing():
    with pytest.raises(ValueError, match="lying_kg"):
        dam.stone_advice(-1, dam.Ballast(1, 2, 3), seen=None, is_up=False)
