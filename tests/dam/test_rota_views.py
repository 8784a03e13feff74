"""The pages of the treading: who may open them, what they say and refuse, the sheet."""

import io
import re
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.dam import selectors
from heritage.dam.models import Half, RotaPlan, Treader, TreaderState, Treading
from heritage.dam.rota import selectors as rota_selectors
from heritage.dam.treading import selectors as treading_selectors
from tests.factories import (
    NOW,
    hear_of_plan,
    make_briefing,
    make_dam,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_reading,
    make_ret,
    make_rota_plan,
    make_treader,
    make_treading,
    make_volunteer,
)

DAY = timedelta(days=1)
ZONE = ZoneInfo("Europe/London")
PLAN = {
    "first_day": "2026-08-12",
    "last_day": "2026-08-15",
    "morning": "08:00",
    "evening": "18:00",
    "people": "2",
    "most_turns": "3",
    "in_days": "4",
    "briefing": "",
    "skill": "",
}


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Pages(TestCase):
    """A planned ret with two turns, and somebody of each kind."""

    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration(time_zone="Europe/London")
        cls.boss = make_organiser(demonstration=cls.home)
        cls.ann, cls.ben, cls.wat = (
            make_volunteer(demonstration=cls.home, name=name)
            for name in ("Ann", "Ben", "Wat")
        )
        cls.stranger = make_organiser()
        cls.ret = make_ret(dam=make_dam(demonstration=cls.home, name="Low dam"))
        cls.plan = make_rota_plan(ret=cls.ret)
        hear_of_plan(cls.plan, cls.ann, cls.ben, cls.wat)
        cls.next = make_treading(plan=cls.plan)
        cls.past = make_treading(
            plan=cls.plan, day=date(2026, 8, 12), half=Half.MORNING
        )

    def address(self, name, key):
        return reverse(f"dam:{name}", args=[self.home.slug, key])

    def get(self, name, key, /, user=None, **asked):
        self.client.force_login((user or self.ann).user)
        return self.client.get(self.address(name, key), asked)

    def post(self, name, key, /, user=None, **data):
        self.client.force_login((user or self.ann).user)
        return self.client.post(self.address(name, key), data, follow=True)

    def words(self, response):
        assert response.status_code == 200
        return re.sub(r"\s+", " ", response.content.decode())


class DoorTests(Pages):
    def test_volunteers_do_not_plan_or_take(self):
        for name, key in (
            ("rota_plan", self.ret.pk),
            ("rota_preview", self.ret.pk),
            ("turn", self.next.pk),
        ):
            assert self.get(name, key).status_code == 403
            assert self.get(name, key, user=self.stranger).status_code == 403
        assert self.post("rota_take", self.ret.pk).status_code == 403
        assert self.post("turn_put_on", self.next.pk).status_code == 403

    def test_another_demonstrations_turns_are_not_there(self):
        other = make_treading()
        for name in ("turn", "treading_record"):
            assert self.get(name, other.pk, user=self.boss).status_code == 404
        for name in ("treading", "rota_plan", "rota_preview", "rota_sheet"):
            assert self.get(name, other.plan.ret_id, user=self.boss).status_code == 404


class PlanPageTests(Pages):
    def test_everything_wrong_is_told_at_once_and_what_was_typed_stays(self):
        """What is missing, what is no number, and what does not go together."""
        wrong = {
            "first_day": "2026-07-01",
            "last_day": "2026-06-01",
            "evening": "07:00",
            "people": "one",
            "most_turns": "",
        }
        page = self.post("rota_plan", self.ret.pk, user=self.boss, **(PLAN | wrong))
        assert set(page.context["form"].errors) == {*wrong, "briefing"}
        assert 'value="2026-06-01"' in self.words(page)
        self.plan.refresh_from_db()
        assert self.plan.people == 2

    def test_the_days_offered_are_today_to_the_late_date(self):
        other = make_ret(dam=make_dam(demonstration=self.home))
        page = self.get("rota_plan", other.pk, user=self.boss)
        assert page.context["form"].initial["last_day"] == date(2026, 8, 21)
        assert "ten days are offered" in self.words(page)
        for day in range(6):
            make_reading(ret=other, at=other.began_at + day * DAY)
        page = self.get("rota_plan", other.pk, user=self.boss)
        late = selectors.ret_page(other, NOW).state.late
        said = page.context["form"].initial
        assert said["first_day"] == date(2026, 8, 12)
        assert said["last_day"] == late.astimezone(ZONE).date()
        assert "Probably ready from" in self.words(page)

    def test_a_plan_is_kept_and_a_bad_one_comes_back_with_what_was_typed(self):
        other = make_ret(dam=make_dam(demonstration=self.home))
        plan = PLAN | {"briefing": self.plan.briefing.pk}
        page = self.post("rota_plan", other.pk, user=self.boss, **PLAN)
        assert "Choose the briefing everybody hears first." in self.words(page)
        page = self.post("rota_plan", other.pk, user=self.boss, **plan)
        assert "The treading is planned" in self.words(page)
        assert other.rota.turns.count() == 8
        bad = plan | {"evening": "22:00", "people": "5"}
        page = self.post("rota_plan", other.pk, user=self.boss, **bad)
        form = page.context["form"]
        assert "The sun sets at" in form.errors["evening"][0]
        assert form["people"].value() == "5"
        other.rota.refresh_from_db()
        assert other.rota.people == 2

    def test_a_briefing_that_is_silent_on_the_water_is_refused(self):
        """Who treads or watches hears of the water, as at a station for treading."""
        other = make_ret(dam=make_dam(demonstration=self.home))
        pulling = make_briefing(demonstration=self.home, title="Pulling by hand")
        said = PLAN | {"briefing": pulling.pk}
        page = self.post("rota_plan", other.pk, user=self.boss, **said)
        assert set(page.context["form"].errors) == {"briefing"}
        words = self.words(page)
        assert "“Pulling by hand” names none of its dangers" in words
        assert not RotaPlan.objects.of_ret(other).exists()

    def test_a_lifted_ret_has_nothing_to_plan_or_work_out(self):
        self.ret.lifted_at = NOW
        self.ret.save()
        page = self.get("rota_plan", self.ret.pk, user=self.boss)
        assert "This flax has been lifted, so there's no more treading" in self.words(
            page
        )
        self.client.force_login(self.boss.user)
        page = self.client.get(self.address("rota_preview", self.ret.pk), follow=True)
        assert "no treading to work out" in self.words(page)
        assert "there are no more turns" in self.words(page)


class AnswerPageTests(Pages):
    def test_the_deep_water_stands_above_the_turns(self):
        """On a phone the other cautions come after the turns, all sixteen of them."""
        words = self.words(self.get("treading", self.ret.pk))
        deep = words.index("Nobody goes into the water alone")
        assert deep < words.index("Turns to come") < words.index("Wet stones slip")
        assert words.count("Nobody goes into the water alone") == 1

    def test_one_press_says_that_somebody_can_come_and_another_that_they_cannot(self):
        assert "I can come" in self.words(self.get("treading", self.ret.pk))
        said = {"who": self.ann.pk, "can": self.next.pk}
        page = self.words(self.post("answer", self.ret.pk, **said))
        assert "Ann can come: Thursday 13 August, evening." in page
        said = {"who": self.ann.pk, "cannot": self.next.pk}
        page = self.words(self.post("answer", self.ret.pk, **said))
        assert "Ann can&#x27;t come" in page
        assert Treader.objects.get().state == TreaderState.CANNOT

    def test_a_lead_chooses_somebody_else_and_others_cannot(self):
        assert "For somebody else" not in self.words(self.get("treading", self.ret.pk))
        said = {"who": self.ben.pk, "can": self.next.pk}
        page = self.words(self.post("answer", self.ret.pk, **said))
        assert "Only Ben, a lead or an organiser can say this." in page
        make_gathering(demonstration=self.home, lead=self.ann)
        page = self.get("treading", self.ret.pk, who=self.ben.pk)
        assert page.context["page"].chosen == self.ben
        self.post("answer", self.ret.pk, **said)
        assert Treader.objects.get().volunteer == self.ben

    def test_nonsense_is_answered_in_words(self):
        for said in ({}, {"who": self.ann.pk}, {"who": "x", "can": "y"}):
            page = self.words(self.post("answer", self.ret.pk, **said))
            assert "out of date" in page
        page = self.get("treading", self.ret.pk, who="²")
        assert page.context["page"].chosen == self.ann

    def test_adults_of_the_household_have_a_tab_and_children_none(self):
        grown = make_volunteer(
            demonstration=self.home, name="Gil", guardian=self.ann, user=None
        )
        make_volunteer(
            demonstration=self.home,
            name="Kit",
            guardian=self.ann,
            user=None,
            age_band="from_13",
        )
        page = self.get("treading", self.ret.pk).context["page"]
        assert page.people == (self.ann, grown)

    def test_a_settled_rota_leads_with_what_is_missing(self):
        RotaPlan.objects.update(taken_at=NOW)
        assert self.acts() == ["Who trod on Wednesday morning?"]
        Treading.objects.filter(pk=self.past.pk).update(
            trodden_at=NOW, recorded_by=self.boss.user, why_alone="Nobody came."
        )
        assert self.acts() == ["Find people for Thursday evening"]

    def acts(self):
        page = self.words(self.get("treading", self.ret.pk, user=self.boss))
        return re.findall(r'<a class="act" [^>]*> ([^<]*)<', page)

    def test_without_a_plan_the_page_says_what_to_do(self):
        other = make_ret(dam=make_dam(demonstration=self.home))
        page = self.words(self.get("treading", other.pk))
        assert "No treading is planned for this ret yet" in page
        page = self.words(self.get("treading", other.pk, user=self.boss))
        assert "Plan the treading" in page
        self.client.force_login(self.ann.user)
        page = self.client.get(self.address("rota_sheet", other.pk), follow=True)
        assert "No treading is planned" in self.words(page)


class RotaPageTests(Pages):
    def test_it_is_worked_out_shown_and_taken(self):
        for who in (self.ann, self.ben, self.wat):
            make_treader(turn=self.next, volunteer=who)
        page = self.get("rota_preview", self.ret.pk, user=self.boss)
        words = self.words(page)
        assert "Ben, Wat; Ann watches" in words
        assert "No rota would be fuller or fairer" in words
        taken = self.post(
            "rota_take", self.ret.pk, user=self.boss, rota=page.context["sealed"]
        )
        assert "Rota saved" in self.words(taken)
        assert Treader.objects.on().count() == 3
        words = self.words(self.get("treading", self.ret.pk))
        assert "Ben, Wat; Ann watches" in words
        assert "you watch" in words
        assert "Ben, Wat; Ann watches" in self.words(self.get("ret", self.ret.pk))

    def test_a_rota_that_was_changed_or_is_of_another_ret_is_refused(self):
        page = self.get("rota_preview", self.ret.pk, user=self.boss)
        sealed = page.context["sealed"]
        other = make_rota_plan(ret=make_ret(dam=make_dam(demonstration=self.home)))
        for ret, rota in ((self.ret.pk, sealed + "x"), (other.ret_id, sealed)):
            page = self.post("rota_take", ret, user=self.boss, rota=rota)
            assert "out of date" in self.words(page)

    def test_a_withdrawal_in_between_is_said(self):
        rows = [
            make_treader(turn=self.next, volunteer=who)
            for who in (self.ann, self.ben, self.wat)
        ]
        sealed = self.get("rota_preview", self.ret.pk, user=self.boss).context["sealed"]
        Treader.objects.filter(pk=rows[0].pk).update(state=TreaderState.CANNOT)
        page = self.post("rota_take", self.ret.pk, user=self.boss, rota=sealed)
        words = self.words(page)
        assert "Ann cannot come on Thursday 13 August, evening any more." in words
        assert "Nothing was saved" in words

    def test_people_are_put_on_and_taken_off_by_hand(self):
        make_treader(turn=self.next, volunteer=self.ann)
        words = self.words(self.get("turn", self.next.pk, user=self.boss))
        assert "Put on" in words
        said = {"volunteer": self.ann.pk}
        page = self.post("turn_put_on", self.next.pk, user=self.boss, **said)
        assert "Ann is on this turn." in self.words(page)
        lack = "Missing: 1 more to tread, and someone to watch from the bank."
        assert lack in self.words(page)
        page = self.post("turn_watch", self.next.pk, user=self.boss, **said)
        assert "Ann watches this turn." in self.words(page)
        assert "Missing: 2 more to tread." in self.words(page)
        RotaPlan.objects.update(taken_at=NOW)
        page = self.words(self.get("treading", self.ret.pk))
        assert "2 more to tread" in page
        page = self.post("turn_take_off", self.next.pk, user=self.boss, **said)
        assert "Ann is off this turn." in self.words(page)
        page = self.post("turn_take_off", self.next.pk, user=self.boss)
        assert "Choose somebody" in self.words(page)


class RecordPageTests(Pages):
    def test_who_trod_is_written_and_shown(self):
        make_treader(turn=self.past, volunteer=self.ann, state=TreaderState.ON)
        make_treader(turn=self.past, volunteer=self.ben, state=TreaderState.ON)
        make_treader(
            turn=self.past, volunteer=self.wat, state=TreaderState.ON, watches=True
        )
        assert "not known" in self.words(self.get("ret", self.ret.pk))
        form = self.get("treading_record", self.past.pk).context["form"]
        assert form.initial["people"] == [self.ann.pk, self.ben.pk]
        assert form.initial["watcher"] == self.wat.pk
        said = {"trodden_at": "2026-08-12T08:05", "note": "It sinks."}
        alone = self.post("treading_record", self.past.pk, people=[self.ann.pk], **said)
        form = alone.context["form"]
        assert "Nobody treads alone" in form.errors["why_alone"][0]
        assert form["note"].value() == "It sinks."
        both = {"people": [self.ann.pk, self.ben.pk]}
        page = self.post("treading_record", self.past.pk, **both, **said)
        errors = page.context["form"].errors
        assert "Choose who watched from the bank" in errors["why_alone"][0]
        both["watcher"] = self.wat.name
        page = self.post("treading_record", self.past.pk, **both, **said)
        assert "Ann, Ben; Wat watched at 08:05. It sinks." in self.words(page)
        words = self.words(self.get("ret", self.ret.pk))
        assert "trodden by Ann, Ben; Wat watched" in words
        both = both | {"watcher": "", "why_alone": "Wat was late."}
        page = self.post(
            "treading_record", self.past.pk, user=self.boss, **both, **said
        )
        assert "nobody watched</span> Wat was late." in self.words(page)

    def test_a_volunteer_ticks_only_those_of_the_turn_and_a_lead_anybody(self):
        make_treader(turn=self.past, volunteer=self.ben)
        page = self.get("treading_record", self.past.pk).context["page"]
        assert set(page.people) == {self.ann, self.ben}
        page = self.get("treading_record", self.past.pk, user=self.boss).context["page"]
        assert set(page.people) == {self.ann, self.ben, self.wat, self.boss}

    def test_a_turn_to_come_is_not_written(self):
        page = self.get("treading_record", self.next.pk)
        assert "not time for this turn yet" in self.words(page)


@pytest.mark.any_database
class SheetTests(Pages):
    def read(self, **asked):
        answer = self.get("rota_sheet", self.ret.pk, **asked)
        assert answer["Content-Type"] == "application/pdf"
        return answer.content, PdfReader(io.BytesIO(answer.content))

    def test_the_sheet_names_who_comes_when_and_says_the_cautions(self):
        make_treader(turn=self.next, volunteer=self.ann, state=TreaderState.ON)
        make_treader(turn=self.next, volunteer=self.ben)
        for asked in ({}, {"large": "1"}):
            content, pdf = self.read(**asked)
            text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
            assert "Ann" in text
            assert "Ben" not in text
            assert "Thu 13 Aug" in text
            assert "18:00" in text
            assert "one watches from the bank and does nothing else" in text
            assert "Watcher needed: ______" in text
            assert "Signature" in text
            assert "Nobody goes into the water alone" in text
            assert pdf.metadata.title == "Treading rota: Low dam"
            assert pdf.trailer["/Root"]["/Lang"] == "en-GB"
            assert self.read(**asked)[0] == content

    def test_the_sheet_says_who_watches(self):
        make_treader(
            turn=self.next, volunteer=self.wat, state=TreaderState.ON, watches=True
        )
        _content, pdf = self.read()
        text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
        assert "Wat, watching" in text

    def test_a_rota_that_is_over_has_no_rows(self):
        Treading.objects.filter(pk=self.next.pk).delete()
        _content, pdf = self.read()
        text = " ".join(page.extract_text() for page in pdf.pages)
        assert "No turn is to come." in text


class CostTests(Pages):
    def fill(self, days):
        for day in days:
            turn = make_treading(plan=self.plan, day=date(2026, 8, day))
            for _ in range(3):
                make_treader(turn=turn, state=TreaderState.ON)

    def test_the_pages_cost_the_same_for_few_and_for_many(self):
        self.fill([14])

        for days in ([], range(15, 24)):
            self.fill(days)
            plan = treading_selectors.plan_of(self.ret)
            calls = {
                "page": lambda: treading_selectors.treading_page(
                    self.ret, self.boss.user, NOW
                ),
                "short": lambda: treading_selectors.treading_on_ret(self.ret, NOW),
                "rota": lambda plan=plan: rota_selectors.work_out(plan, NOW),
                "turn": lambda: treading_selectors.turn_page(self.next, NOW),
                "matters": lambda: treading_selectors.treading_matters(self.home, NOW),
                "record": lambda: list(
                    treading_selectors.trodden_page(
                        self.past, self.boss.user, NOW
                    ).people
                ),
                "mine": lambda: treading_selectors.own_turns(self.ann),
            }
            for name, call in calls.items():
                with self.subTest(name), self.assertNumQueries(COSTS[name]):
                    call()


COSTS = {
    "page": 8,
    "short": 4,
    "rota": 3,
    "turn": 2,
    "matters": 3,
    "record": 4,
    "mine": 1,
}
