"""The filling evening and the dam's supply, against things outside the project."""

from dataclasses import replace
from itertools import accumulate
from math import exp, isclose, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from heritage.calc import filling, supply
from heritage.calc._band import Band
from heritage.calc.dam import BEET_KG, Basin
from heritage.calc.filling import Carts, Filling, Slowest, Stop

SURE = Band(1.0, 1.0, 1.0)
NOUGHT = Band(0.0, 0.0, 0.0)


def a_cart(**fields):
    given = {"carts": 1, "load_beets": 60, "distance_m": 500, "speed_kmh": 5}
    return Carts(**given | {"loaders": 4} | fields)


def an_evening(**fields):
    given = {
        "came": (),
        "to_come": (60,) * 5,
        "next_min": Band(10, 10, 10),
        "every_min": Band(20, 20, 20),
        "place_min": Band(0.2, 0.2, 0.2),
        "weigh_down_min": Band(45, 45, 45),
        "water_min": NOUGHT,
    }
    return Filling(**given | fields)


class TestTrips:
    def test_half_a_kilometre_at_a_walk_takes_six_minutes(self):
        assert a_cart().way_min == pytest.approx(6)

    def test_a_fleet_is_held_by_its_round_or_by_its_loader(self):
        """R. W. Morgan and L. L. Peterson's match factor, by hand.

        Loading 7.5 min, twice 6 min of way, tipping 6: a round of 25.5 min keeps
        25.5 / 7.5 = 3.4 carts busy. Three wait for none, a fourth waits for loading.
        """
        assert filling.load_every(a_cart()).likely == pytest.approx(25.5)
        assert filling.load_every(a_cart(carts=3)).likely == pytest.approx(8.5)
        assert filling.load_every(a_cart(carts=4)).likely == pytest.approx(7.5)

    def test_loads_come_as_often_as_when_carts_are_driven_one_by_one(self):
        """A fleet followed event by event settles to the same gap."""
        for carts in (1, 2, 3, 5):
            plan = a_cart(carts=carts)
            back, loader_free, came = [0.0] * carts, 0.0, []
            for _ in range(200):
                who = back.index(min(back))
                start = max(back[who], loader_free)
                loader_free = start + plan.load_min.likely
                came.append(loader_free + plan.way_min)
                back[who] = came[-1] + filling.TIP_MIN.likely + plan.way_min
            late = np.diff(came)[-60:].mean()
            assert late == pytest.approx(filling.load_every(plan).likely, rel=0.01)
            assert came[0] == pytest.approx(plan.first_min.likely)

    def test_a_load_weighs_what_its_beets_weigh(self):
        weight = filling.load_weight(60, BEET_KG)
        assert (weight.dry.low, weight.dry.likely, weight.dry.high) == (120, 180, 300)
        assert weight.green.likely == pytest.approx(180 * 2.9)
        assert weight.green.low < 180 * 2.2 < weight.green.likely
        assert filling.load_weight(0, BEET_KG).green == NOUGHT

    def test_what_sets_the_pace_is_what_takes_longest(self):
        assert filling.slowest(a_cart(), 8) == Slowest.CARTS
        assert filling.slowest(a_cart(carts=4), 12) == Slowest.LOADING
        assert filling.slowest(a_cart(carts=4), 2) == Slowest.PLACING

    @pytest.mark.parametrize("wrong", [{"carts": 0}, {"speed_kmh": 0}, {"loaders": 0}])
    def test_what_could_not_be_is_refused(self, wrong):
        with pytest.raises(ValueError, match=next(iter(wrong))):
            a_cart(**wrong)


class TestPace:
    def test_the_posterior_is_that_of_brute_force(self):
        """The mean and the spread by scipy's integral over prior times likelihood."""
        reckoned, gaps = Band(15, 25, 40), [18.0, 22.0, 17.0, 20.0]
        sd = log(40 / 15) / (2 * 1.2816)

        def weight(mu):
            seen = [log(gap) + 0.35**2 / 2 for gap in gaps]
            likelihood = np.prod(stats.norm.pdf(seen, mu, 0.35))
            return likelihood * stats.norm.pdf(mu, log(25), sd)

        total = integrate.quad(weight, 1, 6)[0]
        mean = integrate.quad(lambda mu: mu * weight(mu), 1, 6)[0] / total
        var = integrate.quad(lambda mu: (mu - mean) ** 2 * weight(mu), 1, 6)[0] / total
        pace = filling.learn_pace(reckoned, gaps, to_come=6)
        assert log(pace.likely) == pytest.approx(mean, abs=1e-6)
        reach = 1.2816 * (var + 0.35**2 / 6) ** 0.5
        assert log(pace.high) == pytest.approx(mean + reach, abs=1e-4)

    def test_it_narrows_with_each_load_and_goes_to_the_measured(self):
        reckoned = Band(10, 25, 60)
        paces = [filling.learn_pace(reckoned, [15.0] * n, 50) for n in (0, 1, 3, 12)]
        widths = [pace.high / pace.low for pace in paces]
        assert widths == sorted(widths, reverse=True)
        assert paces[-1].likely == pytest.approx(15 * exp(0.35**2 / 2), rel=0.05)

    def test_what_is_certain_beforehand_is_not_moved(self):
        assert filling.learn_pace(Band(20, 20, 20), [5.0], 1).likely == pytest.approx(
            20
        )
        assert filling.learn_pace(Band(20, 20, 20), [], 1).likely == pytest.approx(20)

    def test_eight_in_ten_hold_what_they_say_where_gaps_are_as_assumed(self):
        """Played out: the mean of the gaps to come lies in the range as often."""
        dice, held, runs = np.random.default_rng(7), 0, 3000
        for _ in range(runs):
            mean = 25 * exp(dice.normal() * log(40 / 25) / 1.2816)
            gaps = mean * np.exp(dice.normal(size=9) * 0.35 - 0.35**2 / 2)
            reckoned = Band(25 * 25 / 40, 25, 40)
            pace = filling.learn_pace(reckoned, list(gaps[:3]), to_come=6)
            held += pace.low <= gaps[3:].mean() <= pace.high
        assert 0.77 < held / runs < 0.84


loads = st.lists(st.integers(0, 200), min_size=1, max_size=8)


class TestEvening:
    @given(loads, st.floats(0.01, 1), st.floats(1, 60), st.floats(0, 30))
    def test_placing_ends_with_the_longest_path(self, beets, each, every, first):
        """S. M. Johnson's formula for two stations in order (1954)."""
        evening = an_evening(
            to_come=tuple(beets), next_min=SURE.scaled(first),
            every_min=SURE.scaled(every), place_min=SURE.scaled(each),
            weigh_down_min=NOUGHT,
        )  # fmt: skip
        comes = [first + n * every for n in range(len(beets))]
        left = list(accumulate(reversed([n * each for n in beets])))[::-1]
        longest = max(at + rest for at, rest in zip(comes, left, strict=True))
        assert isclose(filling.all_under(evening).likely, longest, rel_tol=1e-9)

    def test_an_evening_by_hand(self):
        """Loads at 10, 30, … 90; each placed in 12; then 45 to weigh down."""
        assert filling.all_under(an_evening()) == Band(147, 147, 147)

    def test_a_heap_at_the_dam_is_placed_first(self):
        evening = an_evening(came=((-5, 60), (-1, 60)), to_come=(), place_min=SURE)
        assert filling.all_under(evening).likely == 115 + 45

    def test_what_is_uncertain_joins_at_right_angles(self):
        under = filling.all_under(
            an_evening(
                weigh_down_min=Band(42, 45, 49), water_min=Band(56, 60, 63),
            )
        )  # fmt: skip
        assert (under.low, under.high) == (pytest.approx(202), pytest.approx(212))

    def test_loads_in_time_are_those_whose_end_comes_before_dark(self):
        evening = an_evening(every_min=Band(15, 20, 30))
        assert filling.loads_in_time(evening, 128) == Band(3, 4, 5)
        assert filling.loads_in_time(evening, 40) == NOUGHT
        assert filling.loads_in_time(replace(evening, to_come=()), 500) == NOUGHT

    def test_the_last_load_leaves_time_for_all_that_follows(self):
        """200 minutes to dark: 12 to place it, 45 to weigh down, 60 of water."""
        evening = an_evening(water_min=Band(60, 60, 60))
        assert filling.stop_carting(evening, 60, 200) == Stop(83, 83)

    @given(st.floats(60, 600))
    def test_a_load_at_the_last_moment_is_under_exactly_by_dark(self, dark):
        evening = an_evening(weigh_down_min=Band(30, 45, 70), came=((-60, 60),))
        last = filling.stop_carting(evening, 60, dark)
        for moment, end in ((last.sure_min, "high"), (last.likely_min, "likely")):
            at = SURE.scaled(max(moment, 0))
            by_then = replace(evening, to_come=(60,), next_min=at)
            done = getattr(filling.all_under(by_then), end)
            assert moment < 0 or done == pytest.approx(dark)

    def test_placing_by_more_hands_is_sooner_done(self):
        assert filling.placing(4).likely == pytest.approx(60 / (4 * 60))
        assert filling.placing(8).high < filling.placing(4).high


class TestSupply:
    def test_a_bucket_by_volume_over_time(self):
        """Ten litres in five seconds are two a second, by definition."""
        flow = supply.bucket_flow(10, [5.0])
        assert flow.likely == 2
        assert flow.low < 2 < flow.high

    def test_tries_that_differ_widen_it_and_more_tries_narrow_it(self):
        alike = supply.bucket_flow(10, [5.0, 5.0, 5.0])
        apart = supply.bucket_flow(10, [4.0, 5.0, 6.0])
        once = supply.bucket_flow(10, [5.0])
        assert alike.high < once.high < apart.high
        assert apart.likely == 2

    def test_no_time_is_no_flow(self):
        with pytest.raises(ValueError, match="one time"):
            supply.bucket_flow(10, [])

    def test_spons_dam_fills_in_the_time_of_its_volume(self):
        """50 by 9 by 4 feet are 50.97 m³ (Spon's): at 2 L/s, 7.08 hours."""
        feet = 0.3048
        basin = Basin(50 * feet, 9 * feet, 50 * feet, 9 * feet, 4 * feet)
        volume = basin.volume(4 * feet)
        assert volume == pytest.approx(50.97, abs=0.005)
        time = supply.filling_hours(volume, Band(1.9, 2.0, 2.1))
        assert time.likely == pytest.approx(7.079, abs=1e-3)
        assert (time.low, time.high) == pytest.approx((6.742, 7.452), abs=1e-3)

    def test_no_flow_never_fills(self):
        with pytest.raises(ValueError, match="flow_lps must be above zero"):
            supply.filling_hours(10, NOUGHT)

    def test_a_leak_takes_longer_to_fill_and_may_never_be_filled(self):
        """A litre a second less 8,640 in a day: 3,600 - 360 litres stay each hour."""
        steady = Band(1.0, 1.0, 1.0)
        leak = Band(8_640, 8_640, 8_640)
        assert supply.filling_hours(36, steady, leak).likely == pytest.approx(36 / 3.24)
        assert supply.filling_hours(36, steady, Band(0, 8_640, 90_000)) is None

    def test_the_pondage_balance(self):
        """Seepage = fall + rain - evaporation, over the days (Irrigation Australia)."""
        told = supply.leak(
            first_m=1.0, second_m=0.96, hours=48, surface_m2=20, rain_mm=6,
            evaporation_mm=Band(3, 3, 3),
        )  # fmt: skip
        assert told.fall_mm.likely == pytest.approx((40 + 6) / 2)
        assert told.leak_mm.likely == pytest.approx(23 - 3)
        assert told.litres.likely == pytest.approx(20 * 20)

    def test_a_small_fall_may_be_the_air_alone(self):
        told = supply.leak(first_m=1.0, second_m=0.998, hours=24, surface_m2=20)
        assert told.leak_mm.low == told.leak_mm.likely == 0
        assert told.leak_mm.high > 0

    def test_a_rise_is_no_leak(self):
        told = supply.leak(first_m=1.0, second_m=1.05, hours=24, surface_m2=20)
        assert told.fall_mm.likely == pytest.approx(-50)
        assert told.leak_mm == told.litres == NOUGHT

    def test_faos_july_day_lies_in_the_evaporation(self):
        """FAO-56, example 18 (Uccle, 6 July): 3.9 mm a day for grass."""
        assert supply.EVAPORATION_MM.low < 3.9 < supply.EVAPORATION_MM.high


def drawn(dice, band):
    """Draw a figure that lies within its range eight times in ten."""
    z = dice.normal()
    reach = log(band.high / band.likely if z > 0 else band.likely / band.low)
    return band.likely * exp(z * reach / 1.2816)


def an_evening_played(dice, carts, placers, ticks, loads=8):
    """Play an evening out, forecast it after some loads, and say whether it held."""
    plan = a_cart(carts=carts)
    reckoned, each = filling.load_every(plan), filling.placing(placers)
    gaps = drawn(dice, reckoned) * np.exp(0.35 * dice.normal(size=loads - 1) - 0.061)
    at = drawn(dice, plan.first_min) + np.concatenate([[0], np.cumsum(gaps)])
    done, placed_in = float("-inf"), 60 * drawn(dice, each)
    for moment in at:
        done = max(done, moment) + placed_in
    done += 45 * drawn(dice, filling.WEIGH_DOWN)
    now = at[ticks - 1] if ticks else 0.0
    pace = filling.learn_pace(reckoned, list(gaps[: max(0, ticks - 1)]), loads - ticks)
    evening = an_evening(
        came=tuple((moment - now, 60) for moment in at[:ticks]),
        to_come=(60,) * (loads - ticks),
        next_min=pace if ticks else plan.first_min,
        every_min=pace,
        place_min=each,
        weigh_down_min=filling.WEIGH_DOWN.scaled(45),
    )
    under = filling.all_under(evening)
    return under.low <= done - now <= under.high


@pytest.mark.parametrize(("carts", "placers"), [(1, 8), (2, 4)])
@pytest.mark.parametrize("ticks", [0, 6])
def test_an_evening_ends_inside_its_range_eight_times_in_ten(carts, placers, ticks):
    dice, runs = np.random.default_rng(5), 400
    held = sum(an_evening_played(dice, carts, placers, ticks) for _ in range(runs))
    assert 0.72 < held / runs < 0.88
