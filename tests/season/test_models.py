"""What the database itself refuses about a demonstration."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.season.models import Demonstration, StageRecord
from tests.factories import (
    make_demonstration,
    make_organiser,
    make_plot,
    make_user,
    make_volunteer,
)


def refused(make, **fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        make(**fields)


class ConstraintTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()

    def test_a_demonstration_is_on_the_earth(self):
        refused(make_demonstration, latitude=Decimal(95))
        refused(make_demonstration, longitude=Decimal(-181))

    def test_a_stook_has_beets(self):
        refused(make_demonstration, beets_per_stook=0)

    def test_a_skyline_is_possible(self):
        refused(make_demonstration, skyline_deg=Decimal(46))

    def test_choices_are_known(self):
        refused(make_demonstration, jurisdiction="moon")
        refused(make_demonstration, part_stooks="burn")

    def test_a_plots_name_is_its_own(self):
        make_plot(demonstration=self.demonstration, name="A")
        refused(make_plot, demonstration=self.demonstration, name="A")

    def test_stages_run_forward(self):
        day = date(2026, 8, 3)
        for fields in (
            {"planned_from": day, "planned_to": date(2026, 8, 2)},
            {"started_on": day, "finished_on": date(2026, 8, 2)},
            {"finished_on": day},
            {"stage": "juggling"},
        ):
            refused(
                StageRecord.objects.create,
                **{"demonstration": self.demonstration, "stage": "pulling"} | fields,
            )


class VisibleTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.public = make_demonstration()
        cls.private = make_demonstration(is_public=False)

    def seen_by(self, user):
        return set(Demonstration.objects.visible_to(user))

    def test_a_stranger_sees_the_public_ones(self):
        assert self.seen_by(make_user()) == {self.public}

    def test_a_volunteer_sees_their_own_too(self):
        user = make_volunteer(demonstration=self.private).user
        assert self.seen_by(user) == {self.public, self.private}

    def test_a_keeper_sees_them_all(self):
        assert self.seen_by(make_user(is_staff=True)) == {self.public, self.private}

    def test_only_an_organiser_manages(self):
        organiser = make_organiser(demonstration=self.private).user
        volunteer = make_volunteer(demonstration=self.private).user
        assert set(Demonstration.objects.managed_by(organiser)) == {self.private}
        assert not Demonstration.objects.managed_by(volunteer).exists()
