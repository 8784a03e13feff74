"""What a guardian does for a child: every path works for them and for nobody else."""

import uuid
from unittest import mock

from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings.models import SignUpStatus
from heritage.people.models import HealthNote
from tests.factories import (
    NOW,
    make_briefing,
    make_briefing_version,
    make_competence,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)


class GuardianTests(TestCase):
    """Ann answers for Joe; Bob helps, and Eve belongs elsewhere."""

    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        make_organiser(**here)
        cls.ann = make_volunteer(name="Ann Rush", **here)
        cls.bob = make_volunteer(name="Bob Carr", **here)
        cls.joe = make_volunteer(
            name="Joe Rush", user=None, guardian=cls.ann, age_band="from_13", **here
        )
        cls.eve = make_volunteer()
        cls.gathering = make_gathering(**here)
        cls.station = make_station(gathering=cls.gathering)
        cls.competence = make_competence(**here)

    def setUp(self):
        self.at(NOW)

    def at(self, moment):
        patched = mock.patch.object(clock, "now", return_value=moment)
        patched.start()
        self.addCleanup(patched.stop)

    def send(self, by, view, pk, **data):
        self.client.force_login(by.user)
        return self.client.post(reverse(view, args=[self.place.slug, pk]), data)

    def only_the_guardian(self, view, pk, done, **data):
        """Send what a page sends: it does nothing for others, and works for Ann."""
        for other in (self.bob, self.eve):
            self.send(other, view, pk, **data)
            assert not done(), f"{other} was let through"
        self.send(self.ann, view, pk, **data)
        assert done()

    def test_a_place_is_asked_for_and_given_up(self):
        sign_up = {"volunteer": self.joe.pk, "station": self.station.pk}
        live = self.joe.sign_ups.live
        pk = self.gathering.pk
        self.only_the_guardian(
            "gatherings:sign_up", pk, lambda: live().exists(), **sign_up
        )
        place = live().get()
        self.only_the_guardian(
            "gatherings:give_up",
            pk,
            lambda: not live().exists(),
            sign_up=place.pk,
            sure="1",
        )
        place.refresh_from_db()
        assert place.status == SignUpStatus.GIVEN_UP

    def test_a_briefing_is_heard(self):
        briefing = make_briefing(demonstration=self.place)
        version = make_briefing_version(briefing=briefing)
        self.only_the_guardian(
            "briefings:acknowledge",
            version.pk,
            lambda: self.joe.acknowledgements.exists(),
            who=self.joe.pk,
        )

    def test_what_was_pulled_is_written_down(self):
        self.at(self.gathering.starts_at)
        make_sign_up(station=self.station, volunteer=self.joe)
        self.only_the_guardian(
            "tally:mine",
            self.gathering.pk,
            lambda: self.joe.own_logs.exists(),
            key=str(uuid.uuid4()),
            volunteer=self.joe.pk,
            way="hand",
            beets="3",
        )

    def test_a_note_on_health_is_kept_and_deleted(self):
        def kept():
            return HealthNote.objects.about([self.joe.pk]).exists()

        self.only_the_guardian(
            "people:note",
            self.joe.pk,
            kept,
            text="Bees.",
            number="1",
            agreed="on",
        )
        self.only_the_guardian("people:take_back_note", self.joe.pk, lambda: not kept())

    def test_photographs_are_agreed_to_and_that_is_taken_back(self):
        standing = self.joe.agreements.standing
        self.only_the_guardian(
            "people:photographs",
            self.joe.pk,
            lambda: standing().exists(),
            number="1",
            agreed="on",
        )
        self.only_the_guardian(
            "privacy:take_back", standing().get().pk, lambda: not standing().exists()
        )

    def test_what_a_child_can_do_is_said_and_taken_back(self):
        said, about = self.joe.skills, {"competence": self.competence.pk}
        self.only_the_guardian("people:can_do", self.joe.pk, said.exists, **about)
        self.only_the_guardian(
            "people:can_do",
            self.joe.pk,
            lambda: not said.exists(),
            take_back="1",
            **about,
        )

    def test_details_are_put_right(self):
        def corrected():
            self.joe.refresh_from_db()
            return self.joe.name == "Joseph Rush"

        self.only_the_guardian(
            "people:edit_child",
            self.joe.pk,
            corrected,
            name="Joseph Rush",
            age_band="from_13",
        )
