"""Seed by weight and by number, stands counted, and what is unusual about a sowing."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc._band import Band
from heritage.calc.crop import (
    Bands,
    FlaxStage,
    SowingFacts,
    SowingNote,
    bands_wanted,
    bushels_per_acre,
    plants_expected,
    plants_per_m2,
    seed_needed,
    seed_rate,
    seeds_sown,
    seeds_wanted,
    sowing_notes,
    stage_at_height,
    usual_rate,
    usual_seeds,
)

USUAL = SowingFacts(
    sown_on=date(2026, 4, 25),
    seeds_m2=2000,
    thousand_seed_g=5.5,
    depth_cm=1.5,
    row_cm=10,
    years_since_flax=7,
)


@given(st.floats(0, 1e4), st.floats(0.1, 20))
def test_a_weight_of_seed_holds_the_seeds_it_was_made_of(seeds, weight):
    assert seeds_sown(seed_rate(seeds, weight), weight) == pytest.approx(seeds)


@given(st.floats(0, 1e4), st.floats(0, 0.99))
def test_of_the_seeds_wanted_come_the_plants_wanted(plants, loss):
    assert seeds_wanted(plants, loss) * (1 - loss) == pytest.approx(plants)


@pytest.mark.parametrize("loss", [1, 1.5])
def test_no_plant_comes_where_all_is_lost(loss):
    with pytest.raises(ValueError, match="loss must be below 1"):
        seeds_wanted(10, loss)


def test_the_published_figures_come_to_a_usual_rate():
    assert usual_seeds().likely == pytest.approx(1600 / 0.85)
    assert usual_rate(5.0).likely == pytest.approx(1600 / 0.85 / 20)
    unweighed = usual_rate()
    assert unweighed.likely == pytest.approx(1600 / 0.85 * 0.055)
    assert unweighed.low < usual_rate(5.5).low
    assert usual_rate(5.5).high < unweighed.high


def test_plants_that_a_number_of_seeds_may_give():
    assert plants_expected(2000) == Band(1300, 1700, 1800)


def test_seed_for_a_piece_of_ground():
    assert seed_needed(2500, Band(80, 100, 120)) == Band(20, 25, 30)


def test_a_stand_is_the_mean_of_its_frames_with_a_range():
    stand = plants_per_m2([16, 17, 18], 0.01)
    assert stand.likely == pytest.approx(1700)
    assert stand.low < 1650 < 1750 < stand.high


@given(st.lists(st.integers(1, 400), min_size=1, max_size=12))
def test_the_same_frames_again_never_widen_the_range(counts):
    once, twice = (plants_per_m2(c, 0.1) for c in (counts, counts * 2))
    assert twice.likely == pytest.approx(once.likely)
    assert twice.high / twice.low <= once.high / once.low * 1.000001


def test_nothing_found_is_said_with_what_might_have_been_missed():
    stand = plants_per_m2([0, 0], 0.1)
    assert (stand.low, stand.likely) == (0, 0)
    assert stand.high == pytest.approx(11.5, abs=0.1)


@pytest.mark.parametrize(
    ("counts", "frame", "words"),
    [
        ([], 0.1, "counts must hold one count"),
        ([1.5], 0.1, "counts must be a whole number"),
        ([-1], 0.1, "counts must be 0 or more"),
        ([1], 0, "frame_m2 must be above zero"),
    ],
)
def test_counts_that_cannot_be_are_refused(counts, frame, words):
    with pytest.raises(ValueError, match=words):
        plants_per_m2(counts, frame)


def test_a_usual_sowing_has_no_notes_and_nor_has_one_that_says_nothing():
    assert sowing_notes(USUAL) == sowing_notes(SowingFacts()) == ()


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"seeds_m2": 1400}, SowingNote.THIN),
        ({"seeds_m2": 2900}, SowingNote.THICK),
        ({"thousand_seed_g": 4}, SowingNote.SEED_WEIGHT),
        ({"thousand_seed_g": 8}, SowingNote.SEED_WEIGHT),
        ({"depth_cm": 0.5}, SowingNote.SHALLOW),
        ({"depth_cm": 4}, SowingNote.DEEP),
        ({"row_cm": 15}, SowingNote.WIDE_ROWS),
        ({"years_since_flax": 3}, SowingNote.SOON_AFTER_FLAX),
        ({"sown_on": date(2026, 3, 10)}, SowingNote.EARLY),
        ({"sown_on": date(2026, 6, 12)}, SowingNote.LATE),
    ],
)
def test_what_is_unusual_is_said_by_its_code(changes, code):
    facts = SowingFacts(**changes)
    (note,) = sowing_notes(facts)
    assert note.code is code
    assert note.figures


@pytest.mark.parametrize(
    "changes",
    [
        {"row_cm": 2},
        {"years_since_flax": 20},
        {"sown_on": date(2026, 3, 20)},
        {"sown_on": date(2026, 5, 31)},
        {"sown_on": date(2026, 10, 31), "northern": False},
    ],
)
def test_the_other_side_and_the_edges_are_not_unusual(changes):
    assert sowing_notes(SowingFacts(**changes)) == ()


def test_early_and_late_say_by_how_many_days():
    (late,) = sowing_notes(SowingFacts(sown_on=date(2026, 6, 12)))
    assert late.figures == {"days": 12}


@pytest.mark.parametrize(
    ("beets", "bands", "bundles"), [(0, 0, 0), (10, 11, 1), (60, 66, 2), (600, 660, 11)]
)
def test_bands_are_one_to_a_beet_and_a_tenth_to_spare(beets, bands, bundles):
    assert bands_wanted(beets) == Bands(bands, bundles)


def test_bushels_and_kilograms():
    assert bushels_per_acre(0) == 0
    assert bushels_per_acre(125.5) == pytest.approx(2, abs=0.01)


@pytest.mark.parametrize(
    ("height", "stage"),
    [
        (2.9, None),
        (3, FlaxStage.FOUR_LEAVES),
        (9, FlaxStage.TALL_7_CM),
        (10, FlaxStage.TALL_10_CM),
        (79, FlaxStage.TALL_70_CM),
        (95, FlaxStage.TALL_80_CM),
    ],
)
def test_a_height_tells_the_stage_as_far_as_80_cm(height, stage):
    assert stage_at_height(height) == stage


def test_a_pulled_crop_stands_no_more():
    assert FlaxStage.RIPE.is_standing
    assert not FlaxStage.PULLED.is_standing
