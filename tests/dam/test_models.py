"""What the database itself refuses of a dam's book."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.dam.models import Check, Dam, Reading, Ret
from tests.factories import (
    NOW,
    make_check,
    make_dam,
    make_demonstration,
    make_organiser,
    make_reading,
    make_ret,
    make_user,
    make_volunteer,
)


class DamTests(TestCase):
    def test_no_measure_is_nothing(self):
        with pytest.raises(IntegrityError):
            make_dam(depth_m=Decimal(0))

    def test_no_side_overhangs(self):
        with pytest.raises(IntegrityError):
            make_dam(bottom_length_m=Decimal(9))

    def test_a_name_is_given_once(self):
        dam = make_dam()
        with pytest.raises(IntegrityError):
            make_dam(demonstration=dam.demonstration, name=dam.name)

    def test_a_basin_has_the_dam_s_measures(self):
        basin = make_dam().basin
        assert (basin.top_length, basin.bottom_width, basin.depth) == (8, 2, 1.2)


class RetTests(TestCase):
    def test_one_ret_at_a_time(self):
        ret = make_ret()
        with pytest.raises(IntegrityError):
            make_ret(dam=ret.dam)

    def test_begins_in_clean_water(self):
        """Nobody fills a dam whose water had flax in it, whoever writes the row."""
        spent = make_ret(lifted_at=NOW)
        with pytest.raises(IntegrityError), transaction.atomic():
            make_ret(dam=spent.dam)
        gone = {"water_went": "let_go", "water_leave": "Agency", "water_went_at": NOW}
        Ret.objects.filter(pk=spent.pk).update(**gone)
        with pytest.raises(IntegrityError), transaction.atomic():
            make_ret(dam=spent.dam)
        Ret.objects.filter(pk=spent.pk).update(clean_at=NOW)
        assert make_ret(dam=spent.dam).pk

    def test_water_goes_with_leave_and_after_the_lifting(self):
        whole = {"water_went": "spread", "water_leave": "Agency", "water_went_at": NOW}
        lifted = NOW - timedelta(hours=1)
        wrong = [
            {"lifted_at": lifted} | whole | {"water_leave": ""},
            {"lifted_at": lifted} | whole | {"water_went_at": None},
            {"lifted_at": lifted} | whole | {"water_went": "drunk"},
            {"lifted_at": NOW + timedelta(hours=1)} | whole,
            whole,
            {"lifted_at": lifted, "clean_at": NOW},
            {"lifted_at": lifted, "clean_at": lifted} | whole,
        ]
        for fields in wrong:
            with pytest.raises(IntegrityError), transaction.atomic():
                make_ret(**fields)
        assert make_ret(lifted_at=lifted, clean_at=NOW, **whole).pk

    def test_lifted_after_it_began(self):
        with pytest.raises(IntegrityError):
            make_ret(lifted_at=NOW - timedelta(days=5))

    def test_holds_at_least_one_beet(self):
        with pytest.raises(IntegrityError):
            make_ret(beets=0)

    def test_dry_weight_is_that_of_all_beets(self):
        assert make_ret(beets=150, beet_dry_kg=Decimal("2.5")).dry_kg == 375.0


class ReadingTests(TestCase):
    def test_one_reading_a_moment(self):
        reading = make_reading()
        with pytest.raises(IntegrityError):
            make_reading(ret=reading.ret, at=reading.at)

    def test_temperature_is_possible(self):
        with pytest.raises(IntegrityError):
            make_reading(temp_c=Decimal("60.1"))

    def test_source_is_known(self):
        with pytest.raises(IntegrityError):
            make_reading(source="guess")


class CheckTests(TestCase):
    def test_finding_is_known(self):
        with pytest.raises(IntegrityError):
            make_check(finding="done")

    def test_one_is_struck_for_a_reason_and_only_a_struck_one_has_any(self):
        wrong = [
            {"struck_at": NOW},
            {"struck_at": NOW, "struck_why": "disliked"},
            {"struck_why": "wrong"},
        ]
        for fields in wrong:
            with pytest.raises(IntegrityError), transaction.atomic():
                make_check(**fields)
        assert make_check(struck_at=NOW, struck_why="wrong").pk

    def change(self, check, **fields):
        with transaction.atomic():
            return Check.objects.filter(pk=check.pk).update(**fields)

    def test_nothing_of_a_line_is_changed_but_that_it_is_struck(self):
        check = make_check(note="Out of the middle", tester="JM")
        changes = [
            {"ret": make_ret()},
            {"at": NOW - timedelta(hours=1)},
            {"finding": "free"},
            {"stems": 5},
            {"place": "butt"},
            {"tester": ""},
            {"note": "Out of the edge"},
            {"entered_by": make_user()},
        ]
        struck = {"struck_at": NOW, "struck_why": "wrong"}
        for fields in changes:
            for more in ({}, struck):
                with pytest.raises(IntegrityError, match="never changed"):
                    self.change(check, **fields | more)
        assert Check.objects.standing().get() == check
        assert self.change(check, **struck) == 1
        assert not Check.objects.standing().exists()

    def test_one_that_was_struck_stays_struck_as_it_was(self):
        check = make_check(struck_at=NOW, struck_why="wrong")
        changes = [
            {"struck_at": None, "struck_why": ""},
            {"struck_at": NOW + timedelta(hours=1)},
            {"struck_why": "elsewhere"},
        ]
        for fields in changes:
            with pytest.raises(IntegrityError, match="stays struck"):
                self.change(check, **fields)
        assert self.change(check, struck_at=NOW, struck_why="wrong") == 1


class DoorTests(TestCase):
    """Rows are seen by the people of their demonstration, and by nobody else."""

    @classmethod
    def setUpTestData(cls):
        cls.reading = make_reading()
        cls.check_made = make_check(ret=cls.reading.ret)
        cls.home = cls.reading.ret.dam.demonstration

    def seen_by(self, user, way="visible_to"):
        return [
            getattr(model.objects, way)(user).count()
            for model in (Dam, Ret, Reading, Check)
        ]

    def test_a_visitor_sees_none(self):
        assert self.seen_by(AnonymousUser()) == [0, 0, 0, 0]

    def test_a_volunteer_sees_their_own_and_manages_none(self):
        user = make_volunteer(demonstration=self.home).user
        assert self.seen_by(user) == [1, 1, 1, 1]
        assert self.seen_by(user, "managed_by") == [0, 0, 0, 0]

    def test_an_organiser_manages_their_own(self):
        user = make_organiser(demonstration=self.home).user
        assert self.seen_by(user, "managed_by") == [1, 1, 1, 1]

    def test_a_stranger_organiser_sees_none(self):
        user = make_organiser(demonstration=make_demonstration()).user
        assert self.seen_by(user) == [0, 0, 0, 0]
