"""What the test book and past rets teach of a ret, and what its page says of it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.calc import retting
from heritage.calc.dam import Phase
from heritage.common import clock
from heritage.dam import drawings, selectors
from heritage.dam.learning.selectors import Step, doubt, looks
from heritage.dam.learning.services import (
    add_look,
    judge,
    keep_basis,
    keep_reckoning,
    learn_from_past,
    strike_look,
)
from heritage.dam.models import SIGNS, Check, Finding, Lies, Outcome, Reading, Ret
from heritage.dam.services import lift
from heritage.dam.words import KINDS, LIFT_REASONS
from heritage.growth.models import WarmDay
from heritage.kits.drawing.svg import to_svg
from tests.factories import (
    NOW,
    make_check,
    make_gathering,
    make_organiser,
    make_reading,
    make_ret,
    make_user,
    make_volunteer,
)

DAY, HOUR = timedelta(days=1), timedelta(hours=1)
NEAR = pytest.approx
# Means of no place in particular.
USUAL = [5.0, 5.0, 6.0, 8.0, 11.0, 13.0, 15.0, 14.0, 12.0, 9.0, 7.0, 5.0]


def nine_days_of(ret, temp_c="16.0", days=9):
    """Have flax under water for so many days, read each half day."""
    began = NOW - days * DAY
    Ret.objects.filter(pk=ret.pk).update(began_at=began)
    ret.refresh_from_db()
    for half_days in range(2 * days + 1):
        at = began + half_days * DAY / 2
        make_reading(ret=ret, at=at, temp_c=Decimal(temp_c))
    return began


@pytest.fixture(autouse=True)
def the_clock_stands(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Shared(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret()
        cls.began = nine_days_of(cls.ret)
        cls.tester = make_user()
        cls.here = cls.ret.dam.demonstration

    def check(self, finding, at=NOW - HOUR, by=None, **fields):
        who = by or self.tester
        return make_check(
            ret=self.ret, finding=finding, at=at, entered_by=who, **fields
        )

    def state(self, now=NOW, ret=None):
        return selectors.ret_page(ret or self.ret, now).state

    def lifted_before(self, verdict="over", days=9):
        """Lift an earlier ret of the same dam, and say how it came out."""
        gone = {"water_went": "spread", "water_leave": "Leave", "water_went_at": NOW}
        ret = make_ret(dam=self.ret.dam, clean_at=NOW, lifted_at=NOW, **gone)
        nine_days_of(ret, days=days)
        judge(ret=ret, verdict=verdict, after="scutching", by=self.tester, now=NOW)
        return ret


class LearningTests(Shared):
    def test_before_any_test_it_is_the_start_and_the_held_water(self):
        progress = 9 * retting.rate(16.0)
        water = retting.water_ahead(16.0, depth_m=1.0)
        start = retting.prior(mean_c=16.0)
        told = retting.ready(start, progress, water.mean_c, water.sd_c)
        state = self.state()
        assert state.progress == NEAR(progress)
        days = [(at - NOW) / DAY for at in (state.early, state.likely, state.late)]
        assert days == NEAR([told.early, told.likely, told.late], abs=0.01)
        assert state.learned.steps == ()

    def test_fast_on_day_nine_of_a_likely_ten_is_later(self):
        before = self.state()
        self.check(Finding.FAST)
        after = self.state()
        assert after.likely > before.likely + DAY / 2
        assert after.late > before.late
        assert after.progress < before.progress
        (step,) = after.learned.steps
        assert (step.at, step.days > 0.5, step.width < 1) == (NOW - HOUR, True, True)

    def test_free_is_sooner_and_never_before_now(self):
        before = self.state()
        self.check(Finding.FREE, stems=5)
        after = self.state()
        assert after.early == NOW
        assert after.likely < before.likely
        assert "days sooner" in after.learned.steps[0].words

    def test_stems_place_and_tester_reach_the_sums(self):
        self.check(Finding.FREE, stems=3, place="butt", tester="MK")
        self.check(Finding.LOOSENING, stems=2, place="butt", tester="mk ")
        (look,) = looks(self.state().ret.checks.all())
        assert look.words.startswith("2 of 5: it draws part of the way, at the butt")
        at = 9 * retting.rate(16.0) - retting.rate(16.0) / 24
        signs = [retting.Sign("core", "partly", at, 2, "butt", "mk"),
                 retting.Sign("core", "free", at, 3, "butt", "mk")]  # fmt: skip
        learned = retting.learn(retting.prior(mean_c=16.0), signs)
        assert self.state().learned.factor.quantile(0.5) == NEAR(
            learned.quantile(0.5), abs=0.001
        )

    def test_the_same_person_again_adds_less_than_another(self):
        self.check(Finding.FAST, NOW - 30 * HOUR)
        self.check(Finding.LOOSENING, NOW - 6 * HOUR)
        again = self.check(Finding.LOOSENING)
        alone = self.state().learned.factor.band
        again.delete()
        self.check(Finding.LOOSENING, tester="somebody else")
        both = self.state().learned.factor.band
        assert both.high / both.low < alone.high / alone.low

    def test_what_says_nothing_moves_nothing(self):
        """Bubbles that never rose, and a line from before the water."""
        self.check(Finding.STILL)
        self.check(Finding.FAST, self.began)
        assert self.state().learned.steps == ()

    def test_a_late_ret_is_never_over_the_whole_way(self):
        make_reading(ret=self.ret, at=NOW + 4 * DAY, temp_c=Decimal("16.0"))
        state = self.state(NOW + 4 * DAY)
        assert state.progress > 1
        assert state.percent == 100

    def test_a_lifted_ret_keeps_what_moved_it_and_asks_for_nothing(self):
        self.check(Finding.FREE)
        Ret.objects.going().update(lifted_at=NOW)
        self.ret.refresh_from_db()
        state = self.state(NOW + 5 * DAY)
        assert state.learned.steps
        assert state.next_test is None
        assert state.early < state.likely < state.late

    def test_the_stones_go_by_it_too(self):
        before = selectors.dam_page(self.ret.dam, NOW).plan.end_percent
        self.check(Finding.FAST, stems=5)
        assert selectors.dam_page(self.ret.dam, NOW).plan.end_percent < before

    def test_evenings_alone_are_corrected_for_the_days_swing(self):
        plain = self.state().learned.progress
        self.ret.readings.all().delete()
        for day in range(9):
            at = (self.began + day * DAY).replace(hour=18, minute=30)
            make_reading(ret=self.ret, at=at, temp_c=Decimal("16.0"))
        state = self.state()
        assert state.learned.course.corrected
        assert state.learned.progress < 0.95 * plain
        assert any("swing is taken out" in one for one in state.warnings)

    def test_a_loggers_many_readings_change_next_to_nothing(self):
        """Six thousand, of water that swings: one in three is reckoned with."""
        self.ret.readings.all().delete()
        step, swing = 9 * DAY / 6000, [Decimal("0.0"), Decimal("0.7"), Decimal("-0.7")]
        Reading.objects.bulk_create(
            Reading(
                ret=self.ret, at=self.began + number * step, entered_by=self.tester,
                temp_c=Decimal("16.0") + swing[number // 250 % 3],
            )
            for number in range(6001)
        )  # fmt: skip
        rows = list(self.ret.readings.counting().in_order())
        told = self.state().learned
        every = [retting.Reading(row.at, float(row.temp_c)) for row in rows]
        whole = retting.reached(every, [NOW], started=self.began)[0]
        assert len(told.course.log) == 2001
        assert told.progress == NEAR(whole, rel=0.002)

    def test_dam_states_and_the_page_agree(self):
        self.check(Finding.LOOSENING)
        with self.assertNumQueries(7):
            (of_all,) = selectors.dam_states(self.here, NOW)
        assert of_all.ret.likely == self.state().likely


class WaterSignTests(Shared):
    def seen(self):
        self.check(Finding.BUBBLES, NOW - 4 * DAY)
        return self.state().seen

    def test_a_free_stem_among_many_takes_no_stones_off(self):
        self.check(Finding.FREE)
        self.check(Finding.FAST, stems=4)
        assert self.seen() is Phase.GASSING

    def test_most_stems_free_or_torn_say_that_it_is_over(self):
        self.check(Finding.TEARS, stems=2)
        self.check(Finding.FREE, stems=2)
        assert self.seen() is Phase.END

    def test_the_other_tests_say_nothing_of_the_water(self):
        for finding in ("snaps", "dull", "sinks", "slimy", "floats", "firm"):
            self.check(finding, NOW - DAY)
        assert self.seen() is Phase.GASSING


class WhenToTestTests(Shared):
    def test_the_first_test_is_by_the_chance_and_the_costs_of_the_whole_course(self):
        """At 16 °C in held water about day 5.9 (6.1 at 15.5 with a better outlook)."""
        expected = self.began + timedelta(
            hours=retting.next_test(retting.prior(), 0.0, 16.0, 0.0)
        )
        state = self.state(self.began + 12 * HOUR)
        assert (state.first_test - expected) / HOUR == NEAR(0, abs=3)
        assert self.state().first_test == NEAR_MOMENT(expected, HOUR)
        assert self.state().is_test_due

    def test_a_dearer_day_late_brings_the_first_test_forward(self):
        before = self.state().first_test
        values = {"visit": 1, "day_late": 80, "day_early": 10, "lies": Lies.SUNNY}
        keep_reckoning(
            demonstration=self.here, values=values | {"place": "", "month_c": []}
        )
        assert self.state().first_test < before - 6 * HOUR

    def test_lifting_is_allowed_by_tests_and_costs_never_by_a_date(self):
        make_reading(ret=self.ret, at=NOW + 9 * DAY, temp_c=Decimal("16.0"))
        assert not self.state(NOW + 9 * DAY).learned.verdict.may
        for hours in (0, 12, 24):
            at = NOW + 2 * DAY + hours * HOUR
            self.check(Finding.FREE, at, stems=5)
            self.check(Finding.SUNK, at)
        told = self.state(NOW + 3 * DAY).learned
        assert told.verdict.may
        assert any("5 of 5 stems drew free" in one for one in told.reasons)

    def test_at_the_butt_alone_nothing_is_free_to_lift(self):
        self.check(Finding.FREE, stems=5, place="butt")
        assert not self.state().drew_free
        self.check(Finding.FREE, NOW, stems=3)
        self.check(Finding.FAST, NOW, stems=2)
        assert self.state().drew_free


def NEAR_MOMENT(moment, within):  # noqa: N802
    class Near:
        def __eq__(self, other):
            return abs(other - moment) <= within

    return Near()


class OutlookTests(Shared):
    def forecast(self, *means):
        for ahead, mean in enumerate(means):
            day = (NOW + ahead * DAY).astimezone(self.here.zone).date()
            WarmDay.objects.update_or_create(
                demonstration=self.here, day=day,
                defaults={"tmin_c": mean - 4, "tmax_c": mean + 4, "is_forecast": True,
                          "by": self.tester, "entered_at": NOW},
            )  # fmt: skip

    def test_a_colder_week_moves_the_dates_and_widens_them(self):
        self.forecast(*[14.5] * 9)
        warm = self.state()
        self.forecast(*[6.0] * 9)
        cold = self.state()
        assert cold.likely > warm.likely
        assert cold.late > warm.late + DAY
        assert cold.late - cold.early > warm.late - warm.early
        assert any("from the forecast for 8 days" in one for one in cold.warnings)

    def test_after_the_forecast_come_the_monthly_means_of_the_named_place(self):
        values = {"visit": 1, "day_late": 40, "day_early": 10, "lies": Lies.SUNNY}
        values |= {"place": "Hillhead", "month_c": USUAL}
        keep_reckoning(demonstration=self.here, values=values)
        words = self.state().learned.outlook_words
        assert (
            words == "The water ahead is worked out from the monthly means of Hillhead."
        )
        self.forecast(16.0, 16.0)
        words = self.state().learned.outlook_words
        assert "for 1 day, then from the monthly means of Hillhead." in words

    def test_held_water_is_known_the_less_the_further_ahead(self):
        state = self.state()
        assert any("stays at 16.0 °C" in one for one in state.warnings)
        held = state.learned.course.water.sd_c
        self.forecast(*[14.5] * 9)
        known = self.state().learned.course.water.sd_c
        assert held[0] < held[5] < held[30]
        assert known[5] < held[5]

    def test_means_of_no_place_are_refused_by_the_field(self):
        values = {"visit": 1, "day_late": 40, "day_early": 10, "lies": Lies.SUNNY}
        with pytest.raises(ValidationError) as refused:
            keep_reckoning(
                demonstration=self.here,
                values=values | {"place": "", "month_c": USUAL},
            )
        assert "place" in refused.value.error_dict


class PastRetTests(Shared):
    def test_an_over_retted_one_makes_the_next_sooner_and_surer(self):
        before = self.state()
        self.lifted_before("over", days=10)
        after = self.state()
        assert after.likely < before.likely
        assert after.learned.factor.sd < before.learned.factor.sd
        assert "The last ret of this dam: likely" in after.learned.past_words
        assert "narrower" in after.learned.past_words

    def test_the_last_word_stands_and_is_what_the_sums_make_of_it(self):
        ret = self.lifted_before("over")
        row = judge(ret=ret, verdict="right", after="hackling", by=self.tester, now=NOW)
        sign = retting.Sign("verdict", "right", 9 * retting.rate(16.0))
        told = retting.past_ret([sign])
        row.refresh_from_db()
        assert (row.log_factor, row.log_factor_sd) == NEAR((told.y, told.sd), abs=1e-3)
        assert Outcome.objects.count() == 1

    def test_rets_lifted_before_are_learned_from_once(self):
        ret = self.lifted_before()
        Outcome.objects.all().delete()
        make_check(ret=ret, finding=Finding.FREE, stems=5, at=NOW - DAY)
        assert learn_from_past(NOW) == 1
        assert Outcome.objects.get().log_factor is not None
        assert learn_from_past(NOW) == 0

    def test_another_dam_teaches_nothing(self):
        elsewhere = make_ret()
        nine_days_of(elsewhere)
        self.lifted_before()
        assert self.state(ret=elsewhere).learned.past_words == ""

    def test_a_ret_in_the_water_has_no_verdict(self):
        with pytest.raises(ValidationError, match="still in"):
            judge(
                ret=self.ret, verdict="right", after="lifting", by=self.tester, now=NOW
            )


class LookTests(Shared):
    def look(self, **fields):
        given = {"at": NOW - HOUR, "found": {"free": 3}, "sure": False}
        return add_look(ret=self.ret, by=self.tester, now=NOW, **given | fields)

    def test_each_finding_is_a_line_and_nothing_found_none(self):
        self.look(found={"fast": 0, "loosening": 2, "free": 3}, place="middle")
        assert Check.objects.count() == 2
        with pytest.raises(ValidationError, match="how many stems"):
            self.look(found={"fast": 0})

    def test_a_moment_that_cannot_be_is_refused_by_its_field(self):
        Ret.objects.filter(pk=self.ret.pk).update(lifted_at=NOW - 2 * HOUR)
        for at in (NOW + HOUR, self.began - HOUR, NOW - HOUR):
            with pytest.raises(ValidationError) as refused:
                self.look(at=at)
            assert "at" in refused.value.error_dict

    def test_a_contradicting_test_is_asked_about_then_kept_and_weighed(self):
        self.look(at=NOW - 30 * HOUR, found={"free": 5})
        before = self.state().learned.factor.quantile(0.5)
        with pytest.raises(ValidationError) as asked:
            self.look(found={"fast": 5})
        (words,) = asked.value.message_dict["sure"]
        assert "doesn't fit" in words
        assert "draws out free" in words
        assert Check.objects.count() == 1
        self.look(found={"fast": 5}, sure=True)
        assert Check.objects.count() == 2
        assert self.state().learned.factor.quantile(0.5) > before

    def test_what_the_warmth_alone_hardly_allows_is_asked_about_too(self):
        line = Check(ret=self.ret, at=self.began + DAY, finding="free", stems=5,
                     entered_by=self.tester)  # fmt: skip
        assert "Only about" not in doubt(self.ret, [line])
        assert "only about one ret in" in doubt(self.ret, [line])

    def test_an_unread_ret_asks_nothing(self):
        self.ret.readings.all().delete()
        self.look(found={"fast": 5})
        assert self.state().learned is None


class StrikeTests(Shared):
    """A look that was wrong is struck whole, kept, and moves nothing any more."""

    def strike(self, check, why="wrong", by=None):
        return strike_look(check=check, why=why, by=by or self.tester, now=NOW)

    def drawn(self):
        drawing = drawings.course(selectors.ret_page(self.ret, NOW))
        return to_svg(drawing, prefix="course")

    def test_everything_is_as_it_was_before_the_test(self):
        before, drawn = self.state(), self.drawn()
        check = self.check(Finding.FREE, stems=5)
        moved = self.state()
        assert self.drawn() != drawn
        assert (moved.likely, moved.drew_free) != (before.likely, before.drew_free)
        self.strike(check)
        assert self.state() == before
        (state,) = selectors.dam_states(self.here, NOW)
        assert state.ret.likely == before.likely
        assert selectors.dam_page(self.ret.dam, NOW).going.likely == before.likely
        page = selectors.ret_page(self.ret, NOW)
        assert (page.checks, page.struck_checks) == ((), (check,))
        assert self.drawn() == drawn

    def test_a_look_is_struck_whole_and_no_other(self):
        lines = [self.check(Finding.FREE, stems=3), self.check(Finding.FAST, stems=2)]
        others = [
            self.check(Finding.BUBBLES),
            self.check(Finding.FREE, tester="MK"),
            self.check(Finding.FREE, NOW - 2 * HOUR),
        ]
        assert set(self.strike(lines[1]).lines) == set(lines)
        assert set(Check.objects.standing()) == set(others)
        struck = Check.objects.filter(pk__in=[line.pk for line in lines])
        assert set(struck.values_list("struck_at", "struck_why")) == {(NOW, "wrong")}

    def test_what_is_written_anew_for_that_moment_is_another_look(self):
        self.strike(self.check(Finding.FREE))
        again = self.check(Finding.LOOSENING)
        page = selectors.ret_page(self.ret, NOW)
        assert [look.lines for look in page.looks] == [(again,)]
        strike_look(
            check=again, why="badly", by=self.tester, now=NOW + timedelta(minutes=1)
        )
        page = selectors.ret_page(self.ret, NOW)
        assert page.looks == []
        assert len(page.struck_looks) == 2

    def test_who_wrote_it_a_lead_and_an_organiser_strike_it(self):
        check = self.check(Finding.FREE)
        with pytest.raises(ValidationError, match="Only the tester, a lead"):
            self.strike(check, by=make_user())
        lead = make_volunteer(demonstration=self.here)
        make_gathering(demonstration=self.here, lead=lead)
        assert self.strike(check, by=lead.user)
        boss = make_organiser(demonstration=self.here).user
        assert self.strike(self.check(Finding.FREE), by=boss)
        assert self.strike(self.check(Finding.FREE))

    def test_a_look_that_two_wrote_is_neither_s_alone(self):
        other = make_user()
        check = self.check(Finding.FREE, tester="MK")
        self.check(Finding.FAST, by=other, tester="mk")
        for user in (self.tester, other):
            with pytest.raises(ValidationError, match="Only the tester"):
                self.strike(check, by=user)

    def test_it_is_struck_once_and_for_a_reason_that_is_known(self):
        check = self.check(Finding.FREE)
        for why in ("", "disliked"):
            with pytest.raises(ValidationError, match="Choose why") as refused:
                self.strike(check, why=why)
            assert "why" in refused.value.error_dict
        self.strike(check)
        with pytest.raises(ValidationError, match="struck out before"):
            self.strike(check)

    def test_a_struck_test_contradicts_nothing(self):
        self.strike(self.check(Finding.FREE, NOW - 30 * HOUR, stems=5))
        line = Check(ret=self.ret, at=NOW - HOUR, finding="fast", stems=5,
                     entered_by=self.tester)  # fmt: skip
        assert doubt(self.ret, [line]) == ""

    def test_what_a_lifted_ret_teaches_changes_back(self):
        ret = self.lifted_before(verdict="right")
        row = Outcome.objects.get(ret=ret)
        said = {"ret": ret, "found": {"fast": 5}, "by": self.tester, "now": NOW}
        (check,) = add_look(at=NOW - DAY, **said)
        moved = Outcome.objects.get(ret=ret)
        assert moved.log_factor != row.log_factor
        self.strike(check)
        back = Outcome.objects.get(ret=ret)
        assert (back.log_factor, back.log_factor_sd) == (
            row.log_factor,
            row.log_factor_sd,
        )

    def test_flax_may_be_lifted_before_a_struck_test_but_not_for_one(self):
        self.ret.readings.filter(at__gt=NOW - 2 * HOUR).delete()
        later = self.check(Finding.FREE, stems=5)
        said = {"ret": self.ret, "lifted_at": NOW - 2 * HOUR, "now": NOW}
        with pytest.raises(ValidationError, match="tested later"):
            lift(**said)
        self.strike(later)
        with pytest.raises(ValidationError, match="none was made"):
            lift(**said)
        assert lift(**said, why_untested="The dam leaked").lifted_at


class BasisTests(Shared):
    def test_a_lag_is_not_counted_as_retting(self):
        before = self.state().learned.progress
        ret = keep_basis(ret=self.ret, values={"lag_h": Decimal(24)})
        after = self.state(ret=ret).learned.progress
        assert before - after == NEAR(retting.rate(16.0), abs=1e-6)

    def test_flax_that_went_in_dry_wants_the_stones_of_dry_flax(self):
        make_reading(ret=self.ret, at=self.began + HOUR, temp_c=Decimal("16.0"))
        now = self.began + 2 * HOUR

        def wanted(straw):
            keep_basis(ret=self.ret, values={"straw": straw})
            return selectors.dam_page(self.ret.dam, now).plan.ballast.likely_kg

        dry, either, green = wanted("dry"), wanted(""), wanted("green")
        assert dry > either > green


class PageTests(Shared):
    def setUp(self):
        who = make_organiser(demonstration=self.here)
        self.client.force_login(who.user)

    def url(self, name, *args):
        return reverse(f"dam:{name}", args=[self.here.slug, *args])

    def test_the_page_says_what_moved_it_and_that_it_is_judgement(self):
        self.check(Finding.FAST, stems=3)
        page = self.client.get(self.ret.get_absolute_url())
        self.assertContains(page, "What moved the estimate")
        self.assertContains(page, "narrower")
        self.assertContains(page, "Our own judgement")
        self.assertContains(page, "The tests don't allow lifting yet.")
        self.assertContains(page, "Never lift by a date.")

    def test_a_look_is_typed_and_a_doubt_keeps_what_was_typed(self):
        self.check(Finding.FREE, NOW - 30 * HOUR, stems=5)
        url = self.url("check_add", self.ret.pk)
        with self.settings():
            typed = {"fast": "5", "place": "middle", "at": "2026-08-12T18:00"}
            page = self.client.post(url, typed)
        self.assertContains(page, "fit what was found before")
        self.assertContains(page, 'value="5"')
        assert self.client.post(url, typed | {"sure": "on"}).status_code == 302

    def test_each_kind_has_its_form(self):
        for kind, said in KINDS.items():
            page = self.client.get(self.url("check_add", self.ret.pk), {"kind": kind})
            self.assertContains(page, said.name)
        typed = {"finding": "bubbles", "at": "2026-08-12T18:00"}
        self.client.post(self.url("check_add", self.ret.pk) + "?kind=bubbles", typed)
        assert Check.objects.get().finding == Finding.BUBBLES
        empty = self.client.post(
            self.url("check_add", self.ret.pk), {"at": typed["at"]}
        )
        self.assertContains(empty, "Enter how many stems looked like this.")

    def test_a_ret_is_judged_on_its_page(self):
        typed = {"verdict": "right", "after": "lifting"}
        early = self.client.post(self.url("verdict", self.ret.pk), typed)
        self.assertContains(early, "The flax is still in")
        ret = self.lifted_before()
        self.assertContains(self.client.get(ret.get_absolute_url()), "Over-retted")
        typed = {"verdict": "right", "after": "hackling", "note": "Soft and bright."}
        assert self.client.post(self.url("verdict", ret.pk), typed).status_code == 302
        self.assertContains(self.client.get(ret.get_absolute_url()), "Soft and bright.")
        empty = self.client.post(self.url("verdict", ret.pk), {"note": "?"})
        self.assertContains(empty, "Please choose one.")

    def test_a_test_that_the_rest_contradicts_lifts_nothing_yet(self):
        self.check(Finding.FAST, NOW - 5 * HOUR, stems=5, tester="B")
        self.check(Finding.FREE, stems=5)
        page = self.client.get(self.url("lift", self.ret.pk))
        self.assertContains(page, "A test says so")
        self.assertContains(page, "too soon:")
        self.assertNotContains(page, "Lift it in the light")

    def test_settings_days_ahead_and_basis_are_kept(self):
        typed = {"visit": "1", "day_late": "60", "day_early": "5", "lies": "shaded",
                 "place": "Hillhead", "month_8": "14.8"}  # fmt: skip
        assert self.client.post(self.url("reckoning"), typed).status_code == 302
        self.assertContains(self.client.get(self.url("reckoning")), 'value="14.8"')
        typed = {"low_2026-08-12": "9", "high_2026-08-12": "15"}
        assert self.client.post(self.url("days_ahead"), typed).status_code == 302
        assert WarmDay.objects.get().is_forecast
        half = self.client.post(self.url("days_ahead"), {"low_2026-08-12": "9"})
        self.assertContains(half, "Enter both, or neither.")
        wrong = {"low_2026-08-12": "19", "high_2026-08-12": "9"}
        crossed = self.client.post(self.url("days_ahead"), wrong)
        self.assertContains(crossed, "The lowest is above the highest.")
        self.assertContains(
            self.client.post(self.url("days_ahead"), {}), "at least one"
        )
        typed = {"straw": "dry", "topped_up": "still", "lag_h": "0"}
        assert (
            self.client.post(self.url("basis", self.ret.pk), typed).status_code == 302
        )


def test_every_finding_is_a_sign_with_its_words():
    assert set(SIGNS) == set(Finding)
    for kind, category in SIGNS.values():
        retting.Sign(kind, category, 0.5)
        assert kind in KINDS


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
    ("days", "width", "words"),
    [
        (0.04, 0.97, "the likely day stays"),
        (1.24, 0.7, "likely 1.2 days later, the range 30 % narrower"),
        (-0.5, 1.2, "likely 0.5 days sooner, the range 20 % wider"),
    ],
)
def test_a_step_says_which_way(days, width, words):
    assert Step(NOW, "fast", days, width).words == words
