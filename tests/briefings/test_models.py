from datetime import timedelta

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.briefings.models import Acknowledgement, Briefing, BriefingVersion, Hazard
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_gathering,
    make_hazard,
    make_organiser,
    make_user,
    make_volunteer,
)


class ConstraintTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()

    def refuse(self, make, **fields):
        with pytest.raises(IntegrityError), transaction.atomic():
            make(**fields)

    def test_titles_are_given_once(self):
        for make in (make_hazard, make_briefing):
            make(demonstration=self.place, title="Water")
            self.refuse(make, demonstration=self.place, title="Water")
            assert make(title="Water").pk

    def test_grades_run_from_one_to_five(self):
        for grade in ("severity", "likelihood"):
            self.refuse(make_hazard, demonstration=self.place, **{grade: 6})
        for grade in ("severity_after", "likelihood_after"):
            self.refuse(make_hazard, demonstration=self.place, **{grade: 0})

    def test_controls_do_not_worsen(self):
        self.refuse(make_hazard, demonstration=self.place, likelihood_after=4)

    def test_a_lower_severity_has_its_reason(self):
        self.refuse(make_hazard, demonstration=self.place, severity_after=4)
        reasoned = {"severity_after": 4, "severity_reason": "It is shallow."}
        assert make_hazard(demonstration=self.place, **reasoned).pk

    def test_marks_and_kinds_are_known(self):
        self.refuse(make_hazard, demonstration=self.place, mark="skull")
        hazard = make_hazard(demonstration=self.place)
        self.refuse(hazard.controls.create, kind="6_hope", text="Hope.")

    def test_versions_count_up_from_one(self):
        version = make_briefing_version()
        self.refuse(
            make_briefing_version, briefing=version.briefing, number=version.number
        )
        self.refuse(make_briefing_version, briefing=version.briefing, number=0)

    def test_one_acknowledgement_each_in_a_known_way(self):
        version, ann = make_briefing_version(), make_volunteer()
        heard = {"version": version, "volunteer": ann}
        self.refuse(make_acknowledgement, how="dreamt", **heard)
        make_acknowledgement(**heard)
        self.refuse(make_acknowledgement, **heard)


class QuerySetTests(TestCase):
    def test_only_the_newest_version_of_each_briefing_is_current(self):
        tying, pulling = make_briefing(), make_briefing()
        make_briefing_version(briefing=tying)
        newest = {
            make_briefing_version(briefing=tying),
            make_briefing_version(briefing=pulling),
        }
        assert set(BriefingVersion.objects.current()) == newest

    def test_older_acknowledgements_are_void(self):
        briefing, ann = make_briefing(), make_volunteer()
        old = make_acknowledgement(
            version=make_briefing_version(briefing=briefing), volunteer=ann
        )
        new = make_acknowledgement(
            version=make_briefing_version(briefing=briefing), volunteer=ann
        )
        assert Acknowledgement.objects.holding().get() == new
        assert Acknowledgement.objects.void().get() == old

    def test_organisers_and_leads_may_tell_a_briefing(self):
        briefing = make_briefing()
        here = {"demonstration": briefing.demonstration}
        lead = make_volunteer(**here)
        gathering = make_gathering(lead=lead, **here)
        told = {make_organiser(**here).user: True, lead.user: True}
        told |= {make_volunteer(**here).user: False, make_organiser().user: False}
        told |= {make_user(is_staff=True): True, AnonymousUser(): False}
        for user, may in told.items():
            assert Briefing.objects.told_by(user, NOW).contains(briefing) is may
        later = gathering.ends_at + timedelta(days=2)
        assert not Briefing.objects.told_by(lead.user, later).exists()

    def test_the_worst_come_first(self):
        place = make_demonstration()
        slight = make_hazard(demonstration=place, severity=2, severity_after=2)
        worst = make_hazard(demonstration=place)
        assert list(Hazard.objects.of(place).worst_first()) == [worst, slight]

    def test_rows_are_named(self):
        hazard = make_hazard(title="Water")
        version = make_briefing_version(briefing=make_briefing(title="Tying"))
        heard = make_acknowledgement(version=version, volunteer=make_volunteer())
        assert str(hazard) == "Water"
        assert str(hazard.controls.get()) == "Never work alone by the water."
        assert str(version.briefing) == "Tying"
        assert str(version) == f"{version.briefing_id} v1"
        assert str(heard) == f"{heard.volunteer_id}: {version.pk}"
