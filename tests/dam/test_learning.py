"""What the test book teaches of a ret, and what its page says of it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import TestCase

from heritage.calc import retting
from heritage.calc.dam import Phase, phase_chances
from heritage.dam import selectors
from heritage.dam.learning.selectors import SIGNS, Step
from heritage.dam.models import Finding, Ret
from heritage.dam.words import LIFT_REASONS
from tests.factories import (
    NOW,
    make_check,
    make_organiser,
    make_reading,
    make_ret,
    make_user,
)

DAY, HOUR = timedelta(days=1), timedelta(hours=1)
NEAR = pytest.approx


class LearningTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret()
        cls.began = NOW - 9 * DAY
        Ret.objects.going().update(began_at=cls.began)
        cls.ret.refresh_from_db()
        cls.tester = make_user()
        for half_days in range(19):
            at = cls.began + half_days * DAY / 2
            make_reading(ret=cls.ret, at=at, temp_c=Decimal("16.0"))

    def check(self, finding, at=NOW - HOUR, by=None):
        who = by or self.tester
        return make_check(ret=self.ret, finding=finding, at=at, entered_by=who)

    def state(self, now=NOW):
        return selectors.ret_page(self.ret, now).state

    def test_an_empty_book_leaves_the_curve_as_it_is(self):
        state = self.state()
        assert state.learned is None
        assert state.progress == NEAR(9 * retting.rate(16.0))

    def test_fast_on_day_nine_of_a_likely_ten_is_later(self):
        before = self.state()
        self.check(Finding.FAST)
        after = self.state()
        assert after.likely > before.likely + DAY / 2
        assert after.late > before.late
        assert after.progress < before.progress
        assert after.percents[1] < before.percents[1]
        (step,) = after.learned.steps
        assert (step.at, step.days > 0.5) == (NOW - HOUR, True)
        assert "days later" in step.words

    def test_free_is_sooner_and_never_before_now(self):
        before = self.state()
        self.check(Finding.FREE)
        after = self.state()
        assert after.early == NOW
        assert after.likely < before.likely
        assert "days sooner" in after.learned.steps[0].words

    def test_the_dates_are_those_of_the_sums(self):
        self.check(Finding.LOOSENING)
        progress = 9 * retting.rate(16.0)
        sign = retting.Sign("core", "partly", progress - retting.rate(16.0) / 24)
        told = retting.ready(retting.learn(retting.prior(), [sign]), progress, 16.0)
        state = self.state()
        days = [(at - NOW) / DAY for at in (state.early, state.likely, state.late)]
        assert days == NEAR([told.early, told.likely, told.late], abs=0.01)
        assert state.learned.chance == NEAR(told.chance_now, abs=0.001)

    def test_the_same_person_again_adds_less_than_another(self):
        self.check(Finding.FAST, NOW - 30 * HOUR)
        self.check(Finding.LOOSENING, NOW - 6 * HOUR)
        again = self.check(Finding.LOOSENING, NOW - HOUR)
        alone = self.state().learned.factor.band
        again.delete()
        self.check(Finding.LOOSENING, NOW - HOUR, by=make_user(email="b@example.org"))
        both = self.state().learned.factor.band
        assert both.high / both.low < alone.high / alone.low

    def test_bubbles_that_never_rose_teach_nothing(self):
        self.check(Finding.STILL)
        assert self.state().learned is None

    def test_a_line_from_before_the_water_teaches_nothing(self):
        self.check(Finding.FAST, self.began)
        assert self.state().learned is None

    def test_once_learned_the_likely_day_is_not_past_by_the_curve(self):
        make_reading(ret=self.ret, at=NOW + 2 * DAY, temp_c=Decimal("16.0"))
        now = NOW + 2 * DAY
        assert any("likely day has passed" in one for one in self.state(now).warnings)
        self.check(Finding.FAST, now)
        state = self.state(now)
        assert not any("likely day" in one for one in state.warnings)
        assert state.percent < 100

    def test_a_lifted_ret_keeps_what_moved_it_and_asks_for_nothing(self):
        self.check(Finding.FREE)
        Ret.objects.going().update(lifted_at=NOW)
        self.ret.refresh_from_db()
        state = self.state(NOW + 5 * DAY)
        assert state.learned.steps
        assert state.next_test is None
        assert state.early < state.likely < state.late

    def test_the_stones_go_by_it_too(self):
        self.check(Finding.FAST)
        plan = selectors.dam_page(self.ret.dam, NOW).plan
        state = self.state()
        by_curve = phase_chances(state.learned.progress, state.sigma)[Phase.END]
        assert plan.end_percent < round(100 * by_curve)

    def test_the_page_says_what_moved_it_and_that_it_is_judgement(self):
        self.check(Finding.FAST)
        who = make_organiser(demonstration=self.ret.dam.demonstration)
        self.client.force_login(who.user)
        page = self.client.get(self.ret.get_absolute_url())
        self.assertContains(page, "What moved the estimate")
        self.assertContains(page, "The wood holds the fibre fast: likely")
        self.assertContains(page, "our own judgement")
        self.assertContains(page, "The tests don't allow lifting yet.")
        self.assertContains(page, "Never lift by a date.")


def test_every_finding_is_a_sign():
    assert set(SIGNS) == set(Finding)
    for kind, category in SIGNS.values():
        retting.Sign(kind, category, 0.5)


def test_every_reason_has_its_words():
    figures = {
        "free": 1,
        "stems": 1,
        "needed": 0.6,
        "not_ready": 20.0,
        "past": 30.0,
        "early": 10.0,
        "late": 40.0,
        "times": 1.9,
    }
    for code in retting.LiftReason:
        assert str(LIFT_REASONS[code]) % figures


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0.04, "the likely day stays"),
        (1.24, "likely 1.2 days later"),
        (-0.5, "likely 0.5 days sooner"),
    ],
)
def test_a_step_says_which_way(days, words):
    assert Step(NOW, "fast", days).words == words
