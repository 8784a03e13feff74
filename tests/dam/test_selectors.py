"""How dams and rets stand, and what their pages cost."""

from datetime import timedelta
from decimal import Decimal

from django.test import TestCase

from heritage.calc.dam import Phase
from heritage.dam import selectors
from heritage.dam.models import Finding, Ret
from tests.factories import (
    NOW,
    make_check,
    make_dam,
    make_demonstration,
    make_past_ret,
    make_reading,
    make_ret,
)

DAY = timedelta(days=1)


def read_daily(ret, days, temp=Decimal("16.0")):
    """Read the water each evening, and once in the morning."""
    make_reading(ret=ret, at=ret.began_at + DAY / 2, temp_c=temp)
    for day in range(days):
        make_reading(ret=ret, at=ret.began_at + day * DAY, temp_c=temp)


class RetStateTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret()

    def state(self, now=NOW):
        ret = Ret.objects.select_related("dam__demonstration").get(pk=self.ret.pk)
        return selectors.ret_page(ret, now).state

    def test_without_a_reading_no_day_is_told(self):
        state = self.state()
        assert (state.percent, state.likely, state.is_test_due) == (None, None, False)
        assert state.hours_between_tests is None
        assert "not been read yet" in state.warnings[0]
        assert selectors.ret_page(self.ret, NOW).curve is None

    def test_five_days_at_16_degrees_are_about_half(self):
        """10.1 days at 16 °C by the table in the sources: five are 0.495."""
        read_daily(self.ret, 6)
        state = self.state()
        assert state.day == 6
        assert state.percent == 50
        assert state.early < state.likely < state.late
        assert state.hours_between_tests == 24

    def test_a_first_test_is_asked_for_once_waiting_may_cost_a_visit(self):
        """At 16 °C on day 5.9, by the table of the sums; held water strays a little."""
        read_daily(self.ret, 6)
        assert not self.state(self.ret.began_at + 5.5 * DAY).is_test_due
        assert self.state(self.ret.began_at + 6.05 * DAY).is_test_due

    def test_a_test_puts_off_the_next(self):
        read_daily(self.ret, 6)
        make_check(ret=self.ret, at=NOW - timedelta(hours=1))
        state = self.state()
        assert not state.is_test_due
        assert state.next_test == NOW + timedelta(hours=23)
        assert not state.drew_free

    def test_water_that_has_gone_still_wants_a_test_in_six_hours(self):
        """By the test page's own step: every six hours once the working dies down."""
        read_daily(self.ret, 6)
        make_check(ret=self.ret, at=NOW - timedelta(hours=2))
        for finding, hours in (("still", 6), ("bubbles", 24), ("sunk", 6)):
            self.ret.checks.exclude(finding="fast").delete()
            make_check(ret=self.ret, finding=finding, at=NOW - timedelta(hours=1))
            state = self.state()
            assert state.hours_between_tests == hours, finding
            if hours == 24:
                assert state.next_test == NOW + timedelta(hours=22)
                continue
            # Six hours end in the dark: sunset is at 20:04 UTC (pvlib's SPA).
            before_dark = NOW.replace(hour=19, minute=34)
            assert abs(state.next_test - before_dark) < timedelta(minutes=2)

    def test_nobody_is_sent_to_the_water_in_the_dark(self):
        read_daily(self.ret, 6)
        for hour in range(0, 24, 3):
            state = self.state(self.ret.began_at + 7 * DAY + timedelta(hours=hour))
            at = state.next_test.hour
            assert state.is_test_due or 5 <= at < 21, at
        night = NOW.replace(hour=23) + 2 * DAY
        assert not self.state(night).is_test_due
        assert self.state(night).next_test.hour < 7

    def test_the_next_test_comes_after_the_hours_that_are_printed(self):
        """At 18 °C a tenth of the ret is 20.9 hours; the page says 20, and means it."""
        read_daily(self.ret, 6, temp=Decimal("18.0"))
        make_check(ret=self.ret, at=NOW)
        state = self.state()
        assert state.hours_between_tests == 20
        assert state.next_test == NOW + timedelta(hours=20)

    def test_wood_that_drew_free_is_said(self):
        make_check(ret=self.ret, finding=Finding.FREE)
        assert self.state().drew_free

    def test_progress_runs_on_past_the_last_reading(self):
        read_daily(self.ret, 6)
        state = self.state(NOW + DAY)
        assert state.progress > state.measured

    def test_an_old_reading_is_warned_of(self):
        read_daily(self.ret, 6)
        assert "reading is 48 hours old" in self.state(NOW + 2 * DAY).warnings[0]

    def test_a_likely_day_gone_by_is_warned_of(self):
        read_daily(self.ret, 6)
        assert "likely day has come" in self.state(NOW + 6 * DAY).warnings[0]

    def test_a_lifted_ret_asks_for_nothing(self):
        read_daily(self.ret, 6)
        Ret.objects.going().update(lifted_at=NOW)
        state = self.state(NOW + 9 * DAY)
        assert (state.is_test_due, state.next_test, state.day) == (False, None, 6)
        assert not any("hours old" in warning for warning in state.warnings)

    def test_water_too_cold_tells_no_date(self):
        read_daily(self.ret, 3, temp=Decimal("3.0"))
        assert self.state().likely is None

    def test_a_ret_s_page_costs_the_same_with_more_in_it(self):
        ret = Ret.objects.select_related("dam__demonstration").get(pk=self.ret.pk)
        for days in (2, 6):
            ret.readings.all().delete()
            read_daily(ret, days)
            make_check(ret=ret)
            with self.assertNumQueries(6):
                page = selectors.ret_page(ret, NOW)
                assert [str(check.entered_by) for check in page.checks]
            assert len(page.readings) == days + 1


class DamTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()

    def fill_a_dam(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration))
        make_reading(ret=ret)
        make_check(ret=ret)
        return ret

    def test_states_cost_the_same_for_more_dams(self):
        for count in (1, 2):
            self.fill_a_dam()
            with self.assertNumQueries(7):
                states = selectors.dam_states(self.demonstration, NOW)
            assert [state.ret.day for state in states] == [6] * count

    def test_an_empty_dam_and_a_stranger_s(self):
        self.fill_a_dam()
        make_dam(demonstration=self.demonstration, name="A dam")
        make_ret()
        states = selectors.dam_states(self.demonstration, NOW)
        assert [bool(state.ret) for state in states] == [False, True]

    def test_a_lifted_ret_is_past(self):
        ret = self.fill_a_dam()
        Ret.objects.in_dam(ret.dam).update(lifted_at=NOW)
        page = selectors.dam_page(ret.dam, NOW)
        assert (page.going, page.past) == (None, (ret,))
        assert page.stones_for_kg == page.capacity.dry_kg

    def test_a_dam_s_measures(self):
        """8 x 3 m above, 7 x 2 m below, 1.2 m deep: the prismoid by hand."""
        page = selectors.dam_page(make_dam(), NOW)
        assert round(page.volume_m3, 2) == round(1.2 / 6 * (14 + 4 * 18.75 + 24), 2)
        hours = page.supply.hours.likely
        assert round(hours, 2) == round(page.volume_m3 / 7.2, 2)
        assert page.capacity.low < page.capacity.beets < page.capacity.high
        assert not page.is_deep

    def test_no_inflow_no_filling_time(self):
        page = selectors.dam_page(make_dam(inflow_lps=None, depth_m=2), NOW)
        assert page.supply.hours is None
        assert page.is_deep

    def test_stones_are_for_what_is_in_the_dam(self):
        ret = self.fill_a_dam()
        page = selectors.dam_page(ret.dam, NOW)
        assert page.stones_for_kg == 450
        assert page.plan.seen is None
        gassing = page.stones[2]
        assert gassing.stones_low < gassing.stones_likely < gassing.stones_high
        assert page.stones[-1].is_lightened
        assert not any(row.ballast.confirmed for row in page.stones)

    def warm_ret(self):
        """Six days at 20 °C: by the curve 80 % of the likely way."""
        ret = make_ret(dam=make_dam(demonstration=self.demonstration))
        Ret.objects.going().update(began_at=NOW - 6 * DAY)
        ret.refresh_from_db()
        read_daily(ret, 7, temp=Decimal("20.0"))
        return ret

    def plan(self, ret, *findings):
        for hours, finding in enumerate(findings):
            at = NOW - timedelta(hours=20 - hours)
            make_check(ret=ret, finding=finding, at=at)
        return selectors.dam_page(ret.dam, NOW).plan

    def test_the_curve_alone_takes_no_stones_off(self):
        ret = self.warm_ret()
        plan = self.plan(ret)
        assert plan.end_percent > 60
        for tested in (plan, self.plan(ret, Finding.FAST)):
            assert 0 < tested.low <= tested.likely <= tested.high
            page = selectors.dam_page(ret.dam, NOW)
            assert tested.high == page.stones[2].stones_high
        assert tested.end_percent < plan.end_percent, "fast is not the end"

    def test_what_was_seen_takes_them_off_and_puts_them_back(self):
        ret = self.warm_ret()
        assert self.plan(ret, Finding.STILL).likely > 0, "nobody saw it work"
        assert self.plan(ret, Finding.BUBBLES, Finding.STILL).is_over
        assert self.plan(ret).high == 0
        make_check(ret=ret, finding=Finding.RISEN, at=NOW)
        assert self.plan(ret).likely > 0

    def test_a_look_at_the_water_is_no_test_of_the_wood(self):
        ret = self.warm_ret()
        before = selectors.ret_page(ret, NOW).state.next_test
        make_check(ret=ret, finding=Finding.BUBBLES, at=NOW)
        state = selectors.ret_page(ret, NOW).state
        assert state.last_core is None
        assert state.next_test > before, "it works still"
        assert state.seen is Phase.GASSING

    def test_a_dam_s_page_costs_the_same_for_more_rets(self):
        ret = self.fill_a_dam()
        for count in (1, 2):
            with self.assertNumQueries(8):
                page = selectors.dam_page(ret.dam, NOW)
            assert len(page.past) == count - 1
            make_past_ret(dam=ret.dam)
