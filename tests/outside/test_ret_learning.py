"""The ret that learns against scipy's integrals, simulated water and published rets."""

import math
from collections import defaultdict

import numpy as np
import pytest
from scipy.integrate import cumulative_simpson, quad_vec
from scipy.special import erfc

from heritage.calc.retting import (
    SIGN_MODELS,
    PastRet,
    Sign,
    learn,
    past_ret,
    prior,
    rate,
    ready,
    scatter,
)
from tests.calc.strategies_rets import wandering

NEAR = pytest.approx


# Bayes by brute force: the model written out once more, and scipy's adaptive
# quadrature for every integral. Only the constants are shared.

SHIFT = {"butt": 0.06, "middle": 0.0, "top": -0.06}
AT_A_PLACE = {"core", "break", "ring"}
# The largest chance counts, not the smallest.
FINE = {"epsrel": 1e-4, "epsabs": 1e-12, "norm": "max"}


def bell(x, sd):
    """Return the normal's density."""
    return np.exp(-((x / sd) ** 2) / 2) / (sd * math.sqrt(2 * math.pi))


def stem(sign, u):
    """Return the chance of one stem's finding where ln(progress / factor) is u."""
    model = SIGN_MODELS[sign.kind]
    cuts = [-np.inf, *model.cuts, np.inf]
    at = model.categories.index(sign.category)
    u = u + (SHIFT[sign.place] if sign.kind in AT_A_PLACE else 0.0)
    upper, lower = (
        erfc((u - cut) / model.each / math.sqrt(2)) / 2
        for cut in (cuts[at + 1], cuts[at])
    )
    return upper - lower


def look_chance(look, u):
    """Sum the error of one look over its normal."""
    model = SIGN_MODELS[look[0].kind]

    def given(b):
        return np.prod([stem(sign, u + b) ** sign.count for sign in look], axis=0)

    whole = given(0.0)
    if model.look:
        reach = 6 * model.look
        whole, _ = quad_vec(
            lambda b: given(b) * bell(b, model.look), -reach, reach, **FINE
        )
    stems = sum(sign.count for sign in look)
    return 0.97 * whole + 0.03 * len(model.categories) ** -float(stems)


def by_brute_force(start, signs, points=241):
    """Return factors and the chances to be below them."""
    logs = np.linspace(start.mean - 5 * start.sd, start.mean + 5 * start.sd, points)
    groups = defaultdict(lambda: defaultdict(list))
    for sign in signs:
        whose = sign.tester if sign.kind == "core" else None
        groups[sign.kind, whose][sign.progress, sign.tester].append(sign)
    density = bell(logs - start.mean, start.sd)
    for (kind, _), looks in groups.items():
        lean = SIGN_MODELS[kind].shared

        def together(g, looks=looks, lean=lean):
            each = [
                look_chance(look, math.log(look[0].progress) - logs + g)
                for look in looks.values()
            ]
            return np.prod(each, axis=0) * bell(g, lean)

        chance, _ = quad_vec(together, -6 * lean, 6 * lean, **FINE)
        density = density * chance
    below = cumulative_simpson(density, x=logs, initial=0.0)
    return np.exp(logs), below / below[-1]


BOOKS = {
    "one look": [Sign("core", "free", 0.9, 5)],
    "one look of two findings": [
        Sign("core", "fast", 0.7, 3, tester="A"),
        Sign("core", "partly", 0.7, 2, tester="A"),
    ],
    "butt and top in one look": [
        Sign("core", "free", 1.1, 2, "butt"),
        Sign("core", "fast", 1.1, 3, "top"),
    ],
    "a tester twice": [
        Sign("core", "fast", 0.6, 5, tester="A"),
        Sign("core", "partly", 0.8, 4, tester="A"),
    ],
    "two testers, and what all see": [
        Sign("core", "free", 1.0, 3, "butt", "A"),
        Sign("core", "partly", 1.0, 4, tester="B"),
        Sign("bubbles", "rising", 0.4),
        Sign("bubbles", "ceased", 0.9),
        Sign("bundle", "sinks", 0.95),
    ],
    "every kind": [
        Sign("break", "bends", 0.8, 2),
        Sign("ring", "dull", 1.0),
        Sign("knotted", "float", 0.9, 4),
        Sign("slimy", "yes", 0.8),
        Sign("verdict", "right", 1.1),
    ],
    "every place, two testers, what is seen": [
        Sign("break", "snaps", 0.95, 3, "butt", "A"),
        Sign("break", "bends", 0.95, 2, "top", "A"),
        Sign("ring", "sharp", 0.9, 2, "top", "B"),
        Sign("ring", "dull", 1.05, 3, "middle", "A"),
        Sign("knotted", "sink", 1.0, 3),
        Sign("slimy", "no", 0.5),
        Sign("bundle", "floats", 0.6),
        Sign("core", "tears", 1.2, 2, "butt", "B"),
    ],
    "a contradiction": [
        Sign("core", "fast", 0.9, 5, tester="A"),
        Sign("core", "tears", 0.9, 5, tester="B"),
    ],
}


@pytest.mark.parametrize("book", BOOKS)
def test_learning_is_bayes_by_brute_force(book):
    factors, below = by_brute_force(prior(), BOOKS[book])
    learned = learn(prior(), BOOKS[book])
    assert learned.chances_below(factors[::8]) == NEAR(below[::8], abs=5e-4)


def test_learning_is_bayes_from_another_start_too():
    start = prior("air", mean_c=10.0)
    factors, below = by_brute_force(start, BOOKS["a tester twice"])
    learned = learn(start, BOOKS["a tester twice"])
    assert learned.chances_below(factors[::8]) == NEAR(below[::8], abs=1e-3)


def test_past_rets_are_weighed_as_a_dams_own_lean_summed_out():
    """Two levels, by quadrature: the dam's lean, then each batch's own way."""
    past = [PastRet(0.25, 0.08), PastRet(0.05, 0.20), PastRet(-0.10, 0.12)]
    half = 0.30 / math.sqrt(2)
    lean = np.linspace(-1.5, 1.5, 3001)
    weight = bell(lean, half)
    for one in past:
        weight = weight * bell(one.y - lean, math.hypot(half, one.sd))
    weight /= weight.sum()
    mean = float(weight @ lean)
    spread = math.sqrt(float(weight @ (lean - mean) ** 2) + half**2)
    told = prior(past=past)
    assert (told.mean, told.sd) == NEAR((mean, spread), abs=1e-6)


def test_what_a_past_ret_says_is_its_likelihood_alone():
    """Its mean and spread, with the start of 0.30 divided out again."""
    signs = [Sign("core", "free", 1.1, 4), Sign("verdict", "right", 1.15)]
    factors, below = by_brute_force(prior(), signs, 401)
    logs, mass = np.log(factors), np.diff(below, prepend=0.0)
    mean = float(mass @ logs)
    variance = float(mass @ (logs - mean) ** 2)
    told = 1 / variance - 1 / 0.09
    alone = past_ret(signs)
    assert alone.sd == NEAR(told**-0.5, rel=0.02)
    assert alone.y == NEAR(mean / variance / told, abs=0.01)


# The ready day under water that strays, by simulated paths.


@pytest.mark.parametrize(
    ("now", "ahead"), [(0.0, [16.0]), (0.5, [18.0, 14.0, 12.0]), (0.3, [22.0])]
)
def test_the_ready_days_are_those_of_simulated_water(now, ahead):
    chance = np.random.default_rng(9)
    learned = learn(prior(), [Sign("core", "fast", 0.45, 5)]) if now else prior()
    paths = 4_000
    means = np.pad(ahead, (0, 60 - len(ahead)), mode="edge")
    days = np.empty(paths)
    for at, share in enumerate(chance.permutation(np.arange(paths) + 0.5) / paths):
        gained = np.cumsum(rate(means + wandering(chance)))
        reached = now + np.append(0.0, gained)
        days[at] = np.interp(learned.quantile(share), reached, np.arange(61))
    told = ready(learned, now, ahead)
    assert (told.early, told.likely, told.late) == NEAR(
        tuple(np.quantile(days, (0.1, 0.5, 0.9))), abs=0.12
    )


@pytest.mark.parametrize(("lead", "crps"), [(1, 0.38), (32, 0.90)])
def test_how_far_water_strays_is_that_of_a_published_forecast(lead, crps):
    """Padrón et al., Hydrol. Earth Syst. Sci. 29 (2025) 1685: CRPS of stream water.

    Of a normal error it is the spread over the square root of pi.
    """
    strays = [wandering(np.random.default_rng(seed))[lead - 1] for seed in range(3_000)]
    assert np.std(strays) / math.sqrt(math.pi) == NEAR(crps, abs=0.03)


# Published rets replayed, the place of each in what was known before it began. The
# curve and the scatter were set by most of them; the bog hole is independent.


@pytest.mark.parametrize(
    ("water", "day", "place", "early", "late"),
    [
        # Chesson (1978): the ret was sampled from 70 to 90 h.
        (32.0, 70 / 24, 0.43, 2.1, 4.5),
        (32.0, 90 / 24, 0.74, 2.1, 4.5),
        # Ruan et al. (2015), six days in a room; the warmth is inferred.
        (20.0, 6, 0.23, 5.1, 11.0),
        (21.5, 6, 0.36, 4.6, 9.9),
        (23.0, 6, 0.50, 4.1, 8.8),
        # US government report: two steeps of 10 and 8.5 days, dried between.
        (17.0, 18.5, 0.99, 6.4, 13.8),
        # Irish dams, by the shortest and a common report; inferred at 15.5.
        (15.5, 7, 0.09, 7.1, 15.4),
        (15.5, 14, 0.83, 7.1, 15.4),
        # A bog hole in Kerry: by its coldness.
        (15.5, 21, 0.99, 7.1, 15.4),
        (12.0, 21, 0.93, 9.2, 20.0),
        (10.0, 21, 0.83, 10.7, 23.1),
        # Pittsburgh Gazette (1823): day 4, "seldom exceeds the fifth".
        (23.0, 4, 0.09, 4.1, 8.8),
        (23.0, 5, 0.27, 4.1, 8.8),
    ],
)
def test_published_rets_replayed(water, day, place, early, late):
    told = ready(prior(), 0.0, water, 0.0)
    assert (told.early, told.late) == NEAR((early, late), abs=0.06)
    assert prior().below(day * rate(water)) == NEAR(place, abs=0.011)
    held = told.early <= day <= told.late
    assert held is (0.1 <= place <= 0.9)


def test_in_a_bog_holes_cold_the_range_is_wider_and_holds():
    """At an assumed 12 °C, where the scatter is taken to grow: by judgement."""
    told = ready(prior(mean_c=12.0), 0.0, 12.0, 0.0)
    assert scatter(mean_c=12.0) == NEAR(0.384, abs=0.001)
    assert told.early < 21 <= told.late


def test_nine_of_twelve_irish_reports_lie_in_a_thermometers_range():
    """Seven days are too few by an hour, 21 too many; ten lie in the season's."""
    reports = [112**0.5, 72**0.5, 9, 90**0.5, 80**0.5, 140**0.5, 140**0.5, 14, 7]
    reports += [120**0.5, 21, 21]
    for known_by, inside in (("thermometer", 9), ("season", 10)):
        start = prior(known_by)
        places = [start.below(days * rate(15.5)) for days in reports]
        assert sum(0.1 <= place <= 0.9 for place in places) == inside


def test_a_cold_bog_hole_is_found_out_by_its_tests():
    """21 days in what is taken for 15.5 °C: the start's range misses it.

    A core that is fast every other day from day 7 brings it in from day 13 on.
    """
    per_day = rate(15.5)
    learned, held = prior(), {}
    for day in range(7, 21, 2):
        finding = "fast" if day < 17 else "partly"
        learned = learn(learned, [Sign("core", finding, day * per_day, 5, tester="A")])
        told = ready(learned, day * per_day, 15.5)
        held[day] = told.early <= 21 - day <= told.late
    assert not prior().below(21 * per_day) <= 0.9
    assert [day for day, inside in held.items() if inside] == [13, 15, 17, 19]
    assert learned.is_unlike_others
