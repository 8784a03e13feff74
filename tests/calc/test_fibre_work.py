"""After the dam: water, grass, store, work and yarn, each with its range."""

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.fibre import (
    EXPECTED,
    FEWEST_AT_LIFT,
    VOLUNTEERS,
    WHEEL_PRACTISED,
    YARN_OF_TOW,
    Band,
    Dryness,
    GrassDay,
    Hands,
    Heat,
    HeatSign,
    Smell,
    Step,
    TurnReason,
    Waiting,
    Work,
    account,
    cloth_of,
    dry_mass,
    dryness,
    expected_out,
    grass_area,
    grass_plan,
    grass_rows,
    hands_to_lift,
    hours_of,
    lea_of_tex,
    moisture_by_oven,
    moisture_of_regain,
    project,
    spinning_hours,
    stack_state,
    tex_of_lea,
    tex_of_metric,
    weight_at,
    wet_beet,
    with_beets,
    worked,
    yarn_length,
    yarn_of,
)

NEAR = pytest.approx
BEET = Band(2.0, 3.0, 5.0)
DAY = date(2026, 8, 20)
MOISTURES = st.floats(0, 90)

# Water


@given(st.floats(0, 400))
def test_a_moisture_is_below_its_regain(regain):
    moisture = moisture_of_regain(regain)
    assert moisture == NEAR(regain - regain * moisture / 100)
    assert moisture <= regain


@given(st.floats(0.001, 5_000), MOISTURES, MOISTURES)
def test_drying_leaves_the_dry_mass_as_it_was(kg, now, then):
    assert dry_mass(weight_at(kg, now, then), then) == NEAR(dry_mass(kg, now))


@given(st.floats(0.001, 5_000), MOISTURES)
def test_a_weight_at_its_own_moisture_is_itself(kg, moisture):
    assert weight_at(kg, moisture, moisture) == NEAR(kg)


@given(st.floats(0.01, 100), st.floats(0, 0.95))
def test_the_oven_finds_the_water_that_was_there(dry, share):
    assert moisture_by_oven(dry / (1 - share), dry) == NEAR(100 * share, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: dry_mass(1, 100), "moisture_pct must lie from 0 to below 100"),
        (lambda: dry_mass(-1, 10), "kg must not be negative"),
        (lambda: weight_at(1, 10, -1), "to_pct must lie from 0 to below 100"),
        (lambda: moisture_of_regain(-1), "regain_pct must not be negative"),
        (lambda: moisture_by_oven(1, 2), "dry_kg must not be above wet_kg"),
        (lambda: moisture_by_oven(0, 0), "wet_kg must be above zero"),
    ],
)
def test_water_that_cannot_be_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()


# The lift and the grass


def test_a_beet_is_heavier_straight_from_the_dam_than_drained():
    out, drained = wet_beet(BEET, drained=False), wet_beet(BEET, drained=True)
    assert out.likely == NEAR(11.4)
    assert drained.likely == NEAR(8.4)
    assert out.low > drained.low
    assert out.high > drained.high


@given(st.integers(0, 3_000), st.floats(0.5, 12))
def test_more_beets_take_no_fewer_hands_and_more_hours_no_more(beets, hours):
    hands = hands_to_lift(beets, hours)
    assert FEWEST_AT_LIFT <= hands.fewest <= hands.likely <= hands.most
    assert hands_to_lift(beets + 100, hours).likely >= hands.likely
    assert hands_to_lift(beets, hours + 1).likely <= hands.likely


def test_one_of_the_hands_only_watches():
    assert hands_to_lift(300, 2.0) == Hands(4, 6, 11)


@given(st.integers(0, 3_000))
def test_the_grass_goes_by_the_weight_of_the_beets(beets):
    area = grass_area(beets, BEET)
    assert area.likely == NEAR(7.5 * beets)
    assert grass_area(beets, BEET.scaled(2)).likely == NEAR(2 * area.likely)


@given(st.floats(0, 10_000), st.floats(1, 200))
def test_the_rows_cover_the_area_and_one_fewer_would_not(area, row):
    rows = grass_rows(area, row)
    strip = row * (0.85 - 0.08)
    assert rows * strip >= area - 1e-6
    assert (rows - 1) * strip < area


def test_rows_that_lie_over_each_other_whole_are_refused():
    with pytest.raises(ValueError, match="overlap_m must be below stem_m"):
        grass_rows(100, 20, stem_m=0.08)


def days(*rain, wind=None):
    return [
        GrassDay(DAY + timedelta(days=n), mm, wind)
        for n, mm in enumerate(rain, start=1)
    ]


def on(n):
    return DAY + timedelta(days=n)


def turns(plan):
    return [((turn.day - DAY).days, turn.reason) for turn in plan.turns]


def test_unknown_weather_takes_the_whole_range_and_turns_by_days():
    plan = grass_plan(DAY)
    assert (plan.first, plan.likely, plan.last) == (on(6), on(9), on(12))
    assert turns(plan) == [(4, TurnReason.BY_DAYS), (8, TurnReason.BY_DAYS)]
    assert plan.showery_share is None


def test_dry_days_take_longer_than_showery():
    dry, showery = grass_plan(DAY, days(*[0] * 12)), grass_plan(DAY, days(*[3] * 12))
    assert (dry.first, dry.likely, dry.last) == (on(10), on(11), on(12))
    assert (showery.first, showery.likely, showery.last) == (on(6), on(7), on(8))
    assert (dry.showery_share, showery.showery_share) == (0, 1)


def test_a_turn_comes_before_rain():
    plan = grass_plan(DAY, days(0, 0, 0, 5, 0, 0, 0, 0, 0, 0, 0))
    assert turns(plan)[0] == (3, TurnReason.BEFORE_RAIN)


def test_constant_rain_turns_every_other_day():
    plan = grass_plan(DAY, days(*[4] * 10))
    assert turns(plan) == [(2, TurnReason.SOAKED), (4, TurnReason.SOAKED),
                           (6, TurnReason.SOAKED)]  # fmt: skip


def test_a_turn_waits_for_the_wind_to_drop_but_not_for_ever():
    weather = days(0, 0, 0, 0, 0, wind=3.0)
    weather[3] = GrassDay(on(4), 0, 11.0)
    assert turns(grass_plan(DAY, weather))[0] == (5, TurnReason.AFTER_WIND)
    gale = grass_plan(DAY, days(*[0] * 12, wind=15.0))
    assert turns(gale)[0] == (7, TurnReason.AFTER_WIND)


def test_what_was_turned_counts_and_what_is_late_is_turned_now():
    plan = grass_plan(DAY, turned=[on(3)], today=on(3))
    assert turns(plan) == [(7, TurnReason.BY_DAYS)]
    assert turns(grass_plan(DAY, today=on(6)))[0] == (6, TurnReason.BY_DAYS)
    assert grass_plan(DAY, today=on(30)).turns == ()


def test_weather_before_it_was_spread_says_nothing():
    assert grass_plan(DAY, [GrassDay(on(-1), 9.0)]).showery_share is None


@given(
    st.lists(
        st.tuples(st.floats(0, 30) | st.none(), st.floats(0, 25) | st.none()),
        max_size=20,
    ),
    st.integers(0, 20),
)
def test_turns_are_to_come_in_order_and_before_it_is_ready(weather, since):
    plan = grass_plan(
        DAY,
        [GrassDay(on(n), rain, wind) for n, (rain, wind) in enumerate(weather)],
        today=on(since),
    )
    found = [turn.day for turn in plan.turns]
    assert found == sorted(set(found))
    assert all(on(since) <= day < plan.likely for day in found)
    assert plan.first <= plan.likely <= plan.last


# The store


@pytest.mark.parametrize(
    ("moisture", "what"),
    [
        (8, Dryness.BREAK),
        (12, Dryness.BREAK),
        (12.1, Dryness.STACK),
        (15, Dryness.STACK),
        (15.1, Dryness.SPREAD_AGAIN),
        (17.9, Dryness.SPREAD_AGAIN),
        (18, Dryness.NEVER_STACK),
        (60, Dryness.NEVER_STACK),
    ],
)
def test_what_straw_of_a_moisture_may_be_used_for(moisture, what):
    assert dryness(moisture) is what


@pytest.mark.parametrize(
    ("found", "heat", "signs", "again"),
    [
        ({}, Heat.FINE, (), 24),
        ({"age_days": 71}, Heat.FINE, (), 168),
        ({"temp_c": 49.9, "smell": Smell.SWEET}, Heat.FINE, (), 24),
        ({"temp_c": 50}, Heat.WATCH, (HeatSign.WARM,), 4),
        ({"moisture_pct": 15.5}, Heat.WATCH, (HeatSign.DAMP,), 4),
        ({"moisture_pct": 15}, Heat.FINE, (), 24),
        ({"smell": Smell.MUSTY}, Heat.WATCH, (HeatSign.MUSTY,), 4),
        ({"temp_c": 55}, Heat.STOP, (HeatSign.HOT,), 0),
        ({"smell": Smell.CARAMEL}, Heat.STOP, (HeatSign.CARAMEL,), 0),
        (
            {"smell": Smell.SMOKE, "temp_c": 52, "moisture_pct": 30},
            Heat.STOP,
            (HeatSign.SMOKE, HeatSign.WARM, HeatSign.DAMP),
            0,
        ),
    ],
)
def test_how_a_stack_stands(found, heat, signs, again):
    state = stack_state(**{"age_days": 10} | found)
    assert (state.heat, state.signs, state.look_again_h) == (heat, signs, again)


@given(st.floats(-20, 120), st.floats(-20, 120))
def test_a_warmer_stack_is_never_thought_safer(one, other):
    order = list(Heat)
    low, high = sorted([one, other])
    cool, warm = (stack_state(age_days=3, temp_c=each).heat for each in (low, high))
    assert order.index(cool) <= order.index(warm)


# The work


@pytest.mark.parametrize("work", list(Work))
@given(kg=st.floats(0, 500))
def test_what_goes_on_and_the_rest_make_the_whole(work, kg):
    onward, tow, rest = expected_out(work, kg)
    assert onward.likely + rest.likely == NEAR(kg)
    assert onward.low + rest.high == NEAR(kg)
    assert (tow is None) == (EXPECTED[work].tow is None)


def test_a_session_is_set_beside_the_published_range():
    good = worked(Work.SCUTCHING, 10, onward_kg=7, tow_kg=1, shive_kg=1.5)
    assert (good.onward, good.tow, good.shive) == NEAR((0.7, 0.1, 0.15))
    assert good.unweighed == NEAR(0.05)
    assert good.is_expected
    poor = worked(Work.HACKLING, 10, onward_kg=2, tow_kg=8, shive_kg=0)
    assert not poor.is_expected
    assert poor.unweighed == 0


def test_more_than_went_in_does_not_come_out():
    with pytest.raises(ValueError, match="more must not come out than went in"):
        worked(Work.BREAKING, 10, onward_kg=9, tow_kg=1, shive_kg=0.1)


def test_hours_have_a_wide_range_and_none_is_told_of_hackling_alone():
    breaking = hours_of(Work.BREAKING, 10)
    assert (breaking.low, breaking.likely, breaking.high) == NEAR((2.5, 4, 10))
    assert hours_of(Work.HACKLING, 10) is None


# Yarn and cloth


@given(st.floats(0.1, 500))
def test_lea_and_tex_turn_into_each_other(lea):
    assert lea_of_tex(tex_of_lea(lea)) == NEAR(lea)
    assert tex_of_metric(1000 / tex_of_lea(lea)) == NEAR(tex_of_lea(lea))


@given(st.floats(0, 200), st.floats(5, 1_000))
def test_yarn_of_a_length_weighs_what_its_tex_says(kg, tex):
    assert yarn_length(kg, tex) * tex / 1e6 == NEAR(kg)


def test_cloth_is_no_more_than_its_yarn():
    cloth = cloth_of(yarn_of(10, YARN_OF_TOW), 350)
    assert cloth.low < cloth.likely < cloth.high < 9 / 0.35
    assert cloth_of(yarn_of(0), 350) == Band(0, 0, 0)


def test_spinning_goes_by_length():
    hours = spinning_hours(1_000, WHEEL_PRACTISED)
    assert hours.likely == NEAR(4.0)
    assert math.isclose(hours.high, 1_000 / 120)


# The account

CHAIN = VOLUNTEERS
SHARES = CHAIN.kept


@given(beets=st.integers(0, 2_000))
def test_before_anything_is_weighed_the_account_is_the_chain(beets):
    crop, retted, scutched, line = account(CHAIN, beets, Waiting(beets), {})
    chain = {one.step: one.kg for one in project(CHAIN, beets)}
    assert crop.before == chain[Step.CROP]
    for one in (retted, scutched, line):
        assert one.before == chain[one.step]
        assert one.to_come.likely == NEAR(one.before.likely)
        assert one.total == one.to_come


def test_what_waits_at_each_work_adds_to_what_may_come():
    waiting = Waiting(0, straw_kg=100, broken_kg=10, scutched_kg=4)
    measured = {Step.RETTED: 300.0, Step.LINE: 2.0}
    _, retted, scutched, line = account(CHAIN, 200, waiting, measured)
    assert (retted.measured_kg, retted.to_come) == (300, Band(0, 0, 0))
    assert scutched.to_come.likely == NEAR(0.1 * 100 + 0.76 * 10)
    assert line.total.likely == NEAR(2 + 0.5 * (10 + 7.6 + 4))
    assert line.total.low < line.total.likely < line.total.high


def test_a_weighed_beet_replaces_the_chains_own():
    heavy = with_beets(CHAIN, Band(4, 4, 4))
    assert project(heavy, 10)[0].kg == Band(40, 40, 40)
    assert heavy.kept == SHARES


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: account(CHAIN, 1, Waiting(-1), {}), "beets must be 0 or more"),
        (lambda: account(CHAIN, 1, Waiting(0, -1.0), {}), "kg must not be negative"),
        (
            lambda: account(CHAIN, 1, Waiting(0), {Step.LINE: -1.0}),
            r"measured\[line\] must not be negative",
        ),
    ],
)
def test_an_account_of_less_than_nothing_is_refused(call, message):
    with pytest.raises(ValueError, match=message):
        call()


def test_yarn_of_a_range_has_its_range():
    yarn = yarn_of(Band(8, 10, 12))
    assert yarn.likely == NEAR(9)
    assert yarn.low < 0.85 * 10
    assert yarn_of(Band(0, 0, 0)) == Band(0, 0, 0)
