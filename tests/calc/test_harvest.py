"""The field pulled while it is fit, and under water in time."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heritage.calc.harvest import (
    Carting,
    FitWindow,
    Harvest,
    Limit,
    PullingEvening,
    Room,
    bottleneck,
    differences,
    fit_windows,
    harvest_forecast,
)
from heritage.calc.pulling import Evening, finish_forecast
from tests.calc.strategies import chances

FIRST = date(2026, 8, 1)
ALL_MONTH = (FitWindow(FIRST, FIRST + timedelta(days=29)),)


def on(n):
    return FIRST + timedelta(days=n)


def row(count, capacity, **kwargs):
    return tuple(PullingEvening(on(n), capacity, **kwargs) for n in range(count))


def harvest(**kwargs):
    """Make a harvest of ten beets, five evenings of two, and plenty of the rest."""
    defaults = {
        "first_day": FIRST,
        "beets_left": 10,
        "evenings": row(5, 2),
        "windows": ALL_MONTH,
        "wet_to_dry": 0.5,
        "dry_to_dry": 0.5,
    }
    return Harvest(**(defaults | kwargs))


def dry(count, capacity):
    return row(count, capacity, dry_chance=1.0)


# --- the forecast


steps = st.lists(
    st.tuples(st.integers(1, 3), st.integers(0, 12), st.none() | chances), max_size=6
)


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 60), steps, chances, chances, st.booleans())
def test_with_plenty_of_all_else_it_is_the_forecast_of_the_finish(
    left, steps, wet, dry, was_dry
):
    day, evenings = on(-1), []
    for gap, capacity, chance in steps:
        day += timedelta(days=gap)
        evenings.append(Evening(day, capacity, chance))
    weather = {"wet_to_dry": wet, "dry_to_dry": dry, "last_was_dry": was_dry}
    finish = finish_forecast(left, evenings, **weather, last_day=on(-1))
    found = harvest_forecast(
        harvest(beets_left=left, evenings=tuple(evenings), **weather)
    )
    assert found.pulled == pytest.approx(finish.chance, abs=1e-9)
    assert found.under_water == pytest.approx(found.pulled, abs=1e-9)


@settings(deadline=None, max_examples=60)
@given(
    st.integers(0, 30),
    st.integers(0, 10),
    st.integers(0, 12),
    st.integers(0, 40),
    st.integers(0, 4),
)
def test_more_carts_room_and_time_never_harm(left, waiting, cart, room, waits):
    """Nor is anything under water more surely than it is pulled."""
    carts = tuple(Carting(on(n), cart) for n in range(0, 20, 2))
    before = harvest(
        beets_left=left,
        waiting=waiting,
        evenings=row(8, 6),
        carts=carts,
        rooms=(Room(FIRST, room),),
        wait_days=waits,
    )
    found = harvest_forecast(before)
    assert found.under_water <= found.pulled + 1e-12
    for more in (
        replace(before, carts=None),
        replace(before, rooms=(Room(FIRST, room), Room(on(6), 9))),
        replace(before, wait_days=waits + 1),
        replace(before, windows=(FitWindow(FIRST, on(40)),)),
    ):
        assert harvest_forecast(more).under_water >= found.under_water - 1e-9


def test_what_is_pulled_and_what_is_carted_is_what_was_there():
    found = harvest_forecast(
        harvest(evenings=dry(5, 2), waiting=3, carts=(Carting(on(5), 40),))
    )
    assert [one.waiting for one in found.by_day[:6]] == [5, 7, 9, 11, 13, 0]
    assert sum(one.carted for one in found.by_day) == pytest.approx(13)
    assert found.pulled == 1


def test_flax_that_waits_a_day_too_long_is_not_under_water_in_time():
    week = {"evenings": dry(5, 2), "carts": (Carting(on(5), 40),)}
    assert harvest_forecast(harvest(**week, wait_days=5)).under_water == 1
    assert harvest_forecast(harvest(**week, wait_days=4)).under_water == 0


def test_without_a_cart_nothing_is_under_water():
    found = harvest_forecast(harvest(evenings=dry(5, 2), carts=()))
    assert (found.pulled, found.under_water) == (1, 0)


def test_a_second_batch_in_the_dam_must_come_before_the_flax_has_waited():
    once = harvest(
        evenings=dry(5, 2),
        carts=tuple(Carting(on(n), 2) for n in range(12)),
        rooms=(Room(FIRST, 6),),
    )
    assert harvest_forecast(once).under_water == 0
    for day, chance in ((6, 1), (7, 1), (8, 0)):
        more = replace(once, rooms=(*once.rooms, Room(on(day), 6)))
        assert harvest_forecast(more).under_water == chance


def test_nobody_pulls_before_the_crop_is_fit_or_counts_what_came_too_late():
    early, late = FitWindow(on(2), on(20)), FitWindow(FIRST, on(3))
    assert harvest_forecast(harvest(evenings=dry(5, 4), windows=(early,))).pulled == 1
    assert harvest_forecast(harvest(evenings=dry(5, 2), windows=(early,))).pulled == 0
    assert harvest_forecast(harvest(evenings=dry(5, 2), windows=(late,))).pulled == 0
    assert harvest_forecast(harvest(evenings=dry(4, 3), windows=(late,))).pulled == 1


def test_a_window_that_is_over_leaves_a_chance_only_to_a_field_that_is_done():
    over = (FitWindow(on(-9), on(-2)),)
    assert harvest_forecast(harvest(windows=over)).pulled == 0
    done = harvest_forecast(harvest(windows=over, beets_left=0, evenings=()))
    assert (done.pulled, done.under_water) == (1, 1)


def test_a_field_that_is_pulled_still_has_to_be_carted():
    found = harvest_forecast(
        harvest(beets_left=0, waiting=5, evenings=(), carts=(Carting(on(2), 9),))
    )
    assert (found.pulled, found.under_water) == (1, 1)
    assert found.day_at(0.5) == on(2)


def test_the_day_is_named_for_the_chance_asked():
    """One dry evening in two, one needed: 1/2, 3/4, 7/8 ..."""
    found = harvest_forecast(harvest(beets_left=1, evenings=row(5, 5)))
    assert [found.day_at(q) for q in (0.5, 0.75, 0.9)] == [FIRST, on(1), on(3)]
    assert found.day_at(0.99) is None
    with pytest.raises(ValueError, match="q must lie from 0 to 1"):
        found.day_at(1.5)


def test_a_field_in_lots_keeps_the_mean_of_what_is_pulled():
    """700 beets are reckoned in lots of twelve; an evening pulls 100."""
    found = harvest_forecast(
        harvest(beets_left=700, evenings=dry(3, 100), carts=(Carting(on(4), 9_999),))
    )
    assert found.by_day[4].carted == pytest.approx(300)


# --- the window


def test_a_window_is_told_in_parts():
    """Quarters of a triangle: 0.134 and 0.5 of the way in, 0.5 and 0.866 out."""
    parts = fit_windows(on(0), on(10), on(30), parts=2)
    assert parts == (FitWindow(on(1), on(20), 0.5), FitWindow(on(5), on(27), 0.5))


def test_parts_that_are_alike_are_one():
    assert fit_windows(FIRST, FIRST, FIRST) == (FitWindow(FIRST, FIRST, 1),)


def test_more_parts_than_are_reckoned_with_change_little():
    evenings = row(12, 2)
    few, many = (
        harvest_forecast(
            harvest(evenings=evenings, windows=fit_windows(FIRST, on(6), on(14), n))
        )
        for n in (5, 60)
    )
    assert few.pulled == pytest.approx(many.pulled, abs=0.02)


# --- what holds it back, and what would help


@pytest.mark.parametrize(
    ("limit", "kwargs"),
    [
        (Limit.WEATHER, {}),
        (Limit.HANDS, {"evenings": dry(4, 2)}),
        (Limit.LIGHT, {"evenings": row(5, 1, if_lit=4, dry_chance=0.9)}),
        (Limit.WINDOW, {"evenings": dry(10, 1), "windows": (FitWindow(FIRST, on(3)),)}),
        (Limit.CARTS, {"evenings": dry(5, 2), "carts": ()}),
        (Limit.ROOM, {"evenings": dry(5, 2), "rooms": (Room(FIRST, 5),)}),
        (None, {"evenings": dry(5, 2)}),
        (None, {"evenings": ()}),
    ],
)  # fmt: skip
def test_the_bottleneck_is_named(limit, kwargs):
    asked = harvest(**kwargs)
    assert bottleneck(asked, harvest_forecast(asked)) is limit


def test_an_evening_without_a_word_of_its_light_is_taken_as_lit():
    asked = harvest(evenings=tuple(Evening(on(n), 2, 1.0) for n in range(4)))
    assert bottleneck(asked, harvest_forecast(asked)) is Limit.HANDS


def test_changes_are_set_against_the_harvest_as_it_stands():
    asked = harvest(evenings=dry(5, 2), carts=(), rooms=(Room(FIRST, 10),))
    changes = {
        "nothing": asked,
        "carts": replace(asked, carts=tuple(Carting(on(n), 9) for n in range(9))),
        "fewer hands": replace(asked, evenings=dry(5, 1)),
    }
    found = differences(harvest_forecast(asked), changes)
    assert next(iter(found)) == "carts"
    assert (found["carts"].pulled, found["carts"].under_water) == (0, 1)
    assert found["carts"].after.under_water == 1
    assert (found["nothing"].pulled, found["nothing"].under_water) == (0, 0)
    assert found["fewer hands"].pulled == -1


# --- what is refused


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"beets_left": -1}, "beets_left must be 0 or more"),
        ({"beets_left": -1, "waiting": 2}, "beets_left must be 0 or more"),
        ({"waiting": -1}, "waiting must be 0 or more"),
        ({"beets_left": 999_999, "waiting": 2}, "must be 1000000 or fewer"),
        ({"wait_days": -1}, "wait_days must be 0 or more"),
        ({"first_day": on(1)}, "evenings must not lie before first_day"),
        ({"last_day": FIRST}, "last_day must lie before first_day"),
        ({"windows": ()}, "windows must have chances that sum to 1"),
        ({"windows": (FitWindow(FIRST, on(400)),)}, "windows must end within 366"),
        ({"carts": (Carting(FIRST, 1), Carting(FIRST, 2))}, "carts must have names"),
        ({"evenings": (*row(2, 1), *row(1, 1))}, "each later than the last"),
    ],
)
def test_a_harvest_that_cannot_be_is_refused(wrong, message):
    with pytest.raises(ValueError, match=message):
        harvest(**wrong)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Carting(FIRST, -1), "carts must be 0 or more"),
        (lambda: Room(FIRST, -1), "rooms must be 0 or more"),
        (lambda: FitWindow(on(1), FIRST), "windows must end on or after"),
        (lambda: FitWindow(FIRST, FIRST, 1.5), "windows must lie from 0 to 1"),
        (lambda: PullingEvening(FIRST, 1, if_lit=-1), "capacity must be 0 or more"),
        (lambda: fit_windows(on(1), FIRST, on(2)), "best must lie from first to last"),
        (lambda: fit_windows(FIRST, FIRST, on(2), 0), "parts must be 1 or more"),
    ],
)
def test_parts_of_a_harvest_that_cannot_be_are_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()


def test_the_weather_runs_on_from_the_last_day_known():
    """One day and three days after a dry one."""
    weather = {"wet_to_dry": 0.2, "dry_to_dry": 0.8, "last_was_dry": True}
    asked = harvest(beets_left=1, evenings=row(1, 1), **weather)
    assert harvest_forecast(asked).pulled == pytest.approx(0.8)
    later = harvest_forecast(replace(asked, last_day=on(-2)))
    assert later.pulled == pytest.approx(0.8 * 0.8 + 0.2 * 0.2)
