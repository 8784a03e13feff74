"""What a lift takes: a test that says so, hands, light and weights."""

from datetime import timedelta
from decimal import Decimal

from django.test import TestCase

from heritage.calc.fibre import Band
from heritage.dam.lifting.selectors import lift_plan
from heritage.dam.models import Check, Finding
from tests.factories import NOW, make_check, make_dam, make_demonstration, make_ret

HOUR = timedelta(hours=1)


class LiftPlanTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret(beets=150)

    def plan(self, now=NOW):
        return lift_plan(self.ret, now)

    def test_it_is_said_by_the_last_test_alone(self):
        assert not self.plan().is_said_by_test
        make_check(ret=self.ret, at=NOW - 3 * HOUR, finding=Finding.FREE)
        make_check(ret=self.ret, at=NOW - 2 * HOUR, finding=Finding.STILL)
        assert self.plan().is_said_by_test
        make_check(ret=self.ret, at=NOW - HOUR, finding=Finding.FAST)
        assert not self.plan().is_said_by_test
        Check.objects.filter(finding=Finding.FAST).update(
            struck_at=NOW, struck_why="wrong"
        )
        assert self.plan().is_said_by_test

    def test_it_goes_by_the_light_that_is_left_or_else_by_tomorrows(self):
        day = NOW.astimezone(self.ret.dam.demonstration.zone).date()
        noon = NOW.replace(hour=11)
        assert self.plan(noon).light.day == day
        assert self.plan(noon).starts == noon
        late = NOW.replace(hour=21)
        assert self.plan(late).light.day == day + timedelta(days=1)
        assert self.plan(late).starts == self.plan(late).light.first
        assert self.plan(noon).hours < self.plan(late).hours

    def test_fewer_hours_take_more_hands(self):
        early, late = self.plan(NOW.replace(hour=8)), self.plan(NOW.replace(hour=18))
        assert early.hands.most < late.hands.most

    def test_it_drains_for_half_a_day_to_a_whole_one(self):
        first, last = self.plan().drained_from_to
        assert last - first == 12 * HOUR

    def test_a_weighed_filling_replaces_the_crops_weight(self):
        self.ret.beet_dry_kg = Decimal("1.0")
        plan = self.plan()
        assert plan.drained.kg == Band(2.3, 2.8, 3.5)
        assert plan.drained.people_words == "one"

    def test_a_beet_too_heavy_for_three_is_carried_in_armfuls(self):
        self.ret.beet_dry_kg = Decimal("5.0")
        assert self.plan().from_dam.people == 0
        assert "too heavy even for three" in self.plan().from_dam.people_words

    def test_where_it_is_never_dark_or_never_light_no_hands_are_told(self):
        high = make_dam(demonstration=make_demonstration(latitude=80, longitude=15))
        ret = make_ret(dam=high, began_at=NOW)
        for month in (6, 12):
            plan = lift_plan(ret, NOW.replace(month=month))
            assert (plan.hands, plan.hours, plan.drained_from_to) == (None, 0, None)

    def test_it_costs_one_query(self):
        with self.assertNumQueries(1):
            self.plan()
