from datetime import timedelta

import pytest
from allauth.account.models import EmailAddress
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings.models import GatheringStatus, SignUpStatus
from heritage.people import services
from heritage.people.models import AgeBand, Volunteer
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_user,
    make_volunteer,
)

LATER = NOW + timedelta(days=2)


def verify(user, address=None):
    EmailAddress.objects.create(
        user=user, email=address or user.email, verified=True, primary=True
    )
    return user


class JoinTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()

    def join(self, user, **fields):
        fields = {"demonstration": self.place, "name": "Ann Rush", "now": NOW} | fields
        return services.join(user=user, **fields)

    def test_an_account_becomes_a_volunteer(self):
        user = make_user()
        person = self.join(user, phone="028 0000")
        assert (person.user, person.name, person.phone) == (
            user,
            "Ann Rush",
            "028 0000",
        )
        assert person.email == user.email
        assert person.joined_at == NOW
        assert not person.is_organiser

    def test_joining_twice_is_joining_once(self):
        user = make_user()
        first = self.join(user)
        again = self.join(user, name="Someone Else")
        assert again == first
        assert again.name == "Ann Rush"

    def test_somebody_who_left_comes_back_as_themselves(self):
        user = make_user()
        first = self.join(user)
        services.leave(volunteer=first, now=NOW)
        again = self.join(user, name="Ann Reed")
        assert again == first
        assert again.left_at is None
        assert again.name == "Ann Reed"

    def test_the_row_an_organiser_entered_is_given_to_its_account(self):
        entered = make_volunteer(
            demonstration=self.place, user=None, email="Ann@Example.org", phone="1"
        )
        place = make_sign_up(volunteer=entered)
        user = verify(make_user(email="ann@example.org"))
        person = self.join(user)
        assert person == entered
        assert person.user == user
        assert person.phone == "1"
        assert person.sign_ups.get() == place
        assert self.place.volunteers.count() == 1

    def test_an_address_that_was_not_verified_proves_nothing(self):
        entered = make_volunteer(
            demonstration=self.place, user=None, email="ann@example.org"
        )
        assert self.join(make_user(email="ann@example.org")) != entered

    def test_a_row_of_another_demonstration_is_left_alone(self):
        entered = make_volunteer(user=None, email="ann@example.org")
        assert self.join(verify(make_user(email="ann@example.org"))) != entered

    def test_a_parent_is_not_taken_for_the_child_who_shares_their_address(self):
        guardian = make_volunteer(demonstration=self.place)
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            email="ann@example.org",
            age_band=AgeBand.FROM_16,
            guardian=guardian,
        )
        user = verify(make_user(email="ann@example.org"))
        assert self.join(user, age_band=AgeBand.ADULT) != child

    def test_a_young_person_entered_before_may_have_their_own_account(self):
        guardian = make_volunteer(demonstration=self.place)
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            email="joe@example.org",
            age_band=AgeBand.FROM_16,
            guardian=guardian,
        )
        user = verify(make_user(email="joe@example.org"))
        person = self.join(user, age_band=AgeBand.FROM_16)
        assert person == child
        assert person.guardian == guardian

    def test_two_who_share_an_address_are_told_apart_by_name(self):
        for name in ("Ann Rush", "Bob Rush"):
            make_volunteer(
                demonstration=self.place, user=None, name=name, email="us@example.org"
            )
        user = verify(make_user(email="us@example.org"))
        assert (
            self.join(user, name="bob rush").pk
            == Volunteer.objects.get(name="bob rush").pk
        )
        assert self.place.volunteers.count() == 2

    def test_when_it_is_unclear_who_is_meant_nobody_is_taken_over(self):
        for name in ("Ann Rush", "Bob Rush"):
            make_volunteer(
                demonstration=self.place, user=None, name=name, email="us@example.org"
            )
        self.join(verify(make_user(email="us@example.org")), name="Cal Rush")
        assert self.place.volunteers.count() == 3

    def test_somebody_under_18_is_entered_by_their_guardian(self):
        with pytest.raises(ValidationError, match="entered by the adult who answers"):
            self.join(make_user(), age_band=AgeBand.FROM_16)

    def test_a_closed_demonstration_is_not_joined(self):
        closed = make_demonstration(is_public=False)
        with pytest.raises(
            ValidationError, match="You need an invitation to join here"
        ):
            self.join(make_user(), demonstration=closed)


class EntryTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")

    def test_a_name_is_enough(self):
        person = services.add_volunteer(
            demonstration=self.place, name="Paper Pat", now=NOW
        )
        assert person.user is None
        assert (person.email, person.phone) == ("", "")

    def test_the_same_person_is_not_entered_twice(self):
        entry = {"demonstration": self.place, "email": "pat@example.org", "now": NOW}
        services.add_volunteer(name="Pat", **entry)
        services.add_volunteer(name="Joan", **entry)
        with pytest.raises(ValidationError, match="PAT is already on the list"):
            services.add_volunteer(name="PAT", **entry)

    def test_a_child_needs_an_adult_of_the_same_demonstration(self):
        entry = {
            "demonstration": self.place,
            "name": "Wee Joe",
            "age_band": AgeBand.UNDER_13,
            "now": NOW,
        }
        with pytest.raises(ValidationError, match="Choose their guardian"):
            services.add_volunteer(**entry)
        with pytest.raises(ValidationError, match="Choose an adult on the list"):
            services.add_volunteer(guardian=make_volunteer(), **entry)
        child = services.add_volunteer(guardian=self.nora, **entry)
        assert child.guardian == self.nora
        with pytest.raises(ValidationError, match="Choose an adult on the list"):
            services.add_volunteer(**(entry | {"guardian": child}))

    def test_a_guardian_adds_a_child(self):
        child = services.add_volunteer(
            demonstration=self.place,
            guardian=self.nora,
            name="Wee Joe",
            age_band=AgeBand.FROM_13,
            now=NOW,
        )
        assert list(self.nora.children.all()) == [child]

    def test_details_are_corrected_and_a_grown_child_needs_no_guardian(self):
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            age_band=AgeBand.FROM_16,
            guardian=self.nora,
        )
        services.edit_volunteer(volunteer=child, name="Joe Bell", phone="2", now=NOW)
        child.refresh_from_db()
        assert (child.name, child.phone) == ("Joe Bell", "2")
        assert child.age_band == AgeBand.ADULT
        assert child.guardian is None

    def test_a_guardian_stays_an_adult(self):
        pat = make_volunteer(demonstration=self.place)
        services.add_volunteer(
            demonstration=self.place,
            guardian=pat,
            name="Joe",
            age_band="from_13",
            now=NOW,
        )
        with pytest.raises(
            ValidationError,
            match="They're a child's guardian, so they must be 18 or over",
        ):
            services.edit_volunteer(
                volunteer=pat,
                name="Pat",
                age_band="from_16",
                guardian=self.nora,
                now=NOW,
            )

    def test_an_organiser_cannot_be_made_a_child(self):
        pat = make_organiser(demonstration=self.place)
        with pytest.raises(ValidationError, match="adult with an account"):
            services.edit_volunteer(
                volunteer=pat,
                name="Pat",
                age_band="from_16",
                guardian=self.nora,
                now=NOW,
            )

    def test_a_new_calendar_address_replaces_the_old(self):
        old = self.nora.calendar_key
        services.renew_calendar_key(volunteer=self.nora)
        self.nora.refresh_from_db()
        assert self.nora.calendar_key != old


class RoleTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place)

    def test_the_founder_is_the_first_organiser_and_is_appointed_once(self):
        place, user = make_demonstration(), make_user()
        founder = services.appoint_founder(demonstration=place, user=user, now=NOW)
        assert founder.is_organiser
        assert founder.name == user.name
        again = services.appoint_founder(demonstration=place, user=user, now=LATER)
        assert again == founder
        assert again.organiser_since == NOW

    def test_a_volunteer_becomes_organiser_and_stops(self):
        services.make_organiser(volunteer=self.ann, now=NOW)
        self.ann.refresh_from_db()
        assert self.ann.is_organiser
        services.stop_organiser(volunteer=self.ann)
        self.ann.refresh_from_db()
        assert not self.ann.is_organiser
        assert self.ann.organiser_since is None

    def test_the_role_counts_from_when_it_was_given_last(self):
        services.make_organiser(volunteer=self.ann, now=NOW)
        services.make_organiser(volunteer=self.ann, now=LATER)
        self.ann.refresh_from_db()
        assert self.ann.organiser_since == NOW
        services.stop_organiser(volunteer=self.ann)
        services.make_organiser(volunteer=self.ann, now=LATER)
        self.ann.refresh_from_db()
        assert self.ann.organiser_since == LATER

    def test_whoever_left_meanwhile_is_made_nothing(self):
        """The page that asks was opened before they left."""
        stale = Volunteer.objects.get(pk=self.ann.pk)
        services.leave(volunteer=self.ann, now=NOW)
        with pytest.raises(
            ValidationError, match="Choose an adult who is still on the list"
        ):
            services.make_organiser(volunteer=stale, now=NOW)

    def test_whoever_was_made_the_only_organiser_meanwhile_stays(self):
        stale = Volunteer.objects.get(pk=self.ann.pk)
        services.make_organiser(volunteer=self.ann, now=NOW)
        services.stop_organiser(volunteer=self.nora)
        with pytest.raises(ValidationError, match="is the only organiser"):
            services.leave(volunteer=stale, now=NOW)

    def test_an_organiser_needs_an_account(self):
        paper = make_volunteer(demonstration=self.place, user=None)
        with pytest.raises(ValidationError, match="has no account yet"):
            services.make_organiser(volunteer=paper, now=NOW)

    def test_an_organiser_is_grown_up_and_present(self):
        young = make_volunteer(
            demonstration=self.place, age_band="from_16", guardian=self.nora
        )
        gone = make_volunteer(demonstration=self.place, left_at=NOW)
        for person in (young, gone):
            with pytest.raises(
                ValidationError, match="Choose an adult who is still on the list"
            ):
                services.make_organiser(volunteer=person, now=NOW)

    def test_the_last_organiser_stays(self):
        make_organiser()
        make_organiser(demonstration=self.place, user=make_user(is_active=False))
        make_organiser(demonstration=self.place, left_at=NOW)
        with pytest.raises(ValidationError, match="is the only organiser"):
            services.stop_organiser(volunteer=self.nora)
        with pytest.raises(ValidationError, match="is the only organiser"):
            services.leave(volunteer=self.nora, now=NOW)


class LeaveTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")
        cls.evening = make_gathering(demonstration=cls.place)

    def refuse(self, words):
        with pytest.raises(ValidationError, match=words):
            services.leave(volunteer=self.ann, now=NOW)

    def test_somebody_leaves_and_comes_back(self):
        services.leave(volunteer=self.ann, now=NOW)
        assert not self.place.volunteers.active().exists()
        services.come_back(volunteer=self.ann)
        assert self.place.volunteers.active().get() == self.ann

    def test_an_organiser_who_leaves_is_organiser_no_more(self):
        make_organiser(demonstration=self.place)
        second = make_organiser(demonstration=self.place)
        services.leave(volunteer=second, now=NOW)
        second.refresh_from_db()
        assert not second.is_organiser

    def test_a_guardian_stays_while_children_depend_on_them(self):
        for name in ("Joe", "Una"):
            services.add_volunteer(
                demonstration=self.place,
                guardian=self.ann,
                name=name,
                age_band="from_13",
                now=NOW,
            )
        self.refuse(". Choose others first")

    def test_a_place_to_come_is_given_up_first(self):
        station = make_station(gathering=self.evening)
        place = make_sign_up(station=station, volunteer=self.ann)
        self.refuse("has a place at a coming gathering")
        place.status = SignUpStatus.GIVEN_UP
        place.save(update_fields=["status"])
        assert services.leave(volunteer=self.ann, now=NOW).left_at == NOW

    def test_a_gathering_that_is_over_or_off_holds_nobody(self):
        past = make_gathering(
            demonstration=self.place,
            lead=self.ann,
            starts_at=NOW - timedelta(hours=3),
            ends_at=NOW - timedelta(hours=1),
        )
        make_sign_up(station=make_station(gathering=past), volunteer=self.ann)
        off = make_gathering(
            demonstration=self.place, status=GatheringStatus.CALLED_OFF
        )
        make_sign_up(station=make_station(gathering=off), volunteer=self.ann)
        assert services.leave(volunteer=self.ann, now=NOW).left_at == NOW

    def test_a_lead_is_replaced_first(self):
        self.evening.lead = self.ann
        self.evening.save(update_fields=["lead"])
        self.refuse("leads a coming gathering")
