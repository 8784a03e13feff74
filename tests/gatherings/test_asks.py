"""What a station asks: age on the day, a competence, an organiser's decision."""

from datetime import date, timedelta
from unittest import mock

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings import selectors as gatherings_selectors
from heritage.gatherings.asked import selectors
from heritage.gatherings.asked import services as asked_services
from heritage.gatherings.models import Gathering, SignUpStatus, Weighing
from heritage.gatherings.places import services
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_competence,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_skill,
    make_station,
    make_volunteer,
    make_weighing,
)

DAY = date(2026, 8, 13)


class AskCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(jurisdiction="gb")
        here = {"demonstration": cls.place}
        cls.nora = make_organiser(name="Nora Bell", **here)
        cls.ann = make_volunteer(name="Ann Rush", **here)
        cls.joe = make_volunteer(
            name="Joe Rush", user=None, guardian=cls.ann, age_band="from_16", **here
        )
        cls.gathering = make_gathering(**here)
        cls.drives = make_competence(title="Drives a tractor", **here)
        cls.drive = make_station(
            gathering=cls.gathering,
            title="Drive",
            kind="drive",
            competence=cls.drives,
            places=20,
        )
        cls.feed = make_station(
            gathering=cls.gathering, title="Feed", kind="feed", places=20
        )
        cls.pull = make_station(gathering=cls.gathering, title="Pull", places=20)

    def ask(self, station, person=None, by=None):
        return services.sign_up(
            station=station,
            volunteer=person or self.ann,
            by=(by or self.ann).user,
            now=NOW,
        )


class CompetenceTests(AskCase):
    def test_without_it_the_place_is_refused_with_how_to_mend_it(self):
        with pytest.raises(ValidationError, match="Drives a tractor") as refused:
            self.ask(self.drive)
        assert refused.value.code == "competence"
        assert "an organiser confirms it" in refused.value.message
        # An organiser's own hand does not lift what the station asks.
        with pytest.raises(ValidationError, match="Drives a tractor"):
            self.ask(self.drive, by=self.nora)

    def test_only_said_is_not_enough_and_neither_is_run_out(self):
        skill = make_skill(
            volunteer=self.ann, competence=self.drives, confirmed_by=None
        )
        with pytest.raises(ValidationError, match="Drives a tractor"):
            self.ask(self.drive)
        skill.confirmed_by, skill.confirmed_at = self.nora.user, NOW
        skill.runs_out_on = DAY - timedelta(days=1)
        skill.save()
        with pytest.raises(ValidationError, match="Drives a tractor"):
            self.ask(self.drive)
        skill.runs_out_on = DAY
        skill.save()
        assert self.ask(self.drive).status == SignUpStatus.HELD

    def test_another_competence_and_another_person_do_not_count(self):
        make_skill(volunteer=self.ann)
        make_skill(volunteer=self.nora, competence=self.drives)
        with pytest.raises(ValidationError, match="Drives a tractor"):
            self.ask(self.drive)

    def test_nobody_is_moved_to_what_they_cannot_do(self):
        place = make_sign_up(station=self.pull, volunteer=self.ann)
        move = {"sign_up": place, "station": self.drive, "by": self.nora.user}
        with pytest.raises(ValidationError, match="Drives a tractor"):
            services.move(now=NOW, **move)
        make_skill(volunteer=self.ann, competence=self.drives)
        assert services.move(now=NOW, **move).station == self.drive

    def test_the_day_is_the_gatherings_own_where_it_is_held(self):
        """Half past eleven at night in UTC is tomorrow in summer time."""
        late = make_gathering(
            demonstration=self.place,
            starts_at=NOW.replace(hour=23, minute=30),
            ends_at=NOW.replace(hour=23, minute=50),
        )
        assert selectors.day_of(late) == DAY

    def test_a_page_costs_two_queries_more_for_two_people_or_twelve(self):
        skilled = [self.ann]
        make_skill(volunteer=self.ann, competence=self.drives)
        make_weighing(volunteer=self.joe, work="feed")
        for size in (2, 12):
            while len(skilled) < size:
                person = make_volunteer(demonstration=self.place)
                make_skill(volunteer=person, competence=self.drives)
                make_sign_up(station=self.drive, volunteer=person)
                make_volunteer(
                    demonstration=self.place,
                    user=None,
                    age_band="from_16",
                    guardian=self.ann,
                )
                skilled.append(person)
            row = Gathering.objects.for_page().get(pk=self.gathering.pk)
            with self.assertNumQueries(7):
                page = gatherings_selectors.gathering_page(
                    row, now=NOW, volunteer=self.ann
                )
                reasons = {
                    choice.refusal.code
                    for one in page.mine
                    for choice in one.not_for_them
                }
            assert reasons == {"age", "weighing"}


class UnfitTests(AskCase):
    def page(self, is_led=True):
        row = Gathering.objects.for_page().get(pk=self.gathering.pk)
        return gatherings_selectors.gathering_page(
            row, now=NOW, volunteer=self.nora, is_led=is_led
        )

    def test_a_lead_is_told_whose_place_would_be_refused_by_now(self):
        skill = make_skill(volunteer=self.ann, competence=self.drives)
        self.ask(self.drive)
        make_weighing(volunteer=self.joe, work="feed")
        self.ask(self.feed, self.joe)
        make_sign_up(
            station=self.pull, volunteer=make_volunteer(demonstration=self.place)
        )
        assert self.page().unfit == []
        skill.runs_out_on = DAY - timedelta(days=1)
        skill.save(update_fields=["runs_out_on"])
        make_weighing(
            volunteer=self.joe,
            work="feed",
            may=False,
            weighed_at=NOW + timedelta(minutes=1),
        )
        told = {one.place.volunteer: one.reason for one in self.page().unfit}
        assert "Drives a tractor" in told.pop(self.ann)
        assert "not for" in told.pop(self.joe)
        assert not told
        assert self.page(is_led=False).unfit == []
        self.client.force_login(self.nora.user)
        response = self.client.get(self.gathering.get_absolute_url())
        self.assertContains(response, "look again", count=2)

    def test_whoever_lacks_a_competence_is_led_to_where_they_say_it(self):
        with mock.patch.object(clock, "now", return_value=NOW):
            self.client.force_login(self.ann.user)
            response = self.client.get(self.gathering.get_absolute_url())
        about = reverse("people:about", args=[self.place.slug, self.ann.pk])
        self.assertContains(response, about)


class WeighTests(AskCase):
    def weigh(self, **fields):
        decision = {"volunteer": self.joe, "work": "feed", "may": True, "why": "Able."}
        by = {"by": self.nora.user, "now": NOW}
        return asked_services.weigh(**(decision | by | fields))

    def refuse(self, field, words, **fields):
        with pytest.raises(ValidationError, match=words) as refused:
            self.weigh(**fields)
        assert field in refused.value.message_dict

    def test_only_an_organiser_of_the_place_decides(self):
        for person in (self.ann, make_organiser()):
            with pytest.raises(ValidationError, match="Only an organiser"):
                self.weigh(by=person.user)

    def test_there_must_be_something_to_weigh(self):
        self.refuse("work", "This work needs no decision", work="pull")
        self.refuse(
            "volunteer", "is 18 or over, so no decision is needed", volunteer=self.ann
        )
        self.joe.left_at = NOW
        self.joe.save(update_fields=["left_at"])
        self.refuse("volunteer", "has left")

    def test_reasons_are_written_down(self):
        self.refuse("why", "Please fill this in", why="  ")
        with pytest.raises(IntegrityError, match="reasons"), transaction.atomic():
            make_weighing(volunteer=self.joe, why="")
        with pytest.raises(IntegrityError, match="work_known"), transaction.atomic():
            make_weighing(volunteer=self.joe, work="ploughing")

    def test_the_newest_decision_holds_and_the_older_stay(self):
        self.weigh()
        newest = self.weigh(may=False, now=NOW + timedelta(minutes=1))
        make_weighing(volunteer=self.joe, work="drive")
        held = Weighing.objects.among([self.joe.pk]).holding()
        assert held.get(work="feed") == newest
        assert Weighing.objects.count() == 3
        assert str(newest) == f"{self.joe.pk}: feed"

    def test_a_decision_opens_its_own_work_alone(self):
        lift_off = make_station(gathering=self.gathering, kind="lift_off", places=20)
        self.weigh()
        assert self.ask(self.feed, self.joe).status == SignUpStatus.HELD
        self.joe.sign_ups.all().delete()
        with pytest.raises(ValidationError, match="first decides"):
            self.ask(lift_off, self.joe)


class WeighingPageTests(AskCase):
    def setUp(self):
        patched = mock.patch.object(clock, "now", return_value=NOW)
        patched.start()
        self.addCleanup(patched.stop)
        self.url = reverse("gatherings:weighings", args=[self.place.slug])

    def young(self, **fields):
        fields = {"age_band": AgeBand.FROM_16, "guardian": self.ann} | fields
        return make_volunteer(demonstration=self.place, user=None, **fields)

    def test_who_is_old_enough_or_nearly_so_is_listed(self):
        soon = self.young(name="Soon 16", born_on=date(2010, 9, 1), age_band="from_13")
        self.young(name="Too young", age_band="from_13")
        self.young(name="Just 18", born_on=date(2008, 8, 12))
        self.young(name="Gone", left_at=NOW)
        page = selectors.weighing_page(self.place, NOW)
        assert [one.volunteer for one in page.people] == [self.joe, soon]

    def test_three_queries_for_one_person_or_ten(self):
        for size in (0, 9):
            for _ in range(size):
                person = self.young()
                make_weighing(volunteer=person, may=False)
                make_sign_up(station=self.feed, volunteer=person)
            with self.assertNumQueries(3):
                page = selectors.weighing_page(self.place, NOW)
                told = [
                    (str(one.volunteer.guardian), row.weighed_by, place.gathering)
                    for one in page.people
                    for row in one.decisions
                    for place in one.places_against
                ]
            assert len(told) == size

    def test_where_nothing_is_weighed_nothing_is_asked(self):
        with mock.patch(
            "heritage.gatherings.asked.selectors.works_to_weigh", return_value=()
        ):
            page = selectors.weighing_page(self.place, NOW)
        assert (page.rule, page.people) == (None, ())

    def test_the_page_is_the_organisers(self):
        for person in (self.ann, make_organiser()):
            self.client.force_login(person.user)
            assert self.client.get(self.url).status_code == 403
        self.client.force_login(self.nora.user)
        response = self.client.get(self.url)
        self.assertContains(response, "Joe Rush")
        assert "no-store" in response["Cache-Control"]

    def test_a_decision_is_written_and_a_place_against_it_is_named(self):
        self.client.force_login(self.nora.user)
        data = {"volunteer": self.joe.name, "work": "feed", "may": "no", "why": "New."}
        make_sign_up(station=self.feed, volunteer=self.joe)
        response = self.client.post(self.url, data, follow=True)
        self.assertContains(response, "Decision saved")
        self.assertContains(response, "has a place")
        assert Weighing.objects.get().may is False

    def test_what_is_missing_is_named_and_what_was_typed_stays(self):
        self.client.force_login(self.nora.user)
        stranger = make_volunteer(age_band="from_16", guardian=make_volunteer())
        data = {"volunteer": stranger.name, "work": "pull", "why": "Has watched twice."}
        response = self.client.post(self.url, data)
        errors = response.context["form"].errors
        assert set(errors) == {"volunteer", "work", "may"}
        self.assertContains(response, "Has watched twice.")
