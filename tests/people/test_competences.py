"""What people can do: the list, what is said, what is confirmed."""

from datetime import date, timedelta
from unittest import mock

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.people.agreements.selectors import about_page
from heritage.people.competences import selectors, services
from heritage.people.models import Competence, Skill
from tests.factories import (
    NOW,
    make_competence,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_skill,
    make_station,
    make_volunteer,
)

TODAY = date(2026, 8, 12)


class SkillCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        cls.nora = make_organiser(name="Nora Bell", **here)
        cls.ann = make_volunteer(name="Ann Rush", **here)
        cls.bob = make_volunteer(name="Bob Carr", **here)
        cls.joe = make_volunteer(
            name="Joe Rush", user=None, guardian=cls.ann, age_band="from_16", **here
        )
        cls.drives = make_competence(title="Drives a tractor", **here)

    def say(self, person=None, by=None, competence=None):
        person = person or self.ann
        return services.say_able(
            volunteer=person,
            competence=competence or self.drives,
            by=(by or self.ann).user,
            now=NOW,
        )

    def confirm(self, person=None, by=None, **fields):
        fields = {"competence": self.drives, "now": NOW} | fields
        return services.confirm_able(
            volunteer=person or self.ann, by=(by or self.nora).user, **fields
        )

    def refuse(self, why="Not seen yet.", by=None, person=None):
        return services.refuse_able(
            volunteer=person or self.ann,
            competence=self.drives,
            why=why,
            by=(by or self.nora).user,
            now=NOW,
        )


class ListTests(SkillCase):
    def add(self, title, by=None, **fields):
        return services.keep_competence(
            competence=Competence(demonstration=self.place),
            values={"title": title, **fields},
            by=(by or self.nora).user,
        )

    def test_a_child_is_not_offered_what_their_age_forbids(self):
        """Driving from 18: our own rule, stricter than SI 1998/3262 (Great Britain)."""
        rosie = make_volunteer(
            demonstration=self.place, user=None, guardian=self.ann, age_band="from_13"
        )
        for write in (
            lambda: self.say(rosie),
            lambda: self.confirm(rosie),
        ):
            with pytest.raises(ValidationError, match="is for age 18 and over"):
                write()
        page = about_page(rosie, reader=self.ann, is_organiser=False, now=NOW)
        assert self.drives not in [line.competence for line in page.able]

    def test_a_competence_is_added_renamed_and_taken_off(self):
        row = self.add("  Spins   flax ", asks="Has spun here.")
        assert (row.title, row.asks) == ("Spins flax", "Has spun here.")
        values = {"title": "Spins", "asks": "", "is_first_aid": True}
        services.keep_competence(competence=row, values=values, by=self.nora.user)
        row.refresh_from_db()
        assert (row.title, row.asks, row.is_first_aid) == ("Spins", "", True)
        services.remove_competence(competence=row, by=self.nora.user)
        assert not Competence.objects.filter(title="Spins").exists()

    def test_nothing_is_on_the_list_twice_or_without_a_name(self):
        with pytest.raises(ValidationError, match="already on the list"):
            self.add("DRIVES a tractor")
        with pytest.raises(ValidationError, match="Please fill this in"):
            self.add("  ")

    def test_what_is_in_use_stays(self):
        self.say()
        asked = make_competence(demonstration=self.place)
        make_station(
            gathering=make_gathering(demonstration=self.place), competence=asked
        )
        for row in (self.drives, asked):
            with pytest.raises(ValidationError, match="is in use"):
                services.remove_competence(competence=row, by=self.nora.user)

    def test_only_an_organiser_keeps_the_list(self):
        for person in (self.ann, make_organiser()):
            by = {"by": person.user}
            with pytest.raises(ValidationError, match="Only an organiser"):
                self.add("Spins", by=person)
            with pytest.raises(ValidationError, match="Only an organiser"):
                services.keep_competence(
                    competence=self.drives, values={"title": "x"}, **by
                )
            with pytest.raises(ValidationError, match="Only an organiser"):
                services.remove_competence(competence=self.drives, **by)
            with pytest.raises(ValidationError, match="Only an organiser"):
                services.take_starting_competences(
                    demonstration=self.place, titles=["First aid"], **by
                )

    def test_our_own_list_is_offered_less_what_is_there(self):
        offered = selectors.starting_competences(self.place)
        titles = [row.title for row in offered]
        assert "First aid" in titles
        assert "Drives a tractor" not in titles
        start = {"demonstration": self.place, "by": self.nora.user}
        kept = services.take_starting_competences(
            titles=["First aid", "Drives a tractor", "Juggles"], **start
        )
        assert [row.title for row in kept] == ["First aid"]
        assert kept[0].is_first_aid
        with pytest.raises(ValidationError, match="Tick the skills your field needs"):
            services.take_starting_competences(titles=["First aid"], **start)


class SayTests(SkillCase):
    def test_one_says_for_oneself_and_for_ones_child_alone(self):
        assert self.say().is_waiting
        can = make_competence(demonstration=self.place, title="First aid")
        assert self.say(self.joe, competence=can).volunteer == self.joe
        for other in (self.bob, self.nora):
            with pytest.raises(ValidationError, match="or their guardian can say this"):
                self.say(self.joe, by=other, competence=can)
            with pytest.raises(ValidationError, match="or their guardian can say this"):
                services.take_back_able(
                    volunteer=self.joe, competence=can, by=other.user
                )

    def test_another_demonstrations_list_is_not_theirs(self):
        with pytest.raises(ValidationError, match="another demonstration"):
            self.say(competence=make_competence())

    def test_what_was_said_is_taken_back(self):
        self.say()
        take_back = {"volunteer": self.ann, "competence": self.drives}
        services.take_back_able(by=self.ann.user, **take_back)
        services.take_back_able(by=self.ann.user, **take_back)
        assert not Skill.objects.exists()

    def test_saying_it_again_opens_nothing_and_breaks_nothing(self):
        self.say()
        self.say()
        self.confirm()
        with pytest.raises(
            ValidationError, match="An organiser has already confirmed this"
        ):
            self.say()
        assert Skill.objects.get().confirmed_by == self.nora.user

    def test_what_was_refused_or_ran_out_is_said_anew(self):
        self.say()
        assert not self.refuse().is_waiting
        assert self.say().is_waiting
        self.confirm(runs_out_on=TODAY)
        with pytest.raises(
            ValidationError, match="An organiser has already confirmed this"
        ):
            self.say()
        Skill.objects.update(runs_out_on=TODAY - timedelta(days=1))
        row = self.say()
        assert (row.is_waiting, row.runs_out_on) == (True, None)


class AnswerTests(SkillCase):
    def test_an_organiser_confirms_what_was_said_till_a_day(self):
        self.say()
        row = self.confirm(runs_out_on=TODAY)
        assert row.is_good_on(TODAY)
        assert row.has_run_out(TODAY + timedelta(days=1))
        assert (row.confirmed_by, row.confirmed_at) == (self.nora.user, NOW)

    def test_an_organiser_enters_it_for_somebody_on_paper(self):
        paper = make_volunteer(demonstration=self.place, user=None)
        row = self.confirm(paper)
        assert (row.said_at, row.runs_out_on) == (NOW, None)
        assert row.is_good_on(date(2099, 1, 1))

    def test_a_confirmation_is_taken_back_with_why(self):
        self.confirm(runs_out_on=TODAY)
        row = self.refuse("The licence has gone.")
        assert (row.confirmed_at, row.runs_out_on) == (None, None)
        assert row.refused_because == "The licence has gone."
        assert self.confirm().refused_because == ""

    def test_what_makes_no_sense_is_refused_by_its_field(self):
        with pytest.raises(ValidationError, match="That day has passed") as refused:
            self.confirm(runs_out_on=TODAY - timedelta(days=1))
        assert "runs_out_on" in refused.value.message_dict
        with pytest.raises(ValidationError, match="hasn't said they can do this"):
            self.refuse()
        self.say()
        with pytest.raises(ValidationError, match="Say why") as refused:
            self.refuse(" ")
        assert "why" in refused.value.message_dict
        self.bob.left_at = NOW
        self.bob.save(update_fields=["left_at"])
        with pytest.raises(ValidationError, match="has left"):
            self.confirm(self.bob)

    def test_nobody_confirms_themselves(self):
        self.say()
        for person in (self.ann, make_organiser()):
            with pytest.raises(ValidationError, match="Only an organiser"):
                self.confirm(by=person)
            with pytest.raises(ValidationError, match="Only an organiser"):
                self.refuse(by=person)

    def test_the_database_holds_what_it_can(self):
        for name, fields in (
            ("skill_good_until_is_confirmed", {"runs_out_on": TODAY}),
            ("skill_confirmed_by_somebody", {"confirmed_at": NOW}),
        ):
            with pytest.raises(IntegrityError, match=name), transaction.atomic():
                make_skill(volunteer=self.ann, confirmed_by=None, **fields)
        with (
            pytest.raises(IntegrityError, match="skill_confirmed_or_refused"),
            transaction.atomic(),
        ):
            make_skill(volunteer=self.ann, refused_at=NOW)


class PageTests(SkillCase):
    def setUp(self):
        patched = mock.patch.object(clock, "now", return_value=NOW)
        patched.start()
        self.addCleanup(patched.stop)

    def url(self, view, *args):
        return reverse(f"people:{view}", args=[self.place.slug, *args])

    def get(self, view, *args, by=None):
        self.client.force_login((by or self.nora).user)
        return self.client.get(self.url(view, *args))

    def post(self, view, /, *args, by=None, **data):
        self.client.force_login((by or self.nora).user)
        return self.client.post(self.url(view, *args), data, follow=True)

    def test_two_queries_for_one_person_or_twenty(self):
        for size in (1, 20):
            while Skill.objects.count() < size:
                make_skill(
                    volunteer=make_volunteer(demonstration=self.place),
                    competence=self.drives,
                )
            with self.assertNumQueries(2):
                page = selectors.competence_page(self.place, TODAY)
                told = [str(skill.volunteer) for skill in page.lines[0].able]
            assert len(told) == size

    def test_who_stands_where(self):
        for who, fields in (
            ("Able", {}),
            ("Run out", {"runs_out_on": TODAY - timedelta(days=1)}),
            ("Waits", {"confirmed_by": None}),
            ("Refused", {"confirmed_by": None, "refused_at": NOW}),
            ("Gone", {}),
        ):
            gone = NOW if who == "Gone" else None
            person = make_volunteer(demonstration=self.place, name=who, left_at=gone)
            make_skill(volunteer=person, competence=self.drives, **fields)
        (line,) = selectors.competence_page(self.place, TODAY).lines
        names = [
            [str(skill.volunteer) for skill in group]
            for group in (line.able, line.run_out, line.waiting)
        ]
        assert names == [["Able"], ["Run out"], ["Waits"]]

    def test_the_list_is_the_organisers(self):
        for view, args in (
            ("competences", []),
            ("enter_able", []),
            ("change_competence", [self.drives.pk]),
            ("answer_able", [make_skill(volunteer=self.ann).pk]),
        ):
            for person in (self.ann, make_organiser()):
                assert self.get(view, *args, by=person).status_code == 403
            response = self.get(view, *args)
            assert response.status_code == 200
            assert "no-store" in response["Cache-Control"]

    def test_a_competence_is_written_and_a_double_one_keeps_what_was_typed(self):
        assert self.post("competences", title="Spins", asks="Has spun.").redirect_chain
        response = self.post("competences", title="spins", asks="Seen")
        self.assertContains(response, "already on the list")
        self.assertContains(response, 'value="Seen"')
        spins = Competence.objects.get(title="Spins")
        self.post("change_competence", spins.pk, title="Spins flax")
        response = self.post("change_competence", spins.pk, title="")
        assert "title" in response.context["form"].errors
        self.assertContains(response, "Spins flax")
        self.post("change_competence", spins.pk, away="1")
        assert not Competence.objects.filter(pk=spins.pk).exists()

    def test_our_list_is_taken_by_ticks(self):
        self.post("start_competences", titles=["First aid", "Strong swimmer"])
        assert self.place.competences.count() == 3
        self.assertContains(self.post("start_competences"), "Tick those")

    def test_somebody_says_it_and_the_organiser_answers(self):
        say = {"competence": self.drives.pk, "by": self.ann}
        self.assertContains(self.post("can_do", self.ann.pk, **say), "to be confirmed")
        skill = Skill.objects.get()
        self.assertContains(self.get("competences"), "Ann Rush: Drives a tractor")
        response = self.post("answer_able", skill.pk, decision="refuse")
        assert set(response.context["form"].errors) == {"why"}
        self.post("answer_able", skill.pk, decision="refuse", why="Not seen.")
        self.assertContains(self.get("about", self.ann.pk, by=self.ann), "Not seen.")
        response = self.post(
            "answer_able", skill.pk, decision="confirm", runs_out_on="2026-08-11"
        )
        assert set(response.context["form"].errors) == {"runs_out_on"}
        self.post("answer_able", skill.pk, decision="confirm")
        self.assertContains(self.get("about", self.ann.pk, by=self.ann), "confirmed")
        self.assertContains(self.post("can_do", self.ann.pk, **say), "already")
        self.post("can_do", self.ann.pk, take_back="1", **say)
        assert not Skill.objects.exists()

    def test_a_guardian_says_it_for_a_child_and_another_does_not(self):
        can = make_competence(demonstration=self.place, title="First aid")
        data = {"competence": can.pk}
        assert self.post("can_do", self.joe.pk, by=self.bob, **data).status_code == 404
        bad = self.post("can_do", self.joe.pk, by=self.ann, competence="x")
        assert bad.status_code == 404
        self.post("can_do", self.joe.pk, by=self.ann, **data)
        assert self.joe.skills.get().is_waiting

    def test_somebody_on_paper_is_entered(self):
        paper = make_volunteer(demonstration=self.place, user=None, name="Paper Pat")
        data = {"volunteer": paper.name, "competence": self.drives.pk}
        response = self.post("enter_able", runs_out_on="soon", **data)
        assert set(response.context["form"].errors) == {"runs_out_on"}
        response = self.post("enter_able", **data)
        self.assertContains(response, "Confirmed: Paper Pat")
        stranger = make_volunteer(user=None)
        response = self.post("enter_able", **(data | {"volunteer": stranger.name}))
        assert set(response.context["form"].errors) == {"volunteer"}
