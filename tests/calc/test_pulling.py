"""Rates with their ranges, and a finish that is forecast exactly."""

from datetime import date, timedelta
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritage.calc.pulling import (
    PRACTISED,
    Band,
    Evening,
    evenings_needed,
    finish_forecast,
    machine_rate,
    person_rate,
    simulate_finish,
    tiers_needed,
    turnout_capacity,
)
from tests.calc.strategies import chances

FIRST = date(2026, 8, 3)
EVEN = {"wet_to_dry": 0.5, "dry_to_dry": 0.5, "last_was_dry": True}
capacities = st.integers(0, 30) | st.lists(
    st.integers(0, 30), min_size=2, max_size=4
).map(lambda beets: tuple((n, 1 / len(beets)) for n in beets))
outlooks = st.lists(
    st.tuples(st.integers(1, 4), capacities, st.none() | chances), max_size=6
)


def row(count, capacity, every=1):
    return [Evening(FIRST + timedelta(days=n * every), capacity) for n in range(count)]


def spread(steps):
    """Turn gaps, capacities and chances into evenings on rising days."""
    day, outlook = FIRST - timedelta(days=1), []
    for gap, capacity, dry_chance in steps:
        day += timedelta(days=gap)
        outlook.append(Evening(day, capacity, dry_chance))
    return outlook


def list_every_course(left, outlook, wet_to_dry, dry_to_dry, was_dry):
    """Sum over every course of weather and turnout, one by one."""
    to_dry = {True: Fraction(dry_to_dry), False: Fraction(wet_to_dry)}
    states = {(left, was_dry): Fraction(1)}
    day, done = FIRST - timedelta(days=1), []
    for evening in outlook:
        while day < evening.day:
            day += timedelta(days=1)
            after = {}
            for ((work, dry), chance), next_dry in product(
                states.items(), (True, False)
            ):
                turn = to_dry[dry] if next_dry else 1 - to_dry[dry]
                key = (work, next_dry)
                after[key] = after.get(key, 0) + chance * turn
            states = after
        after = {}
        for (work, dry), chance in states.items():
            for beets, share in evening.outcomes() if dry else ((0, 1),):
                key = (max(0, work - beets), dry)
                after[key] = after.get(key, 0) + chance * Fraction(share)
        states = after
        done.append(sum(chance for (work, _), chance in states.items() if not work))
    return done


# --- the forecast


@settings(deadline=None)
@given(
    st.integers(0, 60),
    st.lists(st.tuples(st.integers(1, 3), capacities, st.none()), max_size=5),
    st.fractions(0, 1, max_denominator=20),
    st.fractions(0, 1, max_denominator=20),
    st.booleans(),
)
def test_it_is_the_sum_over_every_course_of_the_season(left, steps, wet, dry, was_dry):
    outlook = spread(steps)
    found = finish_forecast(
        left,
        outlook,
        wet_to_dry=wet,
        dry_to_dry=dry,
        last_was_dry=was_dry,
        last_day=FIRST - timedelta(days=1),
    )
    expected = list_every_course(left, outlook, wet, dry, was_dry)
    assert list(found.chance_by_day.values()) == pytest.approx(
        [float(chance) for chance in expected], abs=1e-12
    )


@given(st.integers(0, 90), outlooks, chances, chances, st.booleans())
def test_the_chance_rises_with_the_days_and_stays_a_chance(left, steps, wet, dry, was):
    found = finish_forecast(
        left, spread(steps), wet_to_dry=wet, dry_to_dry=dry, last_was_dry=was
    )
    by_day = list(found.chance_by_day.values())
    assert by_day == sorted(by_day)
    assert all(0 <= chance <= 1 for chance in by_day)
    assert 0 <= found.evenings <= len(by_day)
    assert found.chance == (by_day[-1] if by_day else left == 0)


@given(st.integers(0, 60), st.integers(0, 30), outlooks, chances, chances)
def test_more_work_is_never_done_sooner(left, more, steps, wet, dry):
    outlook = spread(steps)
    weather = {"wet_to_dry": wet, "dry_to_dry": dry, "last_was_dry": False}
    less = finish_forecast(left, outlook, **weather)
    most = finish_forecast(left + more, outlook, **weather)
    assert most.chance <= less.chance + 1e-12
    assert most.evenings >= less.evenings - 1e-9


@given(st.integers(0, 60), st.integers(0, 20), st.integers(1, 10), chances, chances)
def test_a_stronger_crew_is_never_done_later(left, capacity, more, wet, dry):
    weather = {"wet_to_dry": wet, "dry_to_dry": dry, "last_was_dry": True}
    weak = finish_forecast(left, row(6, capacity), **weather)
    strong = finish_forecast(left, row(6, capacity + more), **weather)
    assert strong.chance >= weak.chance - 1e-12


def test_nothing_left_is_done_already():
    found = finish_forecast(0, row(2, 5), **EVEN)
    assert found.chance == 1
    assert found.evenings == 0
    assert found.day_at(0.9) == FIRST


def test_without_evenings_nothing_gets_done():
    assert finish_forecast(5, [], **EVEN).chance == 0
    assert finish_forecast(0, [], **EVEN).chance == 1
    assert finish_forecast(5, [], **EVEN).day_at(0.5) is None


def test_an_evening_without_hands_pulls_nothing():
    assert finish_forecast(5, row(10, 0), **EVEN).chance == 0


def test_a_day_is_named_for_the_chance_asked():
    """One dry evening in two, one needed: 1/2, 3/4, 7/8 ..."""
    found = finish_forecast(5, row(4, 5), **EVEN)
    assert list(found.chance_by_day) == [FIRST + timedelta(days=n) for n in range(4)]
    assert [found.day_at(q) for q in (0.5, 0.75, 0.9)] == [
        FIRST,
        FIRST + timedelta(days=1),
        FIRST + timedelta(days=3),
    ]
    assert found.day_at(0.99) is None
    assert found.evenings == 1 + 0.5 + 0.25 + 0.125


def test_weather_runs_on_through_days_without_a_gathering():
    """After two more days a dry spell is less sure than the day after."""
    weather = {"wet_to_dry": 0.2, "dry_to_dry": 0.8, "last_was_dry": True}
    assert finish_forecast(1, row(1, 1), **weather).chance == pytest.approx(0.8)
    later = finish_forecast(1, row(1, 1), **weather, last_day=FIRST - timedelta(days=2))
    assert later.chance == pytest.approx(0.8 * 0.8 + 0.2 * 0.2)


def test_unknown_weather_begins_from_the_long_run_share():
    found = finish_forecast(
        1, row(1, 1), wet_to_dry=0.3, dry_to_dry=0.9, last_was_dry=None
    )
    assert found.chance == pytest.approx(0.75)


def test_weather_that_never_changes_must_be_known():
    stuck = {"wet_to_dry": 0, "dry_to_dry": 1}
    assert finish_forecast(1, row(3, 1), **stuck, last_was_dry=False).chance == 0
    with pytest.raises(ValueError, match="last_was_dry must be known"):
        finish_forecast(1, row(3, 1), **stuck, last_was_dry=None)


def test_a_weather_forecast_goes_before_the_chain():
    outlook = [Evening(FIRST, 5, dry_chance=0.9)]
    assert finish_forecast(5, outlook, **EVEN).chance == pytest.approx(0.9)


def test_memory_widens_the_spread():
    """The same share of dry days, with and without spells."""
    spells = {"wet_to_dry": 0.3, "dry_to_dry": 0.8, "last_was_dry": None}
    plain = {"wet_to_dry": 0.6, "dry_to_dry": 0.6, "last_was_dry": None}
    late = [
        finish_forecast(60, row(60, 10), **weather).day_at(0.95)
        for weather in (plain, spells)
    ]
    assert late[0] < late[1]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"beets_left": -1}, "beets_left must be 0 or more"),
        ({"beets_left": 2.5}, "beets_left must be a whole number"),
        ({"wet_to_dry": 1.1}, "wet_to_dry must lie from 0 to 1"),
        ({"dry_to_dry": float("nan")}, "dry_to_dry must be a finite number"),
        ({"outlook": row(2, 1, every=0)}, "outlook must hold one evening a day"),
        ({"outlook": row(2, 1)[::-1]}, "outlook must hold one evening a day"),
        ({"last_day": FIRST}, "last_day must lie before the outlook's first evening"),
        ({"beets_left": 1_000_001}, "beets_left must be 1000000 or fewer"),
    ],
)
def test_a_forecast_without_meaning_is_refused(wrong, message):
    asked = {"beets_left": 5, "outlook": row(2, 1), **EVEN} | wrong
    with pytest.raises(ValueError, match=message):
        finish_forecast(asked.pop("beets_left"), asked.pop("outlook"), **asked)


@pytest.mark.parametrize(
    ("capacity", "dry_chance", "message"),
    [
        (-1, None, "capacity must be 0 or more"),
        (1.5, None, "capacity must be a whole number"),
        (((1, 0.5), (2, 0.4)), None, "capacity must have chances that sum to 1"),
        (((1, 1.5), (2, -0.5)), None, "capacity must lie from 0 to 1"),
        ((), None, "capacity must have chances that sum to 1"),
        (1, 2, "dry_chance must lie from 0 to 1"),
    ],
)
def test_an_evening_without_meaning_is_refused(capacity, dry_chance, message):
    with pytest.raises(ValueError, match=message):
        Evening(FIRST, capacity, dry_chance)


def test_a_chance_asked_for_must_be_one():
    with pytest.raises(ValueError, match="q must lie from 0 to 1"):
        finish_forecast(5, row(2, 1), **EVEN).day_at(1.5)


# --- the picture


def test_every_course_goes_down_from_the_work_left_to_nothing():
    capacity = ((10, 0.5), (20, 0.5))
    paths = simulate_finish(60, row(12, capacity), **EVEN, runs=50, seed=7)
    assert paths.shape == (50, 12)
    assert (paths[:, 1:] <= paths[:, :-1]).all()
    assert ((paths >= 0) & (paths <= 60) & (paths % 10 == 0)).all()


def test_the_same_seed_draws_the_same_picture():
    one, again, other = (
        simulate_finish(60, row(12, 10), **EVEN, runs=20, seed=seed).tolist()
        for seed in (1, 1, 2)
    )
    assert one == again != other


@pytest.mark.parametrize(("name", "value"), [("runs", 0), ("seed", -1)])
def test_a_picture_without_meaning_is_refused(name, value):
    asked = {"runs": 10, "seed": 1} | {name: value}
    with pytest.raises(ValueError, match=f"^{name} must be"):
        simulate_finish(5, row(2, 1), **EVEN, **asked)


# --- the closed form


def test_no_dry_evening_needed_is_none_at_all():
    found = evenings_needed(0, 0.5)
    assert (found.mean, found.sd, found.chance(0), found.evenings_at(0.9)) == (
        0,
        0,
        1,
        0,
    )


def test_where_it_never_rains_so_many_are_enough():
    found = evenings_needed(4, 1)
    assert (found.mean, found.sd, found.evenings_at(1)) == (4, 0, 4)
    assert (found.chance(3), found.chance(4)) == (0, 1)


def test_no_number_of_evenings_is_certain():
    assert evenings_needed(4, 0.5).evenings_at(0) == 4
    with pytest.raises(ValueError, match="q must be below 1"):
        evenings_needed(4, 0.5).evenings_at(1)


@given(st.integers(1, 12), st.floats(0.2, 1), st.floats(0.05, 0.95))
def test_so_many_evenings_are_enough_and_one_fewer_is_not(k, p, q):
    found = evenings_needed(k, p)
    enough = found.evenings_at(q)
    assert found.chance(enough) >= q - 1e-9
    assert found.chance(enough - 1) <= q + 1e-9


@pytest.mark.parametrize(
    ("k", "p", "message"),
    [
        (-1, 0.5, "k must be 0 or more"),
        (5, 0, "p must be above zero"),
        (5, 1.5, "p must lie from 0 to 1"),
        (5, float("nan"), "p must be a finite number"),
    ],
)
def test_a_need_without_meaning_is_refused(k, p, message):
    with pytest.raises(ValueError, match=message):
        evenings_needed(k, p)


# --- rates


def test_a_practised_crew_in_a_standing_crop_has_the_published_range():
    assert person_rate() == PRACTISED


def test_novices_lodging_and_wet_each_slow_it():
    assert person_rate(novices=1).likely == pytest.approx(28)
    assert person_rate(novices=0.5).likely == pytest.approx(34)
    assert person_rate(lodged=True).likely == pytest.approx(24)
    assert person_rate(wet=True).likely == pytest.approx(34)


@given(chances, chances, st.booleans(), st.booleans())
def test_more_novices_never_pull_more(one, other, lodged, wet):
    few, many = sorted((one, other))
    fast = person_rate(novices=few, lodged=lodged, wet=wet)
    slow = person_rate(novices=many, lodged=lodged, wet=wet)
    assert slow.low <= fast.low
    assert slow.likely <= fast.likely
    assert slow.high <= fast.high


def test_a_machine_is_worth_what_its_driver_says():
    assert machine_rate(8) == Band(200, 320, 520)
    assert machine_rate(Band(6, 8, 10)) == Band(150, 320, 650)


def test_a_machine_of_today_covers_a_hectare_an_hour_and_more():
    assert machine_rate() == Band(10_000, 14_000, 18_000)
    assert machine_rate(lodged=True, wet=True).likely == pytest.approx(7140)


@pytest.mark.parametrize(
    ("pullers", "tiers"), [(0, 0), (1, 1), (4, 1), (5, 2), (12, 3), (14, 4)]
)
def test_a_tier_keeps_up_with_four_pullers(pullers, tiers):
    assert tiers_needed(pullers) == tiers


@given(
    st.one_of(st.integers(0, 25), st.just(1_000)),
    st.integers(0, 50),
    chances,
    st.floats(0.01, 10_000),
)
def test_a_turnout_makes_an_evening_that_the_forecast_takes(people, each, share, even):
    capacity = turnout_capacity(people, each, mean_share=share, evenness=even)
    mean = sum(n * chance for n, chance in Evening(FIRST, capacity).outcomes())
    assert mean == pytest.approx(people * each * share, abs=0.01)


def test_all_or_nobody_is_not_taken_for_all():
    """Where the evenings could hardly differ more, six in ten bring everybody."""
    nobody, *_, everybody = turnout_capacity(10, 1, mean_share=0.6, evenness=0.01)
    assert nobody == (0, pytest.approx(0.4, abs=0.01))
    assert everybody == (10, pytest.approx(0.6, abs=0.01))


def test_a_surer_turnout_is_narrower():
    """The wider the spread, the greater the chance that all stay away."""
    nobody = [
        dict(turnout_capacity(10, 1, evenness=evenness))[0] for evenness in (2, 5, 50)
    ]
    assert nobody == sorted(nobody, reverse=True)


def test_all_come_where_all_always_come():
    assert turnout_capacity(10, 3, mean_share=1) == ((30, 1.0),)
    assert turnout_capacity(1_000, 3, mean_share=5e-324) == ((0, 1.0),)


REFUSED = [
    (lambda x: person_rate(novices=x), "novices", 1.1),
    (lambda x: machine_rate(x), "hands", 0),
    (lambda x: tiers_needed(x), "pullers", -1),
    (lambda x: tiers_needed(5, x), "pullers_per_tier", 0),
    (lambda x: turnout_capacity(x, 5), "signed_up", -1),
    (lambda x: turnout_capacity(5, x), "beets_each", -1),
    (lambda x: turnout_capacity(5, 5, mean_share=x), "mean_share", 1.1),
    (lambda x: turnout_capacity(5, 5, evenness=x), "evenness", 0),
    (lambda x: turnout_capacity(x, 5), "signed_up", 1_001),
    (lambda x: turnout_capacity(5, 5, evenness=x), "evenness", 0.009),
    (lambda x: turnout_capacity(5, 5, evenness=x), "evenness", 1e12),
]


@pytest.mark.parametrize(("function", "name", "value"), REFUSED)
def test_what_cannot_be_is_refused_by_name(function, name, value):
    with pytest.raises(ValueError, match=f"^{name} must"):
        function(value)


def test_a_rate_below_nothing_is_refused():
    with pytest.raises(ValueError, match="practised must be above zero"):
        person_rate(practised=Band(0, 1, 2))
