"""The harvest against closed forms, and a season played out many times, coded apart."""

from collections import deque
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import binom, nbinom

from heritage.calc.harvest import (
    Carting,
    FitWindow,
    Harvest,
    PullingEvening,
    Room,
    fit_windows,
    harvest_forecast,
)
from heritage.calc.pulling import Evening, evenings_needed, turnout_capacity

FIRST = date(2026, 8, 1)
RUNS = 8_000
# Gabriel and Neumann, Q. J. R. Meteorol. Soc. 88 (1962) 90-95, rain at Tel Aviv.
TEL_AVIV = {"wet_to_dry": 1 - 0.662, "dry_to_dry": 0.750}


def on(n):
    return FIRST + timedelta(days=n)


def played_out(harvest, seed):
    """Play the season out: who pulls what, and what the carts find, lot by lot.

    Each lot keeps the day on which it was pulled, and the cart takes the oldest.
    Returns the share of seasons pulled in time and also under water in time, by day,
    and the mean of what was carted each day.
    """
    random = np.random.default_rng(seed)
    days, evenings = harvest.days, {one.day: one for one in harvest.evenings}
    pulled, steeped, carted = np.zeros((3, len(days)))
    carts = {one.day: one.beets for one in harvest.carts or ()}
    windows = random.choice(
        len(harvest.windows), RUNS, p=[one.chance for one in harvest.windows]
    )
    for run in range(RUNS):
        window = harvest.windows[windows[run]]
        dry = bool(harvest.last_was_dry)
        left, all_in, stook = harvest.beets_left, 0, deque()
        lost = done = False
        if harvest.waiting:
            stook.append([harvest.first_day, harvest.waiting])
        for n, day in enumerate(days):
            evening = evenings.get(day)
            chance = harvest.dry_to_dry if dry else harvest.wet_to_dry
            if evening and evening.dry_chance is not None:
                chance = evening.dry_chance
            dry = random.random() < chance
            if evening and dry and day >= window.first:
                beets, odds = zip(*evening.outcomes(), strict=True)
                came = min(left, int(random.choice(beets, p=odds)))
                if came:
                    stook.append([day, came])
                    left -= came
            room = sum(one.beets for one in harvest.rooms if one.day <= day) - all_in
            takes = min(carts.get(day, 0), room)
            while takes and stook:
                part = min(takes, stook[0][1])
                stook[0][1] -= part
                takes, all_in = takes - part, all_in + part
                carted[n] += part
                if not stook[0][1]:
                    stook.popleft()
            waits = timedelta(days=harvest.wait_days)
            if stook and day - stook[0][0] >= waits:
                lost = True
            if day <= window.last and left == 0 and not done:
                pulled[n:] += 1
                done = True
            if done and not stook and not lost:
                steeped[n:] += 1
                break
    return pulled / RUNS, steeped / RUNS, carted / RUNS


SEASONS = {
    "carts that barely follow": Harvest(
        first_day=FIRST,
        beets_left=34,
        waiting=4,
        evenings=tuple(
            PullingEvening(on(n), turnout_capacity(8, 3))
            for n in (1, 2, 4, 5, 8, 9, 12)
        ),
        windows=fit_windows(on(1), on(6), on(15)),
        carts=tuple(Carting(on(n), 10) for n in (0, 2, 3, 5, 6, 9, 10, 13, 14)),
        rooms=(Room(FIRST, 60),),
        wait_days=3,
        last_was_dry=False,
        **TEL_AVIV,
    ),
    "a dam that fills before the second batch": Harvest(
        first_day=FIRST,
        beets_left=40,
        evenings=tuple(
            Evening(on(n), turnout_capacity(8, 2), 0.8 if n < 3 else None)
            for n in range(1, 14, 2)
        ),
        windows=(FitWindow(on(0), on(9), 0.4), FitWindow(on(3), on(13), 0.6)),
        carts=tuple(Carting(on(n), 14) for n in range(18)),
        rooms=(Room(FIRST, 22), Room(on(8), 30)),
        wait_days=4,
        last_was_dry=True,
        wet_to_dry=0.4,
        dry_to_dry=0.65,
    ),
    "an evening's own cart": Harvest(
        first_day=FIRST,
        beets_left=30,
        evenings=tuple(Evening(on(n), turnout_capacity(5, 3)) for n in range(8)),
        windows=(FitWindow(on(0), on(7)),),
        carts=tuple(Carting(on(n), 11) for n in range(9)),
        rooms=(Room(FIRST, 30),),
        wait_days=0,
        last_was_dry=True,
        **TEL_AVIV,
    ),
}


@pytest.mark.parametrize("name", SEASONS)
def test_a_season_played_out_many_times(name):
    """Each chance within four standard errors; what is carted, within 2 %."""
    harvest = SEASONS[name]
    pulled, steeped, carted = played_out(harvest, seed=11)
    found = harvest_forecast(harvest)
    for told, played in (
        ([one.pulled for one in found.by_day], pulled),
        ([one.under_water for one in found.by_day], steeped),
    ):
        error = np.sqrt(np.maximum(played * (1 - played), 1e-4) / RUNS)
        assert np.all(np.abs(np.array(told) - played) <= 4 * error)
    assert 0.05 < found.under_water < found.pulled < 0.95
    total = sum(one.carted for one in found.by_day)
    assert total == pytest.approx(carted.sum(), rel=0.02)


def test_a_field_reckoned_in_lots():
    """600 beets in lots of ten: within a hundredth of the season played out."""
    harvest = Harvest(
        first_day=FIRST,
        beets_left=600,
        evenings=tuple(
            Evening(on(n), turnout_capacity(14, 11)) for n in range(0, 20, 2)
        ),
        windows=fit_windows(on(0), on(8), on(26)),
        carts=tuple(Carting(on(n), 130) for n in range(30)),
        rooms=(Room(FIRST, 400), Room(on(12), 400)),
        last_was_dry=True,
        wet_to_dry=0.6,
        dry_to_dry=0.9,
    )
    pulled, steeped, _carted = played_out(harvest, seed=12)
    found = harvest_forecast(harvest)
    assert found.pulled == pytest.approx(pulled[-1], abs=0.025)
    assert found.under_water == pytest.approx(steeped[-1], abs=0.025)


# --- closed forms


@pytest.mark.parametrize(
    ("k", "p", "evenings"), [(3, 0.6, 6), (5, 0.5, 11), (1, 0.2, 4)]
)
def test_with_plenty_of_carts_and_room_it_is_the_evenings_needed(k, p, evenings):
    """The negative binomial, by scipy too."""
    harvest = Harvest(
        first_day=FIRST,
        beets_left=k,
        evenings=tuple(Evening(on(n), 1) for n in range(30)),
        windows=(FitWindow(FIRST, on(evenings - 1)),),
        wet_to_dry=p,
        dry_to_dry=p,
    )
    found = harvest_forecast(harvest)
    assert found.under_water == found.pulled
    assert found.pulled == pytest.approx(evenings_needed(k, p).chance(evenings))
    assert found.pulled == pytest.approx(nbinom.cdf(evenings - k, k, p))


@pytest.mark.parametrize("room", [2, 4, 7])
def test_one_evening_fits_the_dam_as_often_as_few_come(room):
    """All evenings dry, one of them, whose turnout must not pass the dam's room.

    The field is as large as what is pulled, so it is pulled and under water exactly
    if enough came for the field and the room is as large as the field.
    """
    harvest = Harvest(
        first_day=FIRST,
        beets_left=4,
        evenings=(
            Evening(FIRST, tuple((n, binom.pmf(n, 6, 0.5)) for n in range(7)), 1.0),
        ),
        windows=(FitWindow(FIRST, FIRST),),
        carts=(Carting(on(1), 9),),
        rooms=(Room(FIRST, room),),
        wet_to_dry=0.5,
        dry_to_dry=0.5,
    )
    found = harvest_forecast(harvest)
    enough = binom.sf(3, 6, 0.5)
    assert found.pulled == pytest.approx(enough)
    assert found.under_water == pytest.approx(enough if room >= 4 else 0)
    # The cart takes what was pulled, the field at the most, as far as there is room.
    taken = sum(binom.pmf(n, 6, 0.5) * min(n, 4, room) for n in range(7))
    assert found.by_day[1].carted == pytest.approx(taken)


def test_a_window_of_two_kinds_is_their_mean():
    """Two dry evenings needed of so many: the binomial, weighed."""
    harvest = Harvest(
        first_day=FIRST,
        beets_left=2,
        evenings=tuple(Evening(on(n), 1) for n in range(8)),
        windows=(FitWindow(on(0), on(3), 0.25), FitWindow(on(2), on(7), 0.75)),
        wet_to_dry=0.3,
        dry_to_dry=0.3,
    )
    expected = 0.25 * binom.sf(1, 4, 0.3) + 0.75 * binom.sf(1, 6, 0.3)
    assert harvest_forecast(harvest).pulled == pytest.approx(expected)


def test_the_chances_by_day_follow_the_binomial_to_the_window_and_then_stand():
    harvest = Harvest(
        first_day=FIRST,
        beets_left=2,
        evenings=tuple(Evening(on(n), 1) for n in range(8)),
        windows=(FitWindow(on(0), on(5)),),
        wet_to_dry=0.3,
        dry_to_dry=0.3,
    )
    by_day = [one.pulled for one in harvest_forecast(harvest).by_day]
    expected = [binom.sf(1, min(n, 6), 0.3) for n in range(1, len(by_day) + 1)]
    assert by_day == pytest.approx(expected)
    assert all(one <= other for one, other in pairwise(by_day))
