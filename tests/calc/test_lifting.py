"""Lifting weights fall as a lift gets harder, and refuse what they do not cover."""

import math
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.lifting import (
    DoesNotApply,
    Duration,
    Grip,
    Lift,
    LiftTask,
    Mode,
    Outside,
    Reach,
    ScreeningNote,
    TooMany,
    Units,
    Unscreened,
    Who,
    Zone,
    recommended_weight,
    screening_weight,
    team_capacity,
)
from heritage.calc.reasons import Reason
from tests.calc.strategies_water import lifts

NEAR = pytest.approx
EASY = LiftTask(load=10.0, horizontal=25.0, vertical=75.0, travel=25.0, grip=Grip.GOOD)


# One lift


@given(lifts())
def test_no_lift_may_be_heavier_than_the_easiest(task):
    lift = recommended_weight(task)
    assert 0 <= lift.rwl_kg <= 23.0
    assert all(0 <= factor <= 1 for factor in lift.multipliers.values())
    assert lift.rwl_kg == NEAR(23.0 * math.prod(lift.multipliers.values()))


@given(lifts(), st.floats(0, 80))
def test_farther_out_more_turned_oftener_or_longer_never_allows_more(task, more):
    now = recommended_weight(task).rwl_kg
    harder = [
        replace(task, horizontal=task.horizontal + more),
        replace(task, asymmetry_deg=task.asymmetry_deg + more),
        replace(task, travel=task.travel + more),
        replace(task, lifts_per_minute=task.lifts_per_minute + more / 10),
        replace(task, duration=Duration.LONG),
        replace(task, grip=Grip.POOR),
    ]
    assert all(recommended_weight(each).rwl_kg <= now + 1e-9 for each in harder)


@given(lifts(), st.floats(0.1, 5.0))
def test_the_index_goes_with_the_load_and_the_weight_does_not(task, times):
    one = recommended_weight(task)
    other = recommended_weight(replace(task, load=task.load * times))
    assert other.rwl_kg == one.rwl_kg
    if one.index is None:
        assert other.index is None
    else:
        assert other.index == NEAR(one.index * times)


@given(lifts())
def test_the_tables_are_the_formula_to_two_places(task):
    full = recommended_weight(task).multipliers
    printed = recommended_weight(task, mode=Mode.TABLES).multipliers
    assert all(abs(printed[name] - full[name]) <= 0.0055 for name in full)


@pytest.mark.parametrize(
    ("task", "name", "printed"),
    [
        (replace(EASY, travel=130.0), "DM", 0.86),
        (LiftTask(10.0, 23.0, 30.0, 10.0, units=Units.US), "HM", 0.44),
    ],
)
def test_where_the_manual_prints_something_else_its_tables_are_followed(
    task, name, printed
):
    as_table = recommended_weight(task, mode=Mode.TABLES).multipliers[name]
    in_full = recommended_weight(task).multipliers[name]
    assert as_table == printed
    assert round(in_full, 2) == NEAR(printed - 0.01)


@pytest.mark.parametrize(
    "beyond",
    [
        {"horizontal": 63.1},
        {"vertical": 175.1},
        {"travel": 175.1},
        {"asymmetry_deg": 135.1},
        {"lifts_per_minute": 15.1},
        {"lifts_per_minute": 12.5, "vertical": 74.0},
    ],
)
def test_beyond_the_equations_reach_there_is_no_load_at_all(beyond):
    lift = recommended_weight(replace(EASY, **beyond))
    assert (lift.rwl_kg, lift.index) == (0.0, None)


def test_at_the_edge_of_its_reach_there_still_is_one():
    edge = replace(
        EASY, horizontal=63.0, vertical=175.0, travel=175.0, asymmetry_deg=135.0
    )
    assert recommended_weight(edge).rwl_kg > 0


@pytest.mark.parametrize("why", list(Outside))
def test_what_the_equation_does_not_cover_gets_no_number(why):
    answer = recommended_weight(replace(EASY, outside=frozenset({why})))
    assert answer == DoesNotApply((why,))


def test_every_reason_is_given_at_once():
    both = (Outside.POOR_FOOTING, Outside.UNSTABLE_LOAD)
    answer = recommended_weight(replace(EASY, outside=frozenset(both)))
    assert answer.reasons == both


def test_the_frequency_goes_by_the_start_of_the_lift():
    often = replace(EASY, lifts_per_minute=13.0)
    end = replace(often, vertical=100.0, origin_vertical=20.0)
    assert recommended_weight(often).multipliers["FM"] == 0.34
    assert recommended_weight(end).multipliers["FM"] == 0.0


def test_between_two_rows_the_frequency_is_on_the_straight_line():
    lift = recommended_weight(replace(EASY, lifts_per_minute=2.4))
    assert lift.multipliers["FM"] == NEAR(0.91 - 0.4 * 0.03)


def test_pounds_are_kilograms():
    lift = recommended_weight(
        LiftTask(51.0, 10.0, 30.0, 10.0, grip=Grip.GOOD, units=Units.US)
    )
    assert lift.rwl_kg == NEAR(51.0 * 0.45359237)
    assert lift.index == NEAR(1.0)


@pytest.mark.parametrize(
    "name",
    [
        "load",
        "horizontal",
        "vertical",
        "travel",
        "asymmetry_deg",
        "lifts_per_minute",
        "origin_vertical",
    ],
)
@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf])
def test_a_measure_that_is_none_is_refused_by_name(name, value):
    with pytest.raises(ValueError, match=f"{name} must"):
        replace(EASY, **{name: value})


# The screening


@given(
    st.sampled_from(Zone),
    st.sampled_from(Reach),
    st.sampled_from(Who),
    st.floats(0, 30),
    st.floats(0, 180),
)
def test_screened_weights_only_fall(zone, reach, who, often, twist):
    plain = screening_weight(zone, reach, who)
    hard = screening_weight(zone, reach, who, often, twist)
    assert 0 < hard.kg <= plain.kg <= 25.0
    assert screening_weight(zone, Reach.ARMS_LENGTH, who).kg <= plain.kg
    assert screening_weight(zone, reach, Who.WOMEN).kg <= plain.kg


@pytest.mark.parametrize(
    ("often", "share"),
    [
        (0.5, 1.0),
        (0.51, 0.7),
        (2.0, 0.7),
        (2.1, 0.5),
        (8.0, 0.5),
        (8.1, 0.2),
        (99.0, 0.2),
    ],
)
def test_in_the_gaps_of_the_old_text_the_stricter_share_is_taken(often, share):
    screened = screening_weight(Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE, Who.MEN, often)
    assert screened.kg == NEAR(25.0 * share)


def test_several_zones_go_by_the_smallest():
    zones = [Zone.ELBOW_TO_KNUCKLE, Zone.BELOW_MID_LEG]
    assert screening_weight(zones, Reach.CLOSE, Who.WOMEN).kg == 7.0


def test_the_equation_is_not_confirmed_while_its_tables_are_from_memory():
    assert Lift({}, 10.0, 1.0).confirmed is False


def test_only_what_was_read_in_print_is_confirmed():
    confirmed = {
        (zone, reach)
        for zone, reach, who in product(Zone, Reach, Who)
        if screening_weight(zone, reach, who).confirmed
    }
    assert confirmed == {(Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE)}
    hurried = screening_weight(Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE, Who.MEN, 1.0)
    assert not hurried.confirmed


def test_what_was_taken_off_is_said():
    screened = screening_weight(Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE, Who.MEN, 1.0, 90.0)
    assert screened.kg == NEAR(25.0 * 0.7 * 0.8)
    assert screened.notes == (
        Reason(ScreeningNote.OFTEN, {"percent": NEAR(30)}),
        Reason(ScreeningNote.TWIST, {"percent": NEAR(20)}),
        Reason(ScreeningNote.BOTH),
    )
    assert screening_weight(Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE, Who.MEN).notes == ()


@pytest.mark.parametrize("why", list(Unscreened))
def test_what_the_screening_does_not_cover_gets_no_number(why):
    answer = screening_weight(
        Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE, Who.MEN, outside=[why, why]
    )
    assert answer == DoesNotApply((why,))


def test_a_screening_without_a_zone_or_with_a_wild_number_is_refused():
    with pytest.raises(ValueError, match="zone must name at least one zone"):
        screening_weight([], Reach.CLOSE, Who.MEN)
    with pytest.raises(ValueError, match="lifts_per_minute must not be negative"):
        screening_weight(Zone.ABOVE_SHOULDER, Reach.CLOSE, Who.MEN, -1.0)
    with pytest.raises(ValueError, match="twist_deg must be a finite number"):
        screening_weight(Zone.ABOVE_SHOULDER, Reach.CLOSE, Who.MEN, 0.0, math.nan)


# Teams


@given(st.lists(st.floats(1, 40), min_size=1, max_size=3))
def test_a_team_never_lifts_the_sum_of_its_people(capacities):
    together = team_capacity(capacities)
    assert together <= sum(capacities)
    assert together == NEAR(team_capacity(capacities[::-1]))


def test_for_four_no_factor_has_been_published():
    assert team_capacity([25.0] * 4) == DoesNotApply((TooMany.NO_FACTOR,))


@pytest.mark.parametrize(
    ("capacities", "message"),
    [([], "at least one person"), ([25.0, 0.0], "capacities must be above zero")],
)
def test_a_team_of_nobody_is_refused(capacities, message):
    with pytest.raises(ValueError, match=message):
        team_capacity(capacities)
