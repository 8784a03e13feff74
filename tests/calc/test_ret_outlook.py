"""The water ahead of a ret, a lag, doubt about a look, and progress at any moment."""

from datetime import timedelta

import numpy as np
import pytest

from heritage.calc.dam import Phase
from heritage.calc.retting import (
    Reading,
    Sign,
    after_lag,
    learn,
    phase_chances,
    pond_temperature,
    prior,
    rate,
    reached,
    ready,
    warmth_of,
    water_ahead,
)
from tests.calc.strategies_rets import Batch
from tests.calc.strategies_water import STEEPED

NEAR = pytest.approx
DAY = timedelta(days=1)


def log(*temps):
    return [Reading(STEEPED + day * DAY, temp) for day, temp in enumerate(temps)]


def test_with_no_air_known_the_water_is_held_and_known_the_less():
    """Of two days that stray by 1.6 °C and share 0.91 a day: worked out by hand."""
    water = water_ahead(16.0, depth_m=1.0)
    assert set(water.mean_c) == {16.0}
    assert water.air_days == 0
    hand = [1.6 * (2 * (1 - 0.91**day)) ** 0.5 for day in (1, 3, 10)]
    assert [water.sd_c[day - 1] for day in (1, 3, 10)] == NEAR(hand)


def test_with_air_the_water_follows_it_and_is_known_better():
    water = water_ahead(16.0, [10.0] * 5, depth_m=1.2, offset_c=0.0)
    pond = pond_temperature([10.0] * 5, depth_m=1.2, start_c=16.0, offset_c=0.0)
    assert water.mean_c[:5] == NEAR(tuple(pond))
    assert water.mean_c[5] == water.mean_c[119] == NEAR(pond[-1])
    assert water.sd_c[0] == NEAR(0.66, abs=0.01)
    held = water_ahead(16.0, depth_m=1.2)
    assert all(a < b for a, b in zip(water.sd_c[:5], held.sd_c[:5], strict=True))
    assert list(water.sd_c) == sorted(water.sd_c)


def test_a_colder_week_is_later_and_wider():
    told = [
        ready(prior(), 0.3, water.mean_c, water.sd_c)
        for water in (
            water_ahead(16.0, [14.5] * 7, depth_m=1.0),
            water_ahead(16.0, [8.0] * 7, depth_m=1.0),
        )
    ]
    assert told[1].likely > told[0].likely + 1
    assert told[1].late - told[1].early > told[0].late - told[0].early


def test_held_water_widens_the_days_beyond_a_forecasts():
    held = ready(prior(), 0.0, 16.0, water_ahead(16.0, depth_m=1.0).sd_c)
    known = ready(prior(), 0.0, 16.0)
    assert held.late - held.early > known.late - known.early


@pytest.mark.parametrize("temp", [8.0, 16.0, 33.0])
def test_warmth_and_rate_undo_each_other(temp):
    assert warmth_of(rate(temp)) == NEAR(temp)


def test_no_rate_is_of_water_beyond_the_open():
    assert (warmth_of(1e-9), warmth_of(9.0)) == (-5.0, 33.0)


def test_progress_at_any_moment_read_or_expected():
    """At one warmth, by the rate times the days; nothing before the start."""
    moments = [STEEPED - DAY, STEEPED + DAY / 2, STEEPED + 4 * DAY]
    told = reached(log(16.0, 16.0), moments)
    assert told == NEAR(np.array([0.0, 0.5, 4.0]) * rate(16.0))


def test_a_lag_leaves_out_the_time_before_the_water_worked():
    readings = log(16.0, 18.0, 18.0)
    assert after_lag(readings, STEEPED, timedelta(0)) == (readings, STEEPED)
    kept, begins = after_lag(readings, STEEPED, DAY / 2)
    assert begins == STEEPED + DAY / 2
    assert kept == [Reading(begins, 17.0), *readings[1:]]
    assert after_lag(readings, STEEPED, DAY)[0] == readings[1:]
    assert after_lag(readings, STEEPED, 9 * DAY)[0] == [
        Reading(STEEPED + 9 * DAY, 18.0)
    ]


@pytest.mark.parametrize(("days", "looks"), [(0.0, 0), (0.7, 3)])
def test_in_held_water_the_ready_days_range_holds_eight_in_ten(days, looks):
    """The weather of the day is not known to be weather, and is held for ever.

    ``days`` is the share of the ret that is behind; the water's strays die away by
    0.91 a day about 16 °C, as the judgement has it.
    """
    chance, held, runs = np.random.default_rng(8), 0, 400
    for _ in range(runs):
        batch, strays = Batch(chance), [1.6 * chance.standard_normal()]
        for _day in range(90):
            fresh = 1.6 * (1 - 0.91**2) ** 0.5 * chance.standard_normal()
            strays.append(0.91 * strays[-1] + fresh)
        signs = [] if not looks else batch.look("core", days, 5, tester="A")
        signs += (
            batch.look("bundle", days) + batch.look("ring", days, 3) if looks else []
        )
        water = water_ahead(16.0 + strays[0], depth_m=1.0)
        told = ready(learn(prior(), signs), days, water.mean_c, water.sd_c)
        gained = np.append(0.0, np.cumsum(rate(16.0 + np.array(strays[1:]))))
        day = np.interp(batch.factor, days + gained, np.arange(gained.size))
        held += told.early <= day <= told.late or (day == 0 == told.early)
    assert 0.75 <= held / runs <= 0.90


# A look that does not fit.


def test_a_look_that_was_to_be_expected_fits():
    learned = learn(prior(), [Sign("core", "partly", 0.95, 5)])
    assert learned.fits([Sign("core", "partly", 1.0, 5)]) > 0.2
    assert learned.fits([]) == 1


@pytest.mark.parametrize(
    ("before", "after"), [("free", "fast"), ("fast", "free"), ("fast", "tears")]
)
def test_a_look_that_contradicts_the_last_does_not(before, after):
    learned = learn(prior(), [Sign("core", before, 0.95, 5)])
    assert learned.fits([Sign("core", after, 0.96, 5)]) < 0.05


def test_one_stem_in_five_is_no_contradiction():
    learned = learn(prior(), [Sign("core", "free", 1.0, 5)])
    look = [Sign("core", "fast", 1.02, 1), Sign("core", "free", 1.02, 4)]
    assert learned.fits(look) > 0.05


def test_it_is_the_chance_of_the_normal_that_all_errors_make():
    """Before any sign: P(fast) at progress 1, of a normal of 0.30 and 0.137."""
    from scipy.stats import norm

    spread = (0.30**2 + 0.10**2 + 0.05**2 + 0.08**2) ** 0.5
    told = prior().fits([Sign("core", "fast", 1.0, 3)])
    assert told == NEAR(norm.cdf(-0.20 / spread), abs=0.002)


def test_flax_that_went_in_dry_or_green_is_in_one_phase_at_first():
    dry, green = (phase_chances(prior(), 0.05, dry=one) for one in (True, False))
    assert dry[Phase.GREEN] == green[Phase.DRY] == 0
    assert dry[Phase.DRY] == NEAR(green[Phase.GREEN])
    assert sum(dry.values()) == NEAR(1)
