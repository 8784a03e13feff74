"""One estimate of a ret from its tests: worked cases, promises and refusals."""

import math
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.dam import Phase
from heritage.calc.dam import phase_chances as chances_by_curve
from heritage.calc.retting import (
    SIGN_MODELS,
    Factor,
    KnownBy,
    LiftReason,
    PastRet,
    Reading,
    RetCosts,
    RetWarning,
    Sign,
    SignKind,
    StemPlace,
    curve,
    forecast,
    learn,
    may_lift,
    next_test,
    past_ret,
    phase_chances,
    prior,
    rate,
    ready,
    scatter,
    time_between_tests,
)
from tests.calc.strategies_rets import Batch, signs, wandering
from tests.calc.strategies_water import STEEPED

NEAR = pytest.approx
HALF_DAY = timedelta(hours=12)
EIGHT_IN_TEN = (0.1, 0.5, 0.9)
known = st.lists(signs(), max_size=8)
seldom = st.lists(signs(), max_size=4)
progresses = st.floats(0.0, 3.0)
outlooks = st.lists(st.floats(8.0, 30.0), min_size=1, max_size=12)


def factors(factor):
    """Return the early, likely and late factor."""
    return tuple(factor.quantile(share) for share in EIGHT_IN_TEN)


def days(told):
    """Return the early, likely and late day ahead."""
    return told.early, told.likely, told.late


def codes(verdict):
    """Return what was said for and against a lifting."""
    return {reason.code for reason in verdict.reasons}


# Worked cases, reckoned beforehand by another program: factors to 0.005, days to 0.05.


def worked_second(up_to=7):
    """At 18 °C: A draws cores at mid-stalk on days 5, 6 and 7; bubbles stop on 7."""
    at = rate(18.0)
    found = {
        5: [("core", "fast", 5), ("bubbles", "rising", 1)],
        6: [("core", "fast", 4), ("core", "partly", 1)],
        7: [
            ("core", "fast", 1),
            ("core", "partly", 3),
            ("core", "free", 1),
            ("bubbles", "ceased", 1),
        ],
        8.25: [("core", "free", 5), ("verdict", "right", 1)],
    }
    return [
        Sign(kind, category, day * at, count, tester="A" if kind == "core" else "")
        for day, every in found.items()
        for kind, category, count in every
        if day <= up_to
    ]


def worked_third():
    """At 20 °C: A at the butt on day 7, B at mid-stalk and a dull ring at 7.25."""
    at = rate(20.0)
    return [
        Sign("core", "free", 7 * at, 3, "butt", "A"),
        Sign("core", "fast", 7.25 * at, 2, tester="B"),
        Sign("core", "partly", 7.25 * at, 1, tester="B"),
        Sign("ring", "dull", 7.25 * at),
    ]


def test_a_new_dam_of_which_nothing_is_known():
    new = prior()
    assert factors(new) == NEAR((0.681, 1.0, 1.469), abs=0.005)
    assert days(ready(new, 0.0, 15.5)) == NEAR((7.05, 10.47, 15.59), abs=0.05)
    assert next_test(new, 0.0, 15.5) / 24 == NEAR(6.05, abs=0.05)


def test_three_days_of_tests_and_bubbles_that_stop():
    found, now = worked_second(), 7 * rate(18.0)
    learned = learn(prior(), found)
    assert factors(learned) == NEAR((0.809, 0.900, 1.003), abs=0.005)
    told = ready(learned, now, 17.0)
    assert days(told) == NEAR((0.04, 0.90, 1.87), abs=0.05)
    assert told.chance_now == NEAR(0.090, abs=0.005)
    assert next_test(learned, now, 17.0) == 6
    assert not may_lift(learned, now, found).may
    assert phase_chances(learned, now)[Phase.END] == NEAR(0.998, abs=0.001)


def test_what_that_ret_teaches_the_next():
    taught = past_ret(worked_second(up_to=9))
    assert taught.y == NEAR(-0.116, abs=0.005)
    assert taught.sd == NEAR(0.069, abs=0.005)


def test_a_dam_with_three_rets_behind_it_and_two_testers():
    old = prior(past=[PastRet(y, 0.08) for y in (0.15, 0.05, 0.22)])
    assert (old.mean, old.sd) == NEAR((0.1014, 0.2396), abs=0.0005)
    found, now = worked_third(), 7.25 * rate(20.0)
    learned = learn(old, found)
    assert factors(learned) == NEAR((0.926, 1.028, 1.136), abs=0.005)
    told = ready(learned, now, 20.0)
    assert told.early == 0, "a quantile that is past is now"
    assert days(told) == NEAR((0.0, 0.46, 1.27), abs=0.05)
    assert told.chance_now == NEAR(0.218, abs=0.005)
    assert next_test(learned, now, 20.0) == 6
    assert not may_lift(learned, now, found).may


@pytest.mark.parametrize(
    ("temp", "early", "late", "first"),
    [
        (12, 8.2, 22.4, 6.5),
        (15.5, 7.0, 15.6, 6.1),
        (18, 5.9, 12.9, 5.1),
        (20, 5.1, 11.2, 4.5),
        (22, 4.4, 9.6, 4.0),
        (23, 4.0, 8.9, 3.7),
        (32, 2.1, 4.6, 2.1),
    ],
)
def test_when_to_look_for_the_first_time(temp, early, late, first):
    """Worked out beforehand.

    Published: day 4 (Pittsburgh 1823), 5 (Manual of Flax Culture), 6 to 7
    (saberfazer.org).
    """
    new = prior(mean_c=temp)
    told = ready(new, 0.0, temp)
    assert (told.early, told.late) == NEAR((early, late), abs=0.06)
    assert next_test(new, 0.0, temp) / 24 == NEAR(first, abs=0.06)


@pytest.mark.parametrize(("cost", "day"), [(20, 4.9), (80, 4.2)])
def test_a_dearer_day_brings_the_first_test_forward(cost, day):
    told = next_test(prior(), 0.0, 20.0, costs=RetCosts(day_late=cost))
    assert told / 24 == NEAR(day, abs=0.05)


@pytest.mark.parametrize(
    ("count", "sd", "mean"),
    [
        (0, 0.300, 0.0),
        (1, 0.263, 0.093),
        (2, 0.248, 0.127),
        (3, 0.240, 0.145),
        (5, 0.231, 0.163),
        (10, 0.223, 0.179),
    ],
)
def test_past_rets_draw_the_next_towards_them(count, sd, mean):
    told = prior(past=[PastRet(0.20, 0.08)] * count)
    assert (told.mean, told.sd) == NEAR((mean, sd), abs=0.0007)


def test_however_many_past_rets_a_batch_still_goes_its_own_way():
    told = prior(past=[PastRet(0.0, 0.05)] * 1_000)
    assert told.sd == NEAR(0.212, abs=0.001)


# The start


@given(st.sampled_from(KnownBy), st.none() | st.floats(6.0, 30.0))
def test_without_a_past_the_start_is_as_wide_as_the_scatter(known_by, mean):
    start = prior(known_by, mean_c=mean)
    assert (start.mean, start.sd) == NEAR((0.0, scatter(known_by, mean_c=mean)))
    reach = math.exp(1.2815515655 * start.sd)
    assert factors(start) == NEAR((1 / reach, 1.0, reach), rel=1e-3)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Sign("smell", "bad", 0.5), "^kind must be one of core, break"),
        (lambda: Sign("core", "sinks", 0.5), "^category must be one of fast, partly"),
        (lambda: Sign("core", "free", 0.5, place="root"), "^place must be one of butt"),
        (lambda: Sign("core", "free", 0.0), "^progress must be above zero"),
        (lambda: Sign("core", "free", math.nan), "^progress must be a finite number"),
        (lambda: Sign("core", "free", 0.5, 0), "^count must be 1 or more"),
        (lambda: PastRet(math.nan, 0.1), "^y must be a finite number"),
        (lambda: PastRet(0.1, 0.0), "^sd must be above zero"),
        (lambda: Factor(math.inf, 0.3), "^mean must be a finite number"),
        (lambda: Factor(0.0, 0.0), "^sd must be above zero"),
        (lambda: RetCosts(visit=0), "^visit must be above zero"),
        (lambda: RetCosts(day_late=0), "^day_late must be above zero"),
        (lambda: RetCosts(day_early=-1), "^day_early must not be negative"),
        (lambda: prior("guess"), "guess"),
        (lambda: prior().quantile(1.1), "^q must lie from 0 to 1"),
        (lambda: prior().below(-0.1), "^x must not be negative"),
        (lambda: ready(prior(), -0.1, 15.0), "^progress_now must not be negative"),
        (lambda: may_lift(prior(), -0.1, []), "^progress_now must not be negative"),
        (lambda: phase_chances(prior(), -0.1), "^progress_now must not be negative"),
        (lambda: ready(prior(), 0.1, []), "^outlook_c must hold a finite number"),
        (lambda: ready(prior(), 0.1, [math.nan]), "^outlook_c must hold a finite"),
        (lambda: ready(prior(), 0.1, [[15.0]]), "^outlook_c must hold a finite"),
        (lambda: ready(prior(), 0.1, 99.0), "^temp_c must lie from -5 to 60"),
        (lambda: ready(prior(), 0.1, 15.0, -1.0), "^outlook_sd must not be negative"),
    ],
)
def test_what_could_not_be_is_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()


# Learning


@given(known, st.data())
def test_signs_tell_the_same_one_by_one_and_together(found, data):
    step = prior()
    for sign in data.draw(st.permutations(found)):
        step = learn(step, [sign])
    assert factors(step) == NEAR(factors(learn(prior(), found)))


@given(known, st.floats(0.001, 0.999))
def test_quantile_and_chance_undo_each_other(found, share):
    learned = learn(prior(), found)
    assert learned.below(learned.quantile(share)) == NEAR(share)


@given(known, progresses, progresses)
def test_the_chance_only_grows(found, one, other):
    learned = learn(prior(), found)
    least, most = sorted((one, other))
    assert 0 <= learned.below(least) <= learned.below(most) <= 1
    assert learned.below(0) == 0


@given(st.sampled_from(SignKind), st.floats(0.85, 1.15), st.sampled_from(StemPlace))
def test_a_riper_finding_never_makes_the_ret_longer(kind, now, place):
    """Where none would be so odd that it is taken for a slip."""
    start = learn(prior(), [Sign("bubbles", "rising", 0.3)])
    told = [
        learn(start, [Sign(kind, category, now, 1, place)]).quantile(0.5)
        for category in SIGN_MODELS[kind].categories
    ]
    assert told == sorted(told, reverse=True)


def test_a_butt_that_slips_says_less_than_a_top():
    """Butts ret first: published. By how much is judgement."""
    butt, middle, top = (
        learn(prior(), [Sign("core", "free", 0.9, 5, place)]).quantile(0.5)
        for place in ("butt", "middle", "top")
    )
    assert top < middle < butt < 1


def test_a_place_means_nothing_to_what_has_none():
    told = {
        learn(prior(), [Sign("slimy", "yes", 0.8, 1, place)]).quantile(0.5)
        for place in ("butt", "top")
    }
    assert len(told) == 1


@given(st.sampled_from(SignKind), st.integers(2, 40))
def test_the_same_again_is_no_new_evidence(kind, count):
    """One tester's lean, or a sign's, stays however often it is looked at."""
    again = [
        Sign(kind, SIGN_MODELS[kind].categories[at % 2], 0.9 + at * 1e-6, 5, tester="A")
        for at in range(count)
    ]
    _, variance = learn(prior(), again).moments()
    shared = {"core": 0.08, "verdict": 0.06, "slimy": 0.20, "bubbles": 0.15}
    lean = shared.get(kind, 0.10)
    assert variance >= 0.98 / (1 / 0.30**2 + 1 / lean**2)


def test_a_second_tester_tells_more_than_the_first_once_more():
    free = {"kind": "core", "category": "free", "count": 5, "tester": "A"}
    mixed = [Sign(**free, progress=0.95), Sign("core", "partly", 0.95, 5, tester="A")]
    once_more = learn(prior(), [*mixed, Sign(**free, progress=0.951)])
    free["tester"] = "B"
    another = learn(prior(), [*mixed, Sign(**free, progress=0.951)])
    assert another.moments()[1] < once_more.moments()[1]


def test_bubbles_that_never_rose_have_not_stopped():
    still = Sign("bubbles", "ceased", 0.6)
    assert factors(learn(prior(), [still])) == factors(prior())
    assert learn(prior(), [still]).moved() == ()
    rose, at_once = (Sign("bubbles", "rising", at) for at in (0.3, 0.6))
    alone, both = learn(prior(), [rose]), learn(prior(), [rose, still])
    assert both.quantile(0.5) < alone.quantile(0.5)
    assert factors(learn(prior(), [at_once, still])) == factors(
        learn(prior(), [at_once])
    )


def test_signs_that_contradict_each_other_are_weighed():
    free, fast = (Sign("core", one, 0.9, 5, tester=one) for one in ("free", "fast"))
    alone = [learn(prior(), [one]).quantile(0.5) for one in (free, fast)]
    assert alone[0] < learn(prior(), [free, fast]).quantile(0.5) < alone[1]


def test_a_slip_of_the_hand_does_not_overturn_the_book():
    """Ten stems that would be torn on day 2 can only be a mistake: little moves."""
    odd = learn(prior(), [Sign("core", "tears", 0.2, 10)])
    assert odd.quantile(0.5) == NEAR(1.0, abs=0.08)


@given(st.integers(20, 20_000))
def test_any_number_of_stems_is_reckoned_with(count):
    both = [Sign("core", one, 0.9, count) for one in ("fast", "tears")]
    assert 0.3 < learn(prior(), both).quantile(0.5) < 3


# What moved it


@given(known)
def test_what_moved_the_estimate_adds_up(found):
    start, learned = prior(), learn(prior(), found)
    steps = learned.moved()
    assert [step.look[0].progress for step in steps] == sorted(
        step.look[0].progress for step in steps
    )
    whole = math.prod(step.times for step in steps)
    assert whole == NEAR(learned.quantile(0.5) / start.quantile(0.5))
    width = math.prod(step.width for step in steps)
    ends = [math.log(one.band.high / one.band.low) for one in (learned, start)]
    assert width == NEAR(ends[0] / ends[1])


def test_each_look_says_by_how_much_it_moved_the_estimate():
    """Fast on day 6 of a likely day 10 means longer; free on day 8 means shorter."""
    found = [Sign("core", "fast", 0.8, 5), Sign("core", "free", 0.9, 3)]
    found.append(Sign("core", "partly", 0.9, 2))
    later, sooner = learn(prior(), found).moved()
    assert (later.look, len(sooner.look)) == ((found[0],), 2)
    assert later.times > 1.05
    assert sooner.times < 0.95
    assert sooner.before == later.after
    assert later.width < 1


def test_a_ret_unlike_others_is_said_to_be():
    assert not learn(prior(), worked_second()).is_unlike_others
    slow = [Sign("core", "fast", 2.0, 5, tester=one) for one in "AB"]
    assert learn(prior(), slow).is_unlike_others


def test_a_past_ret_without_a_word_teaches_nothing():
    assert past_ret([]) is None
    assert past_ret([Sign("slimy", "yes", 2.5)]) is None


# When it may be ready


@given(seldom, progresses, outlooks)
def test_early_likely_and_late_keep_their_order(found, now, ahead):
    told = ready(learn(prior(), found), now, ahead)
    reached = [math.inf if day is None else day for day in days(told)]
    assert 0 <= reached[0] <= reached[1] <= reached[2]
    for day, share in zip(reached, EIGHT_IN_TEN, strict=True):
        assert (day == 0) is (share <= told.chance_now)


@given(seldom, st.floats(0.0, 0.6), outlooks, st.floats(0.0, 5.0))
def test_warmer_water_is_never_later(found, now, ahead, warmer):
    learned = learn(prior(), found)
    cool, warm = (
        ready(learned, now, [temp + more for temp in ahead]) for more in (0, warmer)
    )
    for one, other in zip(days(warm), days(cool), strict=True):
        assert one <= other + 1e-9


@given(
    st.sampled_from([[], worked_second(5), worked_second(), worked_third()]),
    outlooks,
    st.floats(0.0, 2.0),
    st.floats(0.0, 2.0),
)
def test_water_less_well_known_widens_the_dates(found, ahead, one, more):
    """Of findings that agree: where they do not, the dates have two humps.

    An end may then move inwards as both humps widen.
    """
    learned = learn(prior(), found)
    sure, unsure = (ready(learned, 0.3, ahead, sd) for sd in (one, one + more))
    assert unsure.early <= sure.early + 0.1
    assert sure.late <= unsure.late + 0.1


def test_an_outlook_is_held_beyond_its_last_day():
    learned = learn(prior(), worked_second())
    one, other = (ready(learned, 0.4, [18.0, 16.0, *[14.0] * n]) for n in (1, 200))
    assert one == other
    assert days(ready(prior(), 0.0, 15.5, 0.0)) == NEAR(
        tuple(share / rate(15.5) for share in factors(prior())), rel=1e-4
    )
    assert ready(learned, 0.4, 15.0, [1.0, 2.0]) == ready(
        learned, 0.4, 15.0, [1.0, 2.0, 2.0]
    )


def test_no_day_is_told_from_where_the_water_turns_too_cold():
    ahead = [20.0] * 6 + [4.0]
    told = ready(prior(), 0.0, ahead)
    assert told.early == NEAR(5.05, abs=0.05)
    assert (told.likely, told.late) == (None, None)
    assert days(ready(prior(), 0.5, 4.0)) == (None, None, None)
    assert ready(prior(), 0.9, 4.0).early == 0, "what is past can still be told"


def test_no_day_is_told_beyond_the_season():
    slow = learn(prior(mean_c=6.0), [Sign("core", "fast", 5.0, 5)])
    assert ready(slow, 0.0, 6.0).late is None


# The forecast's dates, by what was learned


def test_the_forecast_and_its_curve_go_by_what_was_learned():
    """Fast on day 9 of a likely day 10: later dates, and the curve crosses 1 there."""
    log = [Reading(STEEPED + n * HALF_DAY, 15.5) for n in range(19)]
    slow = learn(prior(), [Sign("core", "fast", 9 * rate(15.5), 5)])
    before, after = forecast(log, 15.5), forecast(log, 15.5, factor=slow)
    assert after.progress == before.progress
    assert after.likely > before.likely
    told = ready(slow, after.progress, 15.5, 0.0)
    for date, day in zip(
        (after.early, after.likely, after.late), days(told), strict=True
    ):
        assert (date - log[-1].at) / (2 * HALF_DAY) == NEAR(day, abs=0.01)
    drawn = curve(log, 15.5, factor=slow)
    hours = [at.timestamp() for at in drawn.times]
    for line, date in ((drawn.fast, after.early), (drawn.progress, after.likely)):
        assert np.interp(1.0, line, hours) == NEAR(date.timestamp(), abs=900)


def test_past_the_likely_day_is_by_what_was_learned():
    log = [Reading(STEEPED + n * HALF_DAY, 20.0) for n in range(17)]
    slow = learn(prior(), [Sign("core", "fast", 1.05, 5)])
    past, told = forecast(log, 20.0), forecast(log, 20.0, factor=slow)
    assert RetWarning.PAST_LIKELY in {each.code for each in past.warnings}
    assert RetWarning.PAST_LIKELY not in {each.code for each in told.warnings}
    assert told.test_every > past.test_every


# The next test


@given(known, progresses, outlooks)
def test_once_tested_the_next_is_within_the_day(found, now, ahead):
    tested = [*found, Sign("core", "fast", 0.3, 3)]
    assert 6 <= next_test(learn(prior(), tested), now, ahead) <= 24


def test_bubbles_alone_are_no_test():
    seen = learn(prior(), [Sign("bubbles", "rising", 0.2)])
    assert next_test(seen, 0.2, 15.5) > 48


@given(known, progresses, outlooks, st.floats(1, 200), st.floats(1, 200))
def test_a_dearer_day_never_puts_a_test_off(found, now, ahead, one, other):
    learned = learn(prior(), found)
    cheap, dear = (
        next_test(learned, now, ahead, costs=RetCosts(day_late=cost))
        for cost in sorted((one, other))
    )
    assert dear <= cheap


@given(known, outlooks, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_further_on_the_next_test_is_never_later(found, ahead, one, other):
    learned = learn(prior(), found)
    near, far = sorted((one, other))
    assert next_test(learned, far, ahead) <= next_test(learned, near, ahead) + 1e-9


# Whether it may be lifted


def test_without_a_test_at_mid_stalk_nothing_is_lifted():
    """However late it is, and whatever else was found."""
    found = [Sign("core", "free", 1.0, 5, "butt"), Sign("bundle", "sinks", 1.0)]
    told = may_lift(learn(prior(), found), 3.0, found)
    assert not told.may
    assert codes(told) >= {LiftReason.NO_TEST, LiftReason.LATE_COSTS_MORE}


@pytest.mark.parametrize(("free", "may"), [(3, True), (2, False)])
def test_six_in_ten_must_slip_at_the_last_test(free, may):
    early = [Sign("core", "partly", 0.8, 5)]
    last = [Sign("core", "free", 1.3, free), Sign("core", "partly", 1.3, 5 - free)]
    told = may_lift(learn(prior(), early), 1.3, [*early, *last])
    assert told.may is may
    figures = {"free": free, "stems": 5, "needed": 0.6}
    assert told.reasons[0].figures == figures
    assert told.reasons[0].code is (
        LiftReason.ENOUGH_FREE if may else LiftReason.TOO_FEW_FREE
    )


def test_fibre_that_tears_is_free_too():
    torn = [Sign("core", "tears", 1.2, 5)]
    assert may_lift(learn(prior(), torn), 1.2, torn).may


def test_free_stems_that_may_yet_be_a_slip_are_weighed_against_the_rest():
    """Free on day 5 after nothing but fast: the cost of too early still counts."""
    found = [Sign("core", "fast", 0.5, 5), Sign("core", "free", 0.55, 3)]
    told = may_lift(learn(prior(), found), 0.55, found)
    assert not told.may
    assert codes(told) == {LiftReason.ENOUGH_FREE, LiftReason.EARLY_COSTS_MORE}
    weighed = told.reasons[1].figures
    assert weighed["late"] * weighed["past"] < weighed["early"] * weighed["not_ready"]


def test_who_fears_an_early_lift_waits_longer():
    found = [Sign("core", "free", 1.0, 5)]
    learned = learn(prior(), found)
    now = 1.02
    assert may_lift(learned, now, found, costs=RetCosts(day_early=1)).may
    assert not may_lift(learned, now, found, costs=RetCosts(day_early=500)).may


def test_a_ret_unlike_others_may_be_lifted_but_is_named():
    slow = [Sign("core", "fast", 2.0, 5, tester=one) for one in "AB"]
    slow += [Sign("core", "free", 2.9, 5, tester=one) for one in "AB"]
    told = may_lift(learn(prior(), slow), 3.1, slow)
    assert told.may
    assert told.reasons[-1].code is LiftReason.UNLIKE_OTHERS
    assert told.reasons[-1].figures["times"] > 2


@given(known, progresses)
def test_a_lifting_always_has_its_reasons(found, now):
    told = may_lift(learn(prior(), found), now, found)
    assert len(told.reasons) >= 2
    no = {
        LiftReason.NO_TEST,
        LiftReason.TOO_FEW_FREE,
        LiftReason.EARLY_COSTS_MORE,
    }
    assert told.may is codes(told).isdisjoint(no)


# The phases


@given(known, progresses)
def test_the_phases_chances_add_up(found, now):
    chances = phase_chances(learn(prior(), found), now)
    assert set(chances) == set(Phase)
    assert min(chances.values()) >= 0
    assert sum(chances.values()) == NEAR(1.0)


@given(progresses)
def test_before_any_sign_the_phases_are_the_curves(now):
    told, curve = phase_chances(prior(), now), chances_by_curve(now, 0.30)
    for phase in Phase:
        assert told[phase] == NEAR(curve[phase], abs=2e-3)


def test_the_end_is_likely_late():
    """At nine tenths of the likely ret eight in ten have ended; at seven, half."""
    assert phase_chances(prior(), 0.90)[Phase.END] == NEAR(0.80, abs=0.01)
    assert phase_chances(prior(), 0.70)[Phase.END] == NEAR(0.50, abs=0.01)


# Played out


def inside_factor(looks, *, runs=400, **settings):
    """Return how often the true factor lay inside the range, after so many looks."""
    chance = np.random.default_rng(11 + looks)
    held = 0
    for _ in range(runs):
        batch = Batch(chance, **settings)
        held += 0.1 <= learn(prior(), batch.looks(looks)).below(batch.factor) <= 0.9
    return held / runs


@pytest.mark.parametrize("looks", [0, 1, 3, 6])
def test_the_factors_range_holds_eight_in_ten(looks):
    assert 0.75 <= inside_factor(looks) <= 0.85


@pytest.mark.parametrize("looks", [0, 3])
def test_the_ready_days_range_holds_eight_in_ten(looks):
    """In water that strays from what was expected as it is said to."""
    chance, held, runs = np.random.default_rng(5), 0, 400
    for _ in range(runs):
        batch = Batch(chance)
        told = ready(learn(prior(), batch.looks(looks)), 0.0, 16.0)
        gained = np.append(0.0, np.cumsum(rate(16.0 + wandering(chance))))
        day = np.interp(batch.factor, gained, np.arange(gained.size))
        held += told.early <= day <= told.late
    assert 0.75 <= held / runs <= 0.85


@pytest.mark.parametrize(
    ("settings", "least", "most"),
    [
        ({"sigma": 0.20}, 0.76, 0.87),
        ({"sigma": 0.40}, 0.70, 0.82),
        ({"noise": 1.5}, 0.68, 0.79),
        ({"shared": 2.0}, 0.56, 0.69),
        ({"cuts": 0.05}, 0.67, 0.79),
        ({"cuts": -0.05}, 0.67, 0.79),
    ],
)
def test_where_its_judgements_are_wrong_it_holds_less(settings, least, most):
    """After six looks; worked out beforehand: .80, .76, .73, .62, .72 and .73."""
    assert least <= inside_factor(6, **settings) <= most


def test_tests_narrow_the_range():
    """In the logarithm; beforehand, with fewer cores, .77, .55, .36 and .25."""
    chance = np.random.default_rng(3)

    def width(looks):
        bands = [learn(prior(), Batch(chance).looks(looks)).band for _ in range(150)]
        return np.mean([math.log(band.high / band.low) for band in bands])

    found = [width(looks) for looks in (0, 1, 3, 6)]
    assert found == NEAR([0.77, 0.52, 0.34, 0.24], abs=0.05)


def lifted(runs, *, by_tests, bundle=False):
    """Play rets at 20 °C until they are lifted: visits, and shares early and late.

    Early or late by half a day or more, beyond the good days. By tests, or as before:
    from 0.55 or day 4, as often as the curve says, until three of five are free.
    """
    chance, per_day = np.random.default_rng(2), rate(20.0)
    visits, apart = 0, []
    for _ in range(runs):
        batch, learned, may, now = Batch(chance), prior(), False, 0.0
        wait = 24 * min(0.55 / per_day, 4)
        while not may:
            wait = next_test(learned, now, 20.0) if by_tests else wait
            now += per_day * wait / 24
            found = batch.look("core", now, 5, tester="A")
            seen = batch.look("bubbles", now)
            seen += batch.look("bundle", now) if bundle else []
            learned = learn(learned, [*found, *seen])
            told = may_lift(learned, now, found)
            may = told.may if by_tests else told.reasons[0].code == "enough_free"
            wait = time_between_tests(now, 20.0).total_seconds() / 3600
            visits += 1
        apart.append((now / per_day, batch.factor / per_day))
    early = sum(ready - day > 0.5 for day, ready in apart) / runs
    late = sum(day - ready * math.exp(0.10) > 0.5 for day, ready in apart) / runs
    return visits / runs, early, late


def test_lifting_by_the_tests_is_seldom_early_or_late():
    """Beforehand, by another program: 8.2 visits, 6 % early and 6 % late.

    It holds where each visit also looks whether the bundles float. With the core and
    the bubbles alone some 10 % are early, with the core alone 14 %, and a second tester
    brings it to 2 %: the lifting is as sure as what it is told. As before, by three of
    five free: 8.5 visits, 29 % and 6 %.
    """
    visits, early, late = lifted(120, by_tests=True, bundle=True)
    assert visits == NEAR(8.2, abs=1.0)
    assert early <= 0.10
    assert late <= 0.11
    _, early_less, _ = lifted(120, by_tests=True)
    assert early <= early_less <= 0.16
    _, early_before, _ = lifted(60, by_tests=False)
    assert early_before > 1.7 * early_less
