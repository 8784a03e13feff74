"""Ages as a band or by the date of birth; whom to call in an emergency."""

from datetime import date, timedelta
from unittest import mock

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.people import services
from heritage.people.models import AgeBand, Volunteer
from heritage.people.particulars import services as particulars_services
from heritage.people.particulars.services import Particulars
from tests.factories import (
    NOW,
    make_demonstration,
    make_organiser,
    make_user,
    make_volunteer,
)

TODAY = date(2026, 8, 12)


class AgeCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(asks_birth_date=True)
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")

    def child(self, **fields):
        fields = {
            "name": "Joe Rush",
            "age_band": "from_13",
            "guardian": self.ann,
            "user": None,
        } | fields
        return make_volunteer(demonstration=self.place, **fields)

    def add(self, born_on=None, **fields):
        said = Particulars(said_on=TODAY, born_on=born_on)
        fields = {"name": "Joe Rush", "particulars": said, "now": NOW} | fields
        return services.add_volunteer(demonstration=self.place, **fields)


class BandTests(AgeCase):
    def test_every_age_has_its_band(self):
        bands = [AgeBand.at(years).value for years in (0, 12, 13, 15, 16, 17, 18, 90)]
        assert bands == [
            *["under_13", "under_13", "from_13", "from_13"],
            *["from_16", "from_16", "adult", "adult"],
        ]

    def test_the_date_says_the_band_whatever_was_ticked(self):
        born = date(2010, 8, 12)
        person = self.add(born, guardian=self.ann, age_band="adult")
        assert (person.age_band, person.born_on) == ("from_16", born)

    def test_without_a_date_the_band_is_taken(self):
        person = self.add(guardian=self.ann, age_band="under_13")
        assert (person.age_band, person.born_on) == ("under_13", None)

    def test_a_date_that_cannot_be_is_refused(self):
        for born, words in (
            (TODAY + timedelta(days=1), "That day is in the future"),
            (date(1905, 8, 12), "121 years ago. Check the year"),
            (date(1890, 1, 1), "Check the year"),
        ):
            with pytest.raises(ValidationError, match=words) as refused:
                self.add(born)
            assert "born_on" in refused.value.message_dict

    def test_a_child_by_the_date_needs_a_guardian(self):
        with pytest.raises(ValidationError, match="Choose their guardian"):
            self.add(date(2014, 1, 1))

    def test_the_young_do_not_join_alone(self):
        young = Particulars(said_on=TODAY, born_on=date(2010, 1, 1))
        with pytest.raises(ValidationError, match="entered by the adult") as refused:
            services.join(
                demonstration=self.place,
                user=make_user(),
                name="Joe",
                particulars=young,
                now=NOW,
            )
        assert "born_on" in refused.value.message_dict

    def test_a_leap_day_birthday_falls_on_the_first_of_march(self):
        leap = Volunteer(born_on=date(2008, 2, 29))
        assert leap.age_on(date(2026, 2, 28)) == 17
        assert leap.age_on(date(2026, 3, 1)) == 18

    def test_the_database_refuses_dates_that_cannot_be(self):
        for born in (date(1899, 12, 31), NOW.date() + timedelta(days=1)):
            with (
                pytest.raises(IntegrityError, match="born_before_joining"),
                transaction.atomic(),
            ):
                make_volunteer(demonstration=self.place, born_on=born)


class BirthdayTests(AgeCase):
    def test_who_was_overtaken_is_moved_and_nobody_else(self):
        joe = self.child(born_on=date(2010, 8, 12))
        una = self.child(name="Una", age_band="from_16", born_on=date(2008, 8, 12))
        self.child(name="Not yet", born_on=date(2010, 8, 13))
        self.child(name="Undated")
        stranger = make_volunteer(
            age_band="from_16", guardian=make_volunteer(), born_on=date(1990, 1, 1)
        )
        assert particulars_services.bring_ages_up_to_date(self.place, TODAY) == [
            joe,
            una,
        ]
        for person in (joe, una, stranger):
            person.refresh_from_db()
        assert (joe.age_band, joe.guardian) == ("from_16", self.ann)
        assert (una.age_band, una.guardian) == ("adult", None)
        assert stranger.age_band == "from_16"
        assert particulars_services.bring_ages_up_to_date(self.place, TODAY) == []

    def test_the_nights_round_looks_where_dates_are_kept(self):
        self.child(born_on=date(2010, 8, 13))
        elsewhere = make_demonstration()
        make_volunteer(
            demonstration=elsewhere,
            age_band="from_13",
            guardian=make_volunteer(demonstration=elsewhere),
            born_on=date(2000, 1, 1),
        )
        # Eleven at night in UTC is midnight in summer time: the birthday has begun.
        late = NOW.replace(hour=22, minute=59)
        assert particulars_services.bring_all_ages_up_to_date(now=late) == 0
        late = NOW.replace(hour=23, minute=0)
        assert particulars_services.bring_all_ages_up_to_date(now=late) == 1

    def test_going_back_to_ages_keeps_the_band_of_today_and_no_date(self):
        joe = self.child(born_on=date(2010, 8, 12))
        keep = {"demonstration": self.place, "answer_hours": 6, "now": NOW}
        with pytest.raises(ValidationError, match="Only an organiser"):
            particulars_services.change_keeping(
                asks_birth_date=False, by=self.ann.user, **keep
            )
        particulars_services.change_keeping(
            asks_birth_date=True, by=self.nora.user, **keep
        )
        joe.refresh_from_db()
        assert joe.born_on
        particulars_services.change_keeping(
            asks_birth_date=False, by=self.nora.user, **keep
        )
        joe.refresh_from_db()
        assert (joe.born_on, joe.age_band) == (None, "from_16")
        self.place.refresh_from_db()
        assert (self.place.asks_birth_date, self.place.answer_hours) == (False, 6)


class EmergencyTests(AgeCase):
    def said(self, name="", phone=""):
        return Particulars(TODAY, emergency_name=name, emergency_phone=phone)

    def test_it_is_kept_and_put_right(self):
        person = self.add(particulars=self.said("Ma Rush", "028 555 0109"))
        assert (person.emergency_name, person.emergency_phone) == (
            "Ma Rush",
            "028 555 0109",
        )
        services.edit_volunteer(
            volunteer=person, name="Joe", particulars=self.said(), now=NOW
        )
        person.refresh_from_db()
        assert (person.emergency_name, person.emergency_phone) == ("", "")

    def test_what_is_not_asked_stays(self):
        person = self.add(particulars=self.said("Ma Rush", "028 555 0109"))
        services.edit_volunteer(volunteer=person, name="Joseph Rush", now=NOW)
        person.refresh_from_db()
        assert person.emergency_phone == "028 555 0109"

    def test_a_name_without_a_number_helps_nobody(self):
        for name, phone, words in (
            ("Ma Rush", "", "Enter the phone number of"),
            ("Ma Rush", "ask at the shop", "in digits"),
        ):
            with pytest.raises(ValidationError, match=words) as refused:
                self.add(particulars=self.said(name, phone))
            assert "emergency_phone" in refused.value.message_dict
        assert self.add(particulars=self.said("", "999 1234")).emergency_name == ""


class FormTests(AgeCase):
    def setUp(self):
        patched = mock.patch.object(clock, "now", return_value=NOW)
        patched.start()
        self.addCleanup(patched.stop)

    def url(self, view, *args):
        return reverse(f"people:{view}", args=[self.place.slug, *args])

    def post(self, view, /, *args, by=None, **data):
        self.client.force_login((by or self.ann).user)
        return self.client.post(self.url(view, *args), data)

    def errors(self, *args, **data):
        return self.post(*args, **data).context["form"].errors

    def test_joining_asks_for_the_date(self):
        user = make_volunteer()
        assert set(self.errors("join", by=user, name="Una")) == {"born_on"}
        young = self.errors("join", by=user, name="Una", born_on="2010-01-01")
        assert "entered by the adult" in str(young["born_on"])
        self.post(
            "join",
            by=user,
            name="Una",
            born_on="1990-01-01",
            emergency_name="Pa",
            emergency_phone="028 555 0110",
        )
        una = self.place.volunteers.get(name="Una")
        assert (una.age_band, una.emergency_name) == ("adult", "Pa")

    def test_a_child_is_entered_by_the_date(self):
        for born, words in (
            ("2026-08-13", "in the future"),
            ("2008-08-12", "join themselves"),
            ("1 of May", "Enter a date"),
            ("", "Please fill this in"),
        ):
            errors = self.errors("add_child", name="Joe", born_on=born)
            assert words in str(errors["born_on"])
        self.post("add_child", name="Joe", born_on="2014-08-12")
        joe = self.ann.children.get()
        assert (joe.age_band, joe.born_on) == ("under_13", date(2014, 8, 12))
        self.post("edit_child", joe.pk, name="Joe", born_on="2013-08-12")
        joe.refresh_from_db()
        assert joe.age_band == "from_13"

    def test_an_adult_says_their_date_once_and_the_young_do_not(self):
        self.post("edit_me", name="Ann Rush", born_on="1980-01-01")
        self.ann.refresh_from_db()
        assert self.ann.born_on == date(1980, 1, 1)
        self.post("edit_me", name="Ann Rush", born_on="2014-01-01")
        self.ann.refresh_from_db()
        assert self.ann.born_on == date(1980, 1, 1)
        joe = self.child(user=make_user(), born_on=None)
        self.post("edit_me", by=joe, name="Joe", born_on="1980-01-01")
        joe.refresh_from_db()
        assert (joe.born_on, joe.age_band) == (None, "from_13")

    def test_an_adult_cannot_make_themselves_a_child(self):
        response = self.post("edit_me", name="Ann Rush", born_on="2014-01-01")
        self.assertContains(response, "Choose their guardian")

    def test_the_organiser_enters_a_date_or_a_band(self):
        by = {"by": self.nora, "guardian": self.ann.name}
        self.post("add", name="Dated", born_on="2010-08-12", age_band="adult", **by)
        self.post("add", name="Banded", age_band="from_13", **by)
        dated, banded = (Volunteer.objects.get(name=n) for n in ("Dated", "Banded"))
        assert (dated.age_band, banded.age_band) == ("from_16", "from_13")
        self.client.force_login(self.nora.user)
        self.assertContains(self.client.get(self.url("edit", dated.pk)), "2010-08-12")

    def test_without_dates_no_form_asks_for_one(self):
        particulars_services.change_keeping(
            demonstration=self.place,
            asks_birth_date=False,
            answer_hours=12,
            by=self.nora.user,
            now=NOW,
        )
        self.client.force_login(self.nora.user)
        for view in ("add", "edit_me", "add_child"):
            self.assertNotContains(self.client.get(self.url(view)), "born_on")

    def test_how_people_are_kept_is_the_organisers(self):
        for person in (self.ann, make_organiser()):
            assert self.post("keeping", by=person).status_code == 403
        errors = self.errors("keeping", by=self.nora, answer_hours="0")
        assert set(errors) == {"asks_birth_date", "answer_hours"}
        response = self.post(
            "keeping", by=self.nora, asks_birth_date="no", answer_hours="24"
        )
        self.assertRedirects(response, self.url("keeping"))
        self.place.refresh_from_db()
        assert (self.place.asks_birth_date, self.place.answer_hours) == (False, 24)
