"""What the database itself refuses, and who sees which rows."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.gatherings.models import (
    Call,
    Decision,
    Gathering,
    GatheringStatus,
    SignUp,
    SignUpStatus,
)
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_turnout,
    make_user,
    make_volunteer,
)


class ConstraintTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.gathering = make_gathering()
        cls.station = make_station(gathering=cls.gathering, title="Pull")

    def refused(self, name):
        return pytest.raises(IntegrityError, match=name)

    def test_a_gathering_ends_after_it_starts(self):
        with self.refused("gathering_ends_after_it_starts"):
            make_gathering(starts_at=NOW, ends_at=NOW)

    def test_a_gatherings_state_is_known(self):
        with self.refused("gathering_status_known"):
            make_gathering(status="perhaps")

    def test_a_gatherings_stage_is_known(self):
        with self.refused("gathering_stage_known"):
            make_gathering(stage="weaving-in")

    def test_nothing_moved_to_where_it_was(self):
        with self.refused("gathering_moved_from_elsewhen"), transaction.atomic():
            make_gathering(starts_at=NOW, moved_from=NOW)
        with self.refused("gathering_moved_from_elsewhere"):
            make_gathering(place="The gate", moved_from_place="The gate")

    def test_only_what_is_called_off_has_a_reason_and_a_known_one(self):
        said = {
            "gathering": self.gathering,
            "advice": "go",
            "made_at": NOW,
            "made_by": make_user(),
        }
        for wrong in (
            {"decision": "go", "why_off": "rain"},
            {"decision": "off", "why_off": "grumpy"},
        ):
            with self.refused("call_why_off_known"), transaction.atomic():
                Call.objects.create(**said, **wrong)
        assert Call.objects.create(**said, decision="off", why_off="thunder")

    def test_nothing_is_entered_afterwards_before_it_ended(self):
        with self.refused("gathering_entered_after_its_end"):
            make_gathering(starts_at=NOW, entered_at=NOW)

    def test_a_calendar_identity_is_nobody_elses(self):
        with self.refused("uid"):
            make_gathering(uid=self.gathering.uid)

    def test_a_station_has_a_name_of_its_own(self):
        with self.refused(r"station_title_once|title"):
            make_station(gathering=self.gathering, title="Pull")

    def test_a_station_has_a_place(self):
        with self.refused("station_has_a_place"):
            make_station(gathering=self.gathering, places=0)

    def test_a_stations_job_is_known(self):
        with self.refused("station_kind_known"):
            make_station(gathering=self.gathering, kind="juggle")

    def test_a_stations_age_is_known(self):
        with self.refused("station_age_known"):
            make_station(gathering=self.gathering, least_age="old")

    def test_a_volunteer_has_one_live_sign_up_and_any_number_given_up(self):
        held = make_sign_up(station=self.station)
        same = {"station": self.station, "volunteer": held.volunteer}
        make_sign_up(**same, status=SignUpStatus.GIVEN_UP)
        make_sign_up(**same, status=SignUpStatus.NOT_COME)
        with self.refused(r"sign_up_one_live_each|volunteer"):
            make_sign_up(**same, status=SignUpStatus.WAITING)

    def test_a_sign_ups_state_is_known(self):
        with self.refused("sign_up_status_known"):
            make_sign_up(station=self.station, status="maybe")

    def test_somebody_comes_once(self):
        came = make_turnout(gathering=self.gathering)
        with self.refused(r"turnout_once_each|volunteer"):
            make_turnout(gathering=self.gathering, volunteer=came.volunteer)

    def test_nobody_leaves_before_they_came(self):
        with self.refused("turnout_leaves_after_coming"):
            make_turnout(arrived_at=NOW, left_at=NOW - timedelta(minutes=1))

    def test_a_call_decides_something_known(self):
        fields = {"gathering": self.gathering, "made_at": NOW, "made_by": make_user()}
        for words in ({"decision": "so"}, {"advice": "so"}):
            known = {"decision": Decision.GO, "advice": Decision.GO}
            with self.refused("call_decision_known"), transaction.atomic():
                Call.objects.create(**(fields | known | words))

    def test_a_calls_key_is_used_once(self):
        fields = {"gathering": self.gathering, "made_at": NOW, "made_by": make_user()}
        known = {"decision": Decision.GO, "advice": Decision.GO}
        first = Call.objects.create(**fields, **known)
        with self.refused("key"):
            Call.objects.create(**fields, **known, key=first.key)


class SeenTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.open = make_demonstration()
        cls.closed = make_demonstration(is_public=False)
        cls.here, cls.hidden = (
            make_gathering(demonstration=where) for where in (cls.open, cls.closed)
        )
        cls.draft = make_gathering(demonstration=cls.open, status=GatheringStatus.DRAFT)

    def seen_by(self, user):
        return set(Gathering.objects.visible_to(user))

    def test_visitors_see_what_is_posted_in_public(self):
        for user in (AnonymousUser(), make_user()):
            assert self.seen_by(user) == {self.here}

    def test_a_volunteer_sees_their_closed_demonstration_too(self):
        volunteer = make_volunteer(demonstration=self.closed)
        assert self.seen_by(volunteer.user) == {self.here, self.hidden}

    def test_drafts_are_for_their_organisers(self):
        organiser = make_organiser(demonstration=self.open)
        stranger = make_organiser()
        assert self.seen_by(organiser.user) == {self.here, self.draft}
        assert self.seen_by(stranger.user) == {self.here}

    def test_a_lead_leads_one_gathering_and_an_organiser_all(self):
        lead = make_volunteer(demonstration=self.open)
        self.here.lead = lead
        self.here.save()
        organiser = make_organiser(demonstration=self.open)
        led = Gathering.objects.led_by
        assert set(led(lead.user)) == {self.here}
        assert set(led(organiser.user)) == {self.here, self.draft}
        assert not led(AnonymousUser()).exists()
        lead.left_at = NOW
        lead.save()
        assert not led(lead.user).exists()

    def test_the_public_sees_nobodys_sign_up(self):
        make_sign_up(station=make_station(gathering=self.here))
        assert not SignUp.objects.visible_to(AnonymousUser()).exists()
