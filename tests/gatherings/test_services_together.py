"""A household signed up at once, and wishes for other stations."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.gatherings.places.services import Ask
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_briefing,
    make_demonstration,
    make_gathering,
    make_sign_up,
    make_station,
    make_volunteer,
)


class HouseholdCase(TestCase):
    """Ann answers for Torin, 13 to 15, and for Una, under 13."""

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.gathering = make_gathering(demonstration=cls.demonstration)
        here = {"gathering": cls.gathering}
        cls.pull = make_station(title="Pull", places=2, **here)
        cls.tie = make_station(title="Tie", kind="tie", least_age="under_13", **here)
        cls.drive = make_station(title="Drive", kind="drive", least_age="adult", **here)
        cls.ann = cls.volunteer(name="Ann Rush")
        child = {"user": None, "guardian": cls.ann}
        cls.torin = cls.volunteer(name="Torin Rush", age_band=AgeBand.FROM_13, **child)
        cls.una = cls.volunteer(name="Una Rush", age_band=AgeBand.UNDER_13, **child)

    @classmethod
    def volunteer(cls, **fields):
        return make_volunteer(demonstration=cls.demonstration, **fields)


class TogetherTests(HouseholdCase):
    def sign_up(self, *asks, **ways):
        rows = [Ask(who, where, *also) for who, where, *also in asks]
        ways = {"by": self.ann.user, "now": NOW} | ways
        return services.sign_up_together(gathering=self.gathering, asks=rows, **ways)

    def test_each_has_a_verdict_of_their_own(self):
        make_sign_up(station=self.pull)
        found = self.sign_up(
            (self.ann, self.pull), (self.torin, self.pull), (self.una, self.drive)
        )
        states = [one.sign_up and one.sign_up.status for one in found]
        assert states == [SignUpStatus.HELD, SignUpStatus.WAITING, None]
        assert "18" in found[2].refusal or "adult" in found[2].refusal.lower()

    def test_wishes_are_kept_with_the_place(self):
        (found,) = self.sign_up((self.ann, self.pull, (self.tie, self.pull)))
        assert list(found.sign_up.also.all()) == [self.tie]

    def test_only_together_all_have_a_place(self):
        found = self.sign_up(
            (self.ann, self.pull), (self.torin, self.pull), only_together=True
        )
        assert {one.sign_up.status for one in found} == {SignUpStatus.HELD}

    def test_only_together_without_room_nobody_is_signed_up_nor_told(self):
        make_sign_up(station=self.pull)
        with (
            self.captureOnCommitCallbacks(execute=True) as left,
            pytest.raises(ValidationError, match="no place for Torin Rush"),
        ):
            self.sign_up(
                (self.ann, self.pull), (self.torin, self.pull), only_together=True
            )
        assert SignUp.objects.by(self.ann).count() == 0
        assert (left, mail.outbox) == ([], [])

    def test_only_together_one_refusal_keeps_all_away_and_says_why(self):
        with pytest.raises(ValidationError, match="nobody has been signed up"):
            self.sign_up(
                (self.ann, self.pull), (self.una, self.drive), only_together=True
            )
        assert not SignUp.objects.exists()

    def test_who_is_there_already_is_said_to_be(self):
        make_sign_up(station=self.pull, volunteer=self.torin)
        (found,) = self.sign_up((self.torin, self.tie))
        assert "signed up already" in found.refusal

    def test_somebody_elses_children_are_refused(self):
        stranger = self.volunteer()
        (found,) = self.sign_up((self.torin, self.tie), by=stranger.user)
        assert "Only the lead" in found.refusal

    def test_a_station_of_another_evening_is_refused(self):
        (found,) = self.sign_up((self.ann, make_station()))
        assert "another gathering" in found.refusal

    def test_nobody_named_is_asked_for(self):
        with pytest.raises(ValidationError, match="at least one of you"):
            self.sign_up()

    def test_nobody_is_named_twice(self):
        with pytest.raises(ValidationError, match="one station for each"):
            self.sign_up((self.ann, self.pull), (self.ann, self.tie))

    def test_once_it_has_begun_nothing_is_taken(self):
        with pytest.raises(ValidationError, match="has begun"):
            self.sign_up((self.ann, self.pull), now=self.gathering.starts_at)


class WishTests(HouseholdCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.entry = make_sign_up(station=cls.pull, volunteer=cls.torin)

    def wish(self, *stations, by=None, now=NOW):
        return services.wish(
            sign_up=self.entry, also=stations, by=(by or self.ann).user, now=now
        )

    def wished(self):
        return [station.title for station in self.entry.also.order_by("pk")]

    def test_they_take_the_place_of_what_was_said_before(self):
        self.wish(self.tie)
        assert self.wished() == ["Tie"]
        self.wish()
        assert self.wished() == []

    def test_where_they_are_is_no_further_wish(self):
        self.wish(self.pull, self.tie)
        assert self.wished() == ["Tie"]

    def test_too_young_is_refused_by_field(self):
        with pytest.raises(ValidationError) as caught:
            self.wish(self.tie, self.drive)
        assert list(caught.value.message_dict) == ["also"]
        assert self.wished() == []

    def test_a_briefing_yet_to_hear_is_no_hindrance(self):
        self.tie.briefing = make_briefing(demonstration=self.demonstration)
        self.tie.save()
        self.wish(self.tie)
        assert self.wished() == ["Tie"]

    def test_another_evenings_station_is_refused(self):
        with pytest.raises(ValidationError, match="another gathering"):
            self.wish(make_station())

    def test_a_stranger_wishes_nothing_for_them(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.wish(self.tie, by=self.volunteer())

    def test_who_gave_up_asks_for_a_place_first(self):
        services.give_up(sign_up=self.entry, by=self.ann.user, now=NOW)
        with pytest.raises(ValidationError, match="That place was given up"):
            self.wish(self.tie)

    def test_begun_is_begun(self):
        with pytest.raises(ValidationError, match="has begun"):
            self.wish(self.tie, now=self.gathering.starts_at + timedelta(minutes=1))
