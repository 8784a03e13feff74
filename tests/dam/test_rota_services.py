"""The treading rota: planned, offered for, taken, changed, told of and trodden."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.dam import services as dam_services
from heritage.dam.models import Half, RotaPlan, Treader, TreaderState, Treading
from heritage.dam.rota import selectors as rota_selectors
from heritage.dam.rota import services
from heritage.dam.rota.services import drop_turns
from heritage.dam.treading import selectors
from heritage.dam.treading import services as treading_services
from heritage.people.models import AgeBand, Letter, LetterState
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_competence,
    make_dam,
    make_dam_briefing,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_ret,
    make_skill,
    make_treader,
    make_user,
    make_volunteer,
)

DAY = timedelta(days=1)
ZONE = ZoneInfo("Europe/London")


def local(day, hour, minute=0):
    return datetime(2026, 8, day, hour, minute, tzinfo=ZONE)


class Rotas(TestCase):
    """A ret under water, its organiser, and five briefed people who might tread."""

    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration(time_zone="Europe/London")
        cls.boss = make_organiser(demonstration=cls.home)
        cls.by = cls.boss.user
        cls.ret = make_ret(dam=make_dam(demonstration=cls.home, name="Low dam"))
        cls.ann, cls.ben, cls.cat, cls.dan, cls.wat = cls.crew = [
            make_volunteer(demonstration=cls.home, name=name)
            for name in ("Ann", "Ben", "Cat", "Dan", "Wat")
        ]
        cls.heard = make_briefing_version(
            briefing=make_dam_briefing(demonstration=cls.home)
        )
        for who in (*cls.crew, cls.boss):
            cls.hears(who)

    @classmethod
    def hears(cls, who):
        make_acknowledgement(version=cls.heard, volunteer=who)

    def plan(self, **said):
        fields = {
            "first_day": date(2026, 8, 12),
            "last_day": date(2026, 8, 15),
            "morning": time(8),
            "evening": time(18),
            "people": 2,
            "most_turns": 3,
            "in_days": 4,
            "briefing": self.heard.briefing,
            "skill": None,
        } | said
        when = fields.pop("now", NOW)
        by = fields.pop("by", self.by)
        return services.plan_treading(ret=self.ret, values=fields, by=by, now=when)

    def turn(self, day, half=Half.EVENING):
        return Treading.objects.for_page().get(day=date(2026, 8, day), half=half)

    def says(self, who, day, half=Half.EVENING, *, can=True, by=None, now=NOW):
        return services.answer(
            turn=self.turn(day, half),
            volunteer=who,
            can=can,
            by=by or who.user,
            now=now,
        )

    def take(self, now=NOW, places=None):
        plan = selectors.plan_of(self.ret)
        if places is None:
            places = rota_selectors.work_out(plan, now).places
        with self.captureOnCommitCallbacks(execute=True):
            return services.take_rota(ret=self.ret, places=places, by=self.by, now=now)

    def on(self, day, half=Half.EVENING):
        rows = Treader.objects.in_turns([self.turn(day, half)]).on()
        return sorted(row.volunteer.name for row in rows.with_people())

    def subjects(self, who):
        return [
            row.subject for row in Letter.objects.filter(volunteer=who).order_by("pk")
        ]

    def refuses(self, words):
        return pytest.raises(ValidationError, match=words)


class PlanningTests(Rotas):
    def test_a_plan_has_two_turns_a_day(self):
        plan = self.plan()
        turns = plan.turns.in_order()
        assert [str(turn.at.astimezone(ZONE))[:16] for turn in turns][:3] == [
            "2026-08-12 08:00",
            "2026-08-12 18:00",
            "2026-08-13 08:00",
        ]
        assert len(turns) == 8

    def test_a_turn_before_the_ret_began_is_none(self):
        self.ret.began_at = local(12, 10)
        self.ret.save()
        assert self.plan().turns.count() == 7

    def test_changed_days_keep_what_people_said(self):
        self.plan()
        self.says(self.ann, 15)
        self.plan(last_day=date(2026, 8, 13))
        assert self.turn(15).dropped_at
        self.plan(last_day=date(2026, 8, 16))
        turn = self.turn(15)
        assert turn.dropped_at is None
        assert turn.treaders.get().state == TreaderState.CAN

    def test_other_times_move_the_turns_to_come_alone(self):
        self.plan()
        self.plan(morning=time(7), evening=time(19))
        assert self.turn(13).at == local(13, 19)
        assert self.turn(12, Half.MORNING).at == local(12, 8)

    def test_whoever_was_told_of_another_time_is_told_again(self):
        self.plan()
        for who in (self.ann, self.ben, self.wat):
            self.says(who, 13)
        self.take()
        self.plan(evening=time(19))
        assert len(self.subjects(self.ann)) == 2
        assert "19:00" in Letter.objects.filter(volunteer=self.ann).last().text
        assert self.subjects(self.cat) == []

    def test_whoever_was_told_of_a_turn_that_falls_away_is_told(self):
        self.plan()
        for who in (self.ann, self.ben, self.wat):
            self.says(who, 15)
        self.take()
        self.plan(last_day=date(2026, 8, 14))
        text = Letter.objects.filter(volunteer=self.ben).last().text
        assert "You're not needed any more on:" in text
        assert "Saturday 15 August" in text

    def test_what_could_not_be_is_refused_by_field(self):
        for words, said in {
            "The flax wasn't in the dam yet": {"first_day": date(2026, 8, 1)},
            "on or after the first": {"last_day": date(2026, 8, 11)},
            "six weeks": {"last_day": date(2026, 10, 12)},
            "before the evening's": {"evening": time(8)},
            "sun sets at": {"evening": time(21)},
            "Enter 2 or more": {"people": 1},
            "this demonstration's": {"briefing": make_dam_briefing()},
            "names none of its dangers": {
                "briefing": make_briefing(demonstration=self.home)
            },
        }.items():
            with self.subTest(words), self.refuses(words):
                self.plan(**said)
        with self.refuses("this demonstration's"):
            self.plan(skill=make_competence())

    def test_everything_wrong_is_told_at_once(self):
        with pytest.raises(ValidationError) as refused:
            self.plan(
                first_day=date(2026, 8, 1),
                last_day=date(2026, 7, 1),
                evening=time(7),
                people=1,
                most_turns=0,
                briefing=make_briefing(),
                skill=make_competence(),
            )
        assert set(refused.value.error_dict) == {
            "first_day",
            "last_day",
            "evening",
            "people",
            "most_turns",
            "briefing",
            "skill",
        }

    def test_only_organisers_plan_and_only_what_is_under_water(self):
        with self.refuses("Only an organiser"):
            self.plan(by=self.ann.user)
        dam_services.lift(ret=self.ret, lifted_at=NOW, why_untested="Frost.", now=NOW)
        with self.refuses("lifted"):
            self.plan()


class AnsweringTests(Rotas):
    def setUp(self):
        self.plan()

    def test_people_say_and_unsay(self):
        self.says(self.ann, 13)
        assert self.says(self.ann, 13, can=False).state == TreaderState.CANNOT
        assert self.says(self.ann, 13).state == TreaderState.CAN
        assert Treader.objects.count() == 1

    def test_a_lead_ticks_for_somebody_without_a_telephone(self):
        paper = make_volunteer(demonstration=self.home, user=None)
        self.hears(paper)
        with self.refuses("a lead or an organiser"):
            self.says(paper, 13, by=self.ann.user)
        make_gathering(demonstration=self.home, lead=self.ann)
        assert self.says(paper, 13, by=self.ann.user).state == TreaderState.CAN

    def test_strangers_are_refused(self):
        with self.refuses("Choose somebody on the list"):
            self.says(make_volunteer(), 13, by=self.by)
        self.ann.left_at = NOW
        self.ann.save()
        with self.refuses("Choose somebody on the list"):
            self.says(self.ann, 13, by=self.by)

    def test_only_adults_tread(self):
        young = make_volunteer(
            demonstration=self.home, age_band=AgeBand.FROM_16, guardian=self.ann
        )
        with self.refuses("Only adults go into"):
            self.says(young, 13, by=self.ann.user)
        with self.refuses("Only adults go into"):
            services.put_on(turn=self.turn(13), volunteer=young, by=self.by, now=NOW)

    def test_whoever_has_not_heard_the_briefing_is_refused(self):
        version = make_briefing_version(
            briefing=make_dam_briefing(demonstration=self.home)
        )
        self.plan(briefing=version.briefing)
        with self.refuses("has not heard the briefing"):
            self.says(self.ann, 13)
        make_acknowledgement(version=version, volunteer=self.ann)
        assert self.says(self.ann, 13).state == TreaderState.CAN

    def test_a_turn_that_is_over_or_dropped_takes_no_answer(self):
        with self.refuses("has begun"):
            self.says(self.ann, 12, Half.MORNING)
        gone = self.turn(15)
        self.plan(last_day=date(2026, 8, 14))
        with self.refuses("dropped"):
            services.answer(
                turn=gone, volunteer=self.ann, can=True, by=self.ann.user, now=NOW
            )

    def test_a_lifted_ret_takes_no_answer(self):
        turn = self.turn(15)
        dam_services.lift(ret=self.ret, lifted_at=NOW, why_untested="Frost.", now=NOW)
        with self.refuses("lifted"):
            services.answer(
                turn=turn, volunteer=self.ann, can=True, by=self.ann.user, now=NOW
            )

    def test_without_a_plan_there_is_nothing_to_take(self):
        other = make_ret(dam=make_dam(demonstration=self.home))
        with self.refuses("No treading is planned"):
            services.take_rota(ret=other, places=[], by=self.by, now=NOW)


@pytest.mark.any_database
class TakingTests(Rotas):
    def setUp(self):
        self.plan()
        for who in (self.ann, self.ben, self.wat):
            self.says(who, 13)

    def test_the_rota_is_taken_and_each_is_told_once(self):
        plan = self.take()
        assert plan.taken_at == NOW
        assert self.on(13) == ["Ann", "Ben", "Wat"]
        assert self.subjects(self.ann) == ["Your turns at the dam: Low dam"]
        letter = Letter.objects.get(volunteer=self.ann)
        assert "Thursday 13 August, evening, 18:00" in letter.text
        assert "/treading/" in letter.text
        assert self.subjects(self.cat) == []
        self.take()
        assert len(self.subjects(self.ann)) == 1

    def test_a_second_taking_tells_those_alone_whose_turns_changed(self):
        self.take()
        for who in (self.cat, self.dan, self.boss):
            self.says(who, 14)
        self.take(NOW + timedelta(minutes=5))
        told = {who.name: len(self.subjects(who)) for who in (self.ann, self.cat)}
        assert told == {"Ann": 1, "Cat": 1}

    def test_nothing_is_taken_if_somebody_withdrew_in_between(self):
        places = rota_selectors.work_out(selectors.plan_of(self.ret), NOW).places
        self.says(self.ben, 13, can=False)
        with self.refuses("Ben cannot come on Thursday 13 August, evening any more"):
            self.take(places=places)
        assert self.on(13) == []
        assert not Letter.objects.exists()

    def test_nothing_is_taken_that_the_rules_refuse_by_now(self):
        places = rota_selectors.work_out(selectors.plan_of(self.ret), NOW).places
        version = make_briefing_version(
            briefing=make_dam_briefing(demonstration=self.home)
        )
        self.plan(briefing=version.briefing)
        with self.refuses("has not heard the briefing"):
            self.take(places=places)

    def test_nothing_is_taken_of_turns_begun_people_gone_or_hands_laid_on(self):
        places = rota_selectors.work_out(selectors.plan_of(self.ret), NOW).places
        with self.refuses("begun or been dropped"):
            self.take(now=NOW + 3 * DAY, places=places)
        with self.refuses("left the list"):
            self.take(places=[(self.turn(13).pk, self.dan.pk, False)])
        self.plan(people=3)
        with self.refuses("another number of people"):
            self.take(places=places)
        self.plan()
        turn = self.turn(13)
        services.put_on(turn=turn, volunteer=self.ann, by=self.by, now=NOW)
        services.take_off(turn=turn, volunteer=self.ann, by=self.by, now=NOW)
        with self.refuses("Ann has been taken off"):
            self.take(places=places)
        services.put_on(turn=turn, volunteer=self.cat, by=self.by, now=NOW)
        with self.refuses("Cat has been put on by hand"):
            self.take(places=places)

    def test_whoever_is_put_on_by_hand_stays_and_taken_off_stays_off(self):
        for who in (self.cat, self.dan):
            self.says(who, 13)
        services.put_on(turn=self.turn(13), volunteer=self.dan, by=self.by, now=NOW)
        for who in (self.ann, self.cat):
            services.put_on(turn=self.turn(13), volunteer=who, by=self.by, now=NOW)
            services.take_off(turn=self.turn(13), volunteer=who, by=self.by, now=NOW)
        self.take()
        assert self.on(13) == ["Ben", "Dan", "Wat"]
        services.take_off(turn=self.turn(13), volunteer=self.dan, by=self.by, now=NOW)
        assert self.subjects(self.dan)[-1] == "Your turns at the dam: Low dam"
        assert "no turn" in Letter.objects.filter(volunteer=self.dan).last().text

    def test_a_promise_stands_on_a_turn_that_stays_short(self):
        services.put_on(turn=self.turn(14), volunteer=self.cat, by=self.by, now=NOW)
        self.take()
        assert self.on(14) == ["Cat"]

    def test_a_promise_falls_with_a_briefing_not_heard(self):
        services.put_on(turn=self.turn(14), volunteer=self.cat, by=self.by, now=NOW)
        version = make_briefing_version(
            briefing=make_dam_briefing(demonstration=self.home)
        )
        for who in (self.ann, self.ben, self.wat):
            make_acknowledgement(version=version, volunteer=who)
        self.plan(briefing=version.briefing)
        self.take()
        assert (self.on(13), self.on(14)) == (["Ann", "Ben", "Wat"], [])

    def test_by_hand_is_refused_in_words(self):
        self.says(self.ann, 13, can=False)
        turn = self.turn(13)
        with self.refuses("can't come"):
            services.put_on(turn=turn, volunteer=self.ann, by=self.by, now=NOW)
        with self.refuses("not on this turn"):
            services.take_off(turn=turn, volunteer=self.ben, by=self.by, now=NOW)
        with self.refuses("Choose somebody on the list"):
            services.put_on(turn=turn, volunteer=make_volunteer(), by=self.by, now=NOW)
        self.cat.left_at = NOW
        self.cat.save()
        with self.refuses("isn't on the list any more"):
            services.put_on(turn=turn, volunteer=self.cat, by=self.by, now=NOW)
        for write in (services.put_on, services.take_off):
            with self.refuses("Only an organiser"):
                write(turn=turn, volunteer=self.ben, by=self.ben.user, now=NOW)
        with self.refuses("Only an organiser"):
            services.take_rota(ret=self.ret, places=[], by=self.ben.user, now=NOW)

    def test_who_left_is_off_the_rota_when_it_is_taken_anew(self):
        self.take()
        self.ben.left_at = NOW
        self.ben.save()
        self.take()
        assert self.on(13) == []

    def test_somebody_who_cannot_come_after_all_is_a_gap_that_is_told(self):
        self.take()
        with self.captureOnCommitCallbacks(execute=True):
            self.says(self.ben, 13, can=False)
        assert self.subjects(self.boss) == [
            "A gap in the treading: Thursday 13 August, evening"
        ]
        gap = selectors.treading_matters(self.home, NOW).gaps
        words = [one.words for one in gap]
        assert "Thursday evening's treading: 1 more to tread" in words
        # A letter about an organiser's own turns leaves the one about the gap alone.
        services.put_on(turn=self.turn(14), volunteer=self.boss, by=self.by, now=NOW)
        mine = Letter.objects.filter(volunteer=self.boss)
        assert LetterState.OVERTAKEN not in [row.state for row in mine]
        assert mine.count() == 2
        # They need not be told what they have just said.
        self.take(places=[])
        assert len(self.subjects(self.ben)) == 1

    def test_whoever_is_on_and_says_so_again_stays_on(self):
        self.take()
        assert self.says(self.ann, 13).is_on

    def test_people_without_an_address_are_told_in_another_way(self):
        paper = make_volunteer(demonstration=self.home, user=None)
        self.hears(paper)
        services.put_on(turn=self.turn(13), volunteer=paper, by=self.by, now=NOW)
        self.take()
        letter = Letter.objects.get(volunteer=paper)
        assert letter.state == LetterState.NO_ADDRESS


class TreadingTests(Rotas):
    def setUp(self):
        self.plan()
        for who in (self.ann, self.ben, self.wat):
            self.says(who, 13)
        self.take()
        self.then = local(13, 18, 30)

    def write(self, people, **said):
        fields = {"note": "", "why_alone": "", "trodden_at": self.then} | said
        fields.setdefault("watcher", self.wat)
        now = fields.pop("now", self.then)
        by = fields.pop("by", self.ann.user)
        return treading_services.record_treading(
            turn=self.turn(13), people=people, by=by, now=now, **fields
        )

    def test_who_trod_is_in_the_book(self):
        turn = self.write([self.ann, self.cat], note="Two stones moved.")
        assert turn.recorded_by == self.ann.user
        trod = {row.volunteer.name: row.trod for row in turn.treaders.with_people()}
        assert trod == {"Ann": True, "Ben": False, "Cat": True, "Wat": False}
        assert turn.treaders.watching().get().volunteer == self.wat

    def test_of_whoever_only_could_have_come_nothing_is_written(self):
        Treader.objects.create(
            turn=self.turn(13),
            volunteer=self.dan,
            state=TreaderState.CAN,
            changed_at=NOW,
        )
        turn = self.write([self.ann, self.ben])
        assert turn.treaders.get(volunteer=self.dan).trod is None

    def test_one_alone_says_why(self):
        with self.refuses("Nobody treads alone"):
            self.write([self.ann])
        turn = self.write([self.ann], why_alone="Ben fell ill on the lane.")
        assert turn.why_alone
        make_gathering(demonstration=self.home, lead=self.ann)
        turn = self.write([self.ann, self.ben], why_alone="Ben fell ill.")
        assert turn.why_alone == ""

    def test_a_treading_has_its_time(self):
        with self.refuses("This turn hasn't begun yet"):
            self.write([self.ann, self.ben], now=local(13, 16, 59))
        with self.refuses("in the future"):
            self.write([self.ann, self.ben], trodden_at=local(13, 19))
        with self.refuses("from an hour before"):
            self.write([self.ann, self.ben], trodden_at=local(13, 8))
        with self.refuses("from an hour before"):
            late = local(14, 1)
            self.write([self.ann, self.ben], trodden_at=late, now=late)
        Treading.objects.update(dropped_at=NOW)
        with self.refuses("dropped"):
            self.write([self.ann, self.ben])

    def test_somebody_trod_and_is_of_this_demonstration(self):
        with self.refuses("Tick everybody"):
            self.write([])
        with self.refuses("Tick people on the list"):
            self.write([self.ann, make_volunteer()])

    def test_what_is_written_a_lead_puts_right(self):
        self.write([self.ann, self.ben])
        with self.refuses("Somebody has already entered it"):
            self.write([self.ann, self.cat])
        self.write([self.ann, self.cat], by=self.by)
        rows = self.turn(13).treaders.with_people()
        assert [row.volunteer.name for row in rows if row.trod] == ["Ann", "Cat"]

    def test_nobody_trod_what_was_lifted(self):
        lifted = self.then - timedelta(minutes=10)
        dam_services.lift(
            ret=self.ret, lifted_at=lifted, why_untested="Frost.", now=self.then
        )
        Treading.objects.update(dropped_at=None)
        with self.refuses("out of the dam by then"):
            self.write([self.ann, self.ben])

    def test_flax_trodden_later_was_not_lifted_yet(self):
        self.write([self.ann, self.ben])
        with self.refuses("trodden later than that"):
            dam_services.lift(
                ret=self.ret,
                lifted_at=self.then - timedelta(minutes=10),
                now=self.then,
            )

    def test_a_treading_that_nobody_watched_says_why(self):
        """Two in the water and nobody on the bank is not enough."""
        both = [self.ann, self.ben]
        with self.refuses("Choose who watched from the bank"):
            self.write(both, watcher=None)
        with self.refuses("can't tread and watch at once"):
            self.write(both, watcher=self.ben)
        with self.refuses("Tick people on the list"):
            self.write(both, watcher=make_volunteer())
        turn = self.write(both, watcher=None, why_alone="Wat was late.")
        assert turn.why_alone == "Wat was late."
        found = selectors.treading_matters(self.home, self.then)
        assert (list(found.unwatched), found.alone) == ([turn], ())

    def test_three_who_took_turns_at_watching_are_enough(self):
        turn = self.write([self.ann, self.ben, self.wat], watcher=self.ben)
        assert turn.why_alone == ""

    def test_another_watcher_is_put_right_by_a_lead(self):
        self.write([self.ann, self.ben])
        self.write([self.ben, self.wat], watcher=self.ann, by=self.by)
        row = self.turn(13).treaders.watching().get()
        assert (row.volunteer, row.trod) == (self.ann, False)


class WatcherTests(Rotas):
    """A turn has two or more treading, and one by name who watches."""

    def setUp(self):
        self.plan()
        for who in self.crew[:3]:
            self.says(who, 13)

    def watcher(self, day=13):
        row = Treader.objects.in_turns([self.turn(day)]).watching().first()
        return row and row.volunteer

    def lacks(self):
        gaps = selectors.treading_matters(self.home, NOW).gaps
        return {gap.turn.day.day: gap.lack.words for gap in gaps if gap.lack.on}

    def test_two_who_could_come_are_not_enough(self):
        self.says(self.cat, 13, can=False)
        self.take()
        assert self.on(13) == []

    def test_the_rota_names_a_watcher_and_tells_them_so(self):
        self.take()
        assert self.on(13) == ["Ann", "Ben", "Cat"]
        assert self.watcher() == self.ann
        texts = {row.volunteer: row.text for row in Letter.objects.all()}
        assert "18:00: you watch from the bank" in texts[self.ann]
        assert "you watch" not in texts[self.ben]

    def test_the_watching_is_shared(self):
        for who in self.crew[:3]:
            self.says(who, 14)
            self.says(who, 15)
        self.take()
        assert {self.watcher(day) for day in (13, 14, 15)} == set(self.crew[:3])

    def test_a_watcher_who_cannot_come_is_the_gap(self):
        self.take()
        with self.captureOnCommitCallbacks(execute=True):
            self.says(self.ann, 13, can=False)
        assert self.lacks() == {13: "someone to watch from the bank"}
        letter = Letter.objects.filter(volunteer=self.ben).last()
        assert "now 2 of 3. Missing: someone to watch from the bank" in letter.text

    def test_one_treading_less_is_the_gap(self):
        self.take()
        self.says(self.ben, 13, can=False)
        assert self.lacks() == {13: "1 more to tread"}

    def test_an_organiser_names_another_and_both_are_told(self):
        self.take()
        turn = self.turn(13)
        services.name_watcher(turn=turn, volunteer=self.cat, by=self.by, now=NOW)
        assert self.watcher() == self.cat
        last = {
            who: Letter.objects.filter(volunteer=who).order_by("pk").last().text
            for who in (self.ann, self.cat)
        }
        assert "you watch" in last[self.cat]
        assert "you watch" not in last[self.ann]
        assert len(self.subjects(self.ann)) == 2
        self.take()
        assert self.watcher() == self.cat

    def test_whoever_is_put_on_beside_enough_treading_watches(self):
        self.take()
        self.says(self.ann, 13, can=False)
        turn = self.turn(13)
        services.put_on(turn=turn, volunteer=self.dan, by=self.by, now=NOW)
        assert self.watcher() == self.dan
        assert self.lacks() == {}
        services.take_off(turn=turn, volunteer=self.dan, by=self.by, now=NOW)
        assert self.watcher() is None

    def test_a_watcher_has_heard_the_briefing_and_is_on_the_turn(self):
        new = make_volunteer(demonstration=self.home)
        with self.refuses("has not heard the briefing"):
            services.put_on(turn=self.turn(13), volunteer=new, by=self.by, now=NOW)
        for who, words in ((new, "not on this turn"), (self.dan, "not on this turn")):
            with self.refuses(words):
                services.name_watcher(
                    turn=self.turn(13), volunteer=who, by=self.by, now=NOW
                )
        with self.refuses("Only an organiser"):
            services.name_watcher(
                turn=self.turn(13), volunteer=self.ann, by=self.ann.user, now=NOW
            )

    def test_a_plan_without_a_briefing_is_refused_and_an_old_one_stands_still(self):
        with self.refuses("Choose the briefing"):
            self.plan(briefing=None)
        RotaPlan.objects.update(briefing=None)
        with self.refuses("No safety briefing has been chosen"):
            self.says(self.dan, 13)
        assert not any(line.people for line in self.work_out().turns)
        found = selectors.treading_matters(self.home, NOW)
        assert [plan.ret for plan in found.unbriefed] == [self.ret]

    def work_out(self):
        return rota_selectors.work_out(selectors.plan_of(self.ret), NOW)

    def test_no_rota_is_taken_without_a_watcher(self):
        places = [(turn, who, False) for turn, who, _ in self.work_out().places]
        with self.refuses("nobody to watch from the bank"):
            self.take(places=places)

    def test_whoever_has_left_watches_no_more(self):
        self.take()
        self.ann.left_at = NOW
        self.ann.save()
        with self.captureOnCommitCallbacks(execute=True):
            treading_services.let_go_of_gone(NOW)
        assert self.watcher() is None
        assert self.lacks() == {13: "someone to watch from the bank"}


class LiftedTests(Rotas):
    def test_the_turns_left_fall_away_and_people_are_told_once(self):
        self.plan()
        for who in (self.ann, self.ben, self.wat):
            self.says(who, 14)
        self.take()
        dam_services.lift(ret=self.ret, lifted_at=NOW, why_untested="Frost.", now=NOW)
        assert not Treading.objects.live().to_come(NOW).exists()
        assert self.subjects(self.ann)[1:] == ["No more treading: Low dam"]
        assert (
            "Friday 14 August" in Letter.objects.filter(volunteer=self.ann).last().text
        )
        assert self.subjects(self.cat) == []

    def test_a_ret_without_a_rota_is_lifted_as_before(self):
        assert (
            dam_services.lift(
                ret=self.ret, lifted_at=NOW, why_untested="Frost.", now=NOW
            ).lifted_at
            == NOW
        )

    def test_a_ret_that_is_not_lifted_keeps_its_turns(self):
        self.plan()
        drop_turns(self.ret, NOW)
        assert Treading.objects.live().to_come(NOW).count() == 6

    def test_what_they_did_not_tread_is_forgotten_with_somebody(self):
        self.plan()
        self.says(self.ann, 13)
        make_treader(turn=self.turn(14), volunteer=self.ann, trod=True)
        treading_services.leave_treading(volunteer_key=self.ann.pk, now=NOW)
        assert [row.trod for row in self.ann.treadings.all()] == [True]


class WorkingOutTests(Rotas):
    def found(self, now=NOW):
        return rota_selectors.work_out(selectors.plan_of(self.ret), now)

    def test_as_many_turns_as_can_be_and_evenly(self):
        self.plan(most_turns=4)
        for who in (*self.crew, self.boss):
            for day in (13, 14, 15):
                for half in Half:
                    self.says(who, day, half)
        page = self.found()
        assert (page.empty, page.spread, page.proven) == (0, 0, True)
        assert {load.turns for load in page.loads} == {3}

    def test_a_turn_that_stays_empty_says_why(self):
        self.plan()
        self.says(self.ann, 13)
        reasons = [line.reason for line in self.found().turns]
        assert reasons[0] == "It takes 3 people, and 0 could come."
        assert "It takes 3 people, and 1 could come." in reasons

    def test_turns_that_are_past_count_for_rest(self):
        self.plan(most_turns=1, in_days=4)
        today = self.turn(12, Half.MORNING)
        for who in (self.ann, self.ben):
            make_treader(turn=today, volunteer=who, trod=True)
            self.says(who, 13)
        for who in (self.cat, self.dan, self.wat):
            self.says(who, 13)
        line = next(one for one in self.found().turns if one.people)
        assert [who.name for who in line.people] == ["Cat", "Dan", "Wat"]

    def test_a_rota_worked_out_anew_changes_as_little_as_it_can(self):
        self.plan()
        for who in (*self.crew, self.boss):
            self.says(who, 13)
            self.says(who, 14)
        given = {
            13: {self.cat, self.dan, self.wat},
            14: {self.ann, self.ben, self.boss},
        }
        for day, three in given.items():
            rows = Treader.objects.in_turns([self.turn(day)])
            rows.filter(volunteer__in=three).update(state=TreaderState.ON)
        turns = {
            line.turn.day.day: set(line.people)
            for line in self.found().turns
            if line.people
        }
        assert turns == given

    def test_one_in_each_turn_knows_the_work_where_that_is_asked(self):
        skill = make_competence(demonstration=self.home)
        self.plan(skill=skill)
        for who in (self.ann, self.ben, self.wat):
            self.says(who, 13)
        assert "Nobody who has done it before could come." in [
            line.reason for line in self.found().turns
        ]
        make_skill(
            volunteer=self.ann,
            competence=skill,
            confirmed_by=make_user(),
            confirmed_at=NOW,
        )
        assert self.found().places == [
            (self.turn(13).pk, who.pk, who == self.ann)
            for who in (self.ann, self.ben, self.wat)
        ]

    def test_an_empty_rota_is_said_to_be_empty(self):
        self.plan()
        page = self.found(NOW + 9 * DAY)
        assert (page.turns, page.spread, page.proven) == ((), 0, True)
