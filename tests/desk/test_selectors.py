"""What needs doing, and what each day costs to find out."""

from datetime import date, timedelta

import pytest
from django.test import TestCase
from django.urls import reverse

from heritage.common.chores import note_done
from heritage.common.models import Chore
from heritage.dam.models import RotaPlan
from heritage.desk.today import selectors
from heritage.gatherings.models import Call
from tests.factories import (
    NOW,
    make_dam,
    make_demonstration,
    make_entry,
    make_fill_evening,
    make_gathering,
    make_hazard,
    make_incident,
    make_lost_child,
    make_machine,
    make_machine_check,
    make_organiser,
    make_picture,
    make_plot,
    make_reading,
    make_ret,
    make_rota_plan,
    make_sign_up,
    make_skill,
    make_station,
    make_treader,
    make_treading,
    make_turnout,
    make_user,
    make_volunteer,
)

EVENING = timedelta(hours=2)


@pytest.mark.any_database
class TodayTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.organiser = make_organiser(demonstration=cls.demonstration)
        cls.aider = make_volunteer(demonstration=cls.demonstration)

    def today(self):
        return selectors.today(self.demonstration, self.organiser.user, NOW)

    def words(self):
        return [todo.words for todo in self.today().todos]

    def gathering(self, ago=timedelta(0), **fields):
        starts = NOW - ago
        times = {"starts_at": starts, "ends_at": starts + EVENING}
        fields = {"first_aider": self.aider} | times | fields
        return make_gathering(demonstration=self.demonstration, **fields)

    def test_an_empty_season_asks_for_an_evening(self):
        assert self.words() == ["Post the next evening"]

    def test_an_evening_within_a_day_asks_for_its_call_and_its_people(self):
        evening = self.gathering(title="Pulling", ago=-timedelta(hours=5))
        make_station(gathering=evening, places=3)
        begins = f"{evening.starts_at.astimezone(self.demonstration.zone):%H:%M}"
        assert self.words() == ["Decide about tonight", f"Room for 3 more: {begins}"]
        page = self.today()
        assert (page.leads.gathering, page.advice.decision) == (evening, "off")
        assert page.leads.why.startswith("Pulling: nobody has been told yet")
        evening.starts_at = NOW
        evening.save()
        assert self.today().todos[0].why.startswith("Pulling has begun")

    def test_an_evening_on_hold_asks_to_be_decided(
        self,
    ):
        evening = self.gathering(title="Pulling", ago=-timedelta(hours=5))
        said = {"gathering": evening, "advice": "go", "made_by": make_user()}
        assert self.today().todos[0].why.endswith("told yet if it's going ahead.")
        Call.objects.create(**said, decision="hold", made_at=NOW)
        assert "wait and see" in self.today().leads.why
        Call.objects.create(**said, decision="go", made_at=NOW)
        assert self.words() == []

    def test_a_station_that_cannot_begin_is_named_and_is_due(self):
        """Places left are not yet a lack; too few hands are, and say where."""
        evening = self.gathering(title="Pulling", ago=-timedelta(hours=5))
        station = make_station(gathering=evening, title="Tie", places=3, fewest=2)
        make_sign_up(station=station)
        find = self.today().todos[-1]
        assert find.words.startswith("One more needed for ")
        assert find.why == "Pulling. Tie: one more needed. 2 places left."
        assert find.is_due
        make_sign_up(station=station)
        find = self.today().todos[-1]
        assert (find.why, find.is_due) == ("Pulling. 1 place left.", False)

    def test_nobody_is_sought_once_signing_up_has_closed(self):
        evening = self.gathering(title="Pulling", ago=timedelta(minutes=10))
        make_station(gathering=evening, places=3, fewest=2)
        assert not [one for one in self.words() if "needed" in one or "Room" in one]

    def test_evenings_without_a_first_aider_are_one_line_due_the_day_before(self):
        self.gathering(title="Pulling", ago=-timedelta(days=5), first_aider=None)
        self.gathering(title="Off", status="called_off", first_aider=None)
        (todo,) = self.today().todos
        assert todo.words == "Choose a first-aider for Monday"
        assert (todo.is_due, "Also" in todo.why) == (False, False)
        tonight = self.gathering(title="Tying", ago=-EVENING, first_aider=None)
        (todo,) = [one for one in self.today().todos if "first-aider" in one.words]
        assert todo.words == "Choose a first-aider for tonight"
        assert todo.why.endswith("Also without: Pulling, Mon 17 Aug.")
        assert todo.is_due
        assert todo.url.endswith(f"/gatherings/{tonight.pk}/edit/")

    def test_a_hazard_past_its_day_of_review_is_asked_for(self):
        self.gathering(ago=-3 * EVENING, status="called_off")
        here = {"demonstration": self.demonstration, "severity": 5}
        make_hazard(title="Dam", review_on=date(2026, 8, 11), **here)
        make_hazard(title="Dust", review_on=date(2026, 8, 12), **here)
        [todo] = self.today().todos
        assert todo.words == "Review the hazards"
        assert "“Dam”. Until then" in todo.why
        make_hazard(title="Fire", review_on=date(2026, 8, 10), **here)
        assert "“Dam” and 1 more" in self.today().todos[0].why

    def test_a_machine_not_looked_at_is_asked_for_on_its_day(self):
        evening = self.gathering(ago=-timedelta(hours=1), stage="pulling")
        make_station(gathering=evening, kind="feed", title="Feed")
        assert not [one for one in self.words() if "machines" in one]
        puller = make_machine(demonstration=self.demonstration)
        (todo,) = [one for one in self.today().todos if "machines" in one.words]
        assert todo.is_due
        assert f"Feed: {puller}: not checked today" in todo.why
        present = [guard.name for guard in puller.guards.all()]
        make_machine_check(machine=puller, present=present)
        assert not [one for one in self.words() if "machines" in one]

    def test_an_evening_called_off_asks_for_nothing(self):
        make_station(gathering=self.gathering(ago=-EVENING, status="called_off"))
        assert self.words() == []

    def test_a_past_evening_is_to_be_closed_until_it_is(self):
        past = self.gathering(title="Tuesday", ago=timedelta(days=1))
        make_turnout(gathering=past)
        make_entry(gathering=past)
        close = self.today().leads
        assert close.words == "Close Tuesday, Tue 11 Aug"
        assert close.url == reverse(
            "tally:log", args=[self.demonstration.slug, past.pk]
        )
        past.closed_at = NOW
        past.save()
        assert self.words() == ["Post the next evening"]

    def test_an_evening_long_ago_is_asked_for_no_more(self):
        self.gathering(ago=timedelta(days=22), stage="sowing")
        assert self.words() == ["Post the next evening"]

    def test_a_ret_asks_to_be_read_and_tested(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration, name="Burn dam"))
        assert "Take the water temperature in Burn dam" in self.words()
        for hours in range(0, 120, 12):
            at = ret.began_at + timedelta(hours=hours + 12)
            make_reading(ret=ret, at=at, temp_c="20.0")
        assert "Test the ret in Burn dam" in self.words()
        assert "Take the water temperature in Burn dam" not in self.words()

    def test_unseen_pictures_and_an_uncounted_field_are_asked_for_last(self):
        make_picture(demonstration=self.demonstration, is_published=False)
        make_plot(demonstration=self.demonstration)
        assert self.words() == [
            "Post the next evening",
            "Say when the crop was sown",
            "Look through 1 picture",
            "Count one small patch",
        ]

    def test_what_people_say_they_can_do_waits_to_be_confirmed(self):
        ann = make_volunteer(demonstration=self.demonstration)
        for answered in ({"confirmed_by": None}, {}):
            make_skill(volunteer=ann, **answered)
        make_skill(confirmed_by=None)
        [_post, todo] = self.today().todos
        assert todo.words == "1 skill to confirm"
        assert todo.url.endswith("/people/competences/")

    def test_what_went_wrong_comes_first(self):
        make_incident(demonstration=self.demonstration)
        make_lost_child(demonstration=self.demonstration)
        found = self.words()
        assert found[0] == "A child's log is still open"
        assert "Review 1 incident report" in found[:3]

    def test_a_treading_with_one_person_and_one_not_written_are_asked_for(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration, name="Burn dam"))
        plan = make_rota_plan(ret=ret)
        turn = make_treading(plan=plan)
        assert "Work out the treading rota of Burn dam" in self.words()
        RotaPlan.objects.update(taken_at=NOW)
        make_treader(turn=turn, state="on")
        make_treading(plan=plan, day=date(2026, 8, 12), half="morning")
        make_treader(turn=turn, state="on", watches=True)
        wanted = "Thursday evening's treading: 1 more to tread"
        assert wanted in self.words()
        assert "Who trod on Wednesday 12 August, morning?" in self.words()
        make_treader(turn=turn, state="on")
        assert wanted not in self.words()

    def test_somebody_who_trod_alone_is_told_of(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration))
        turn = make_treading(
            plan=make_rota_plan(ret=ret),
            day=date(2026, 8, 12),
            half="morning",
            trodden_at=NOW,
            recorded_at=NOW,
            recorded_by=make_user(),
            why_alone="Ben fell ill.",
        )
        words = "Nobody watched the treading on Wednesday 12 August, morning"
        assert words in self.words()
        make_treader(turn=turn, trod=True)
        assert words not in self.words()
        assert "One person trod alone on Wednesday 12 August, morning" in self.words()

    def test_a_treading_without_its_briefing_is_asked_for(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration, name="Burn dam"))
        make_rota_plan(ret=ret, briefing=None, taken_at=NOW)
        words = "Choose the safety briefing for the treading in Burn dam"
        assert words in self.words()

    def test_a_gap_says_how_many_are_wanted(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration))
        plan = make_rota_plan(ret=ret, people=3, taken_at=NOW)
        turn = make_treading(plan=plan)
        lack = "more to tread, and someone to watch from the bank"
        said = f"Thursday evening's treading has nobody: 3 {lack}"
        assert said in self.words()
        make_treader(turn=turn, state="on")
        assert f"Thursday evening's treading: 2 {lack}" in self.words()
        make_treader(turn=turn, state="on", watches=True)
        assert "Thursday evening's treading: 2 more to tread" in self.words()
        for _ in range(2):
            make_treader(turn=turn, state="on")
        assert not any("treading" in words for words in self.words())
        turn.treaders.update(watches=False)
        said = "Thursday evening's treading: someone to watch from the bank"
        assert said in self.words()

    def test_a_dam_too_small_for_the_field_is_warned_of(self):
        dam = make_dam(demonstration=self.demonstration)
        plot = make_plot(demonstration=self.demonstration, expected_beets=5000)
        warning = "The dam may fill up before the field is done"
        assert warning in self.words()
        plot.expected_beets = 60
        plot.save(update_fields=["expected_beets"])
        assert warning not in self.words()
        make_ret(dam=dam, beets=60)
        assert warning not in self.words()
        make_plot(demonstration=self.demonstration, expected_beets=1)
        assert warning in self.words()
        (why,) = [todo.why for todo in self.today().todos if todo.words == warning]
        assert why.startswith("No dam has clean water now.")

    def test_a_day_costs_the_same_however_full_the_season_is(self):
        def fill():
            ret = make_ret(dam=make_dam(demonstration=self.demonstration))
            make_treader(turn=make_treading(plan=make_rota_plan(ret=ret)))
            for number in range(3):
                evening = self.gathering(ago=-timedelta(days=number + 1))
                make_sign_up(station=make_station(gathering=evening))
                past = self.gathering(ago=timedelta(days=number + 1))
                make_turnout(gathering=past)
                make_plot(demonstration=self.demonstration)
                ann = make_volunteer(demonstration=self.demonstration)
                make_skill(volunteer=ann, confirmed_by=None)

        fill()
        # Where the site's own work stands still it is asked what waits for it.
        with self.assertNumQueries(57):
            self.today()
        fill()
        with self.assertNumQueries(57):
            self.today()
        for chore in Chore:
            note_done(chore=chore, now=NOW)
        with self.assertNumQueries(51):
            self.today()
        fill()
        with self.assertNumQueries(51):
            self.today()

    def test_a_filling_is_said_from_a_week_before_until_the_flax_is_in(self):
        dam = make_dam(demonstration=self.demonstration, name="Burn dam")
        evening = make_fill_evening(dam=dam)
        for days, words in {
            8: None,
            3: "Get ready to fill Burn dam",
            0: "Fill Burn dam today",
            -1: "Was Burn dam filled?",
        }.items():
            evening.starts_at = NOW + timedelta(days=days)
            evening.save()
            said = [one for one in self.today().todos if "/evening/" in one.url]
            assert [one.words for one in said] == ([words] if words else [])
            assert [one.is_due for one in said] == ([days <= 0] if words else [])
        evening.ret = make_ret(dam=dam)
        evening.save()
        assert not any("/evening/" in one.url for one in self.today().todos)

    def test_while_an_evening_is_on_it_leads_with_its_figures(self):
        evening = self.gathering(ago=timedelta(minutes=30))
        make_turnout(gathering=evening, arrived_at=evening.starts_at, left_at=None)
        make_entry(gathering=evening, beets=7)
        note_done(chore=Chore.TEND, now=NOW)
        note_done(chore=Chore.TIDY, now=NOW)
        page = self.today()
        assert page.leads is None
        assert (page.on_now.here, page.on_now.beets) == (1, 7)
        assert [todo.words for todo in page.then] == ["Decide about tonight"]

    def test_at_most_four_things_come_first_and_the_rest_is_folded(self):
        for days in range(1, 8):
            self.gathering(ago=timedelta(days=days))
        page = self.today()
        assert (len(page.then), page.more) == (3, 4)
        [(subject, folded)] = page.folded
        assert (subject, len(folded)) == ("Gatherings", 4)

    def test_the_morning_begins_at_the_dam_and_the_afternoon_with_the_evening(self):
        make_ret(dam=make_dam(demonstration=self.demonstration, name="Burn dam"))
        early = NOW.replace(hour=7)
        self.gathering(starts_at=NOW, ends_at=NOW + EVENING)
        page = selectors.today(self.demonstration, self.organiser.user, early)
        assert page.leads.words == "Take the water temperature in Burn dam"
        late = NOW.replace(hour=14)
        page = selectors.today(self.demonstration, self.organiser.user, late)
        assert page.leads.words == "Decide about tonight"
