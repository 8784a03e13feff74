"""The rules of the treading rota that the database itself keeps."""

from datetime import date, time, timedelta
from importlib import import_module
from types import SimpleNamespace

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import TestCase

from heritage.common.triggers import KeepRules, LetGoOfRules
from heritage.dam.models import Half, Treader, TreaderState, Treading
from tests.factories import (
    NOW,
    make_rota_plan,
    make_treader,
    make_treading,
    make_user,
    make_volunteer,
)


def refused(rule, make, **fields):
    """Say that the database refuses a row, and by which rule."""
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        make(**fields)


class PlanRules(TestCase):
    def test_one_plan_for_a_ret(self):
        plan = make_rota_plan()
        refused("ret_id", make_rota_plan, ret=plan.ret)

    def test_the_last_day_is_not_before_the_first(self):
        rule = "rotaplan_ends_after_it_begins"
        refused(rule, make_rota_plan, last_day=date(2026, 8, 11))

    def test_the_morning_comes_first(self):
        rule = "rotaplan_morning_before_evening"
        refused(rule, make_rota_plan, morning=time(18), evening=time(18))

    def test_nobody_treads_alone(self):
        refused("rotaplan_never_alone", make_rota_plan, people=1)

    def test_somebody_may_tread_at_all(self):
        refused("rotaplan_rest_possible", make_rota_plan, most_turns=0)
        refused("rotaplan_rest_possible", make_rota_plan, in_days=0)


class TurnRules(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.turn = make_treading()

    def test_a_half_day_has_one_turn(self):
        refused("plan_id|treading_once", make_treading, plan=self.turn.plan)

    def test_a_turn_is_of_the_morning_or_the_evening(self):
        rule = "treading_half_known"
        refused(rule, make_treading, plan=self.turn.plan, half="noon")

    def test_what_is_written_is_written_whole_and_afterwards(self):
        rule, plan = "treading_written_whole", self.turn.plan
        turn = {"plan": plan, "half": Half.MORNING}
        refused(rule, make_treading, trodden_at=NOW, **turn)
        refused(rule, make_treading, recorded_at=NOW, **turn)
        refused(rule, make_treading, recorded_by=make_user(), **turn)
        early = {"trodden_at": NOW, "recorded_at": NOW - timedelta(minutes=1)}
        refused(rule, make_treading, recorded_by=make_user(), **early, **turn)


class NeverAloneRules(TestCase):
    """Kept by the database, whoever writes the rows."""

    RULE = "treading_never_alone"

    @classmethod
    def setUpTestData(cls):
        cls.turn = make_treading()
        cls.ann = make_treader(turn=cls.turn, trod=True)
        cls.ben = make_treader(turn=cls.turn)
        cls.wat = make_treader(turn=cls.turn, state="on", watches=True)
        cls.written = {
            "trodden_at": NOW,
            "recorded_at": NOW,
            "recorded_by": make_user(),
        }

    def write(self, **fields):
        rows = Treading.objects.filter(pk=self.turn.pk)
        return rows.update(**self.written, **fields)

    def both(self):
        Treader.objects.filter(pk=self.ben.pk).update(trod=True)

    def test_one_is_not_written_down_as_a_treading(self):
        refused(self.RULE, self.write)
        self.both()
        assert self.write() == 1

    def test_two_that_nobody_watched_are_not_written_down_as_a_treading(self):
        self.both()
        row = Treader.objects.filter(pk=self.wat.pk)
        row.update(watches=False)
        refused(self.RULE, self.write)
        # One of the two is no watcher either; three, of whom one watches, are enough.
        Treader.objects.filter(pk=self.ben.pk).update(watches=True)
        refused(self.RULE, self.write)
        row.update(trod=True)
        assert self.write() == 1
        ben = Treader.objects.filter(pk=self.ben.pk)
        refused(self.RULE, ben.update, watches=False)

    def test_one_alone_is_written_down_with_the_reason(self):
        assert self.write(why_alone="Ben fell ill on the way.") == 1
        refused(self.RULE, self.write, why_alone="")

    def test_nobody_is_made_alone_afterwards(self):
        self.both()
        self.write()
        row = Treader.objects.filter(pk=self.ben.pk)
        refused(self.RULE, row.update, trod=False)
        refused(self.RULE, row.update, trod=None)
        other = make_treading(plan=self.turn.plan, half="morning")
        refused(self.RULE, row.update, turn=other)

    def test_no_turn_is_made_trodden(self):
        turn = {"plan": self.turn.plan, "half": "morning"}
        refused(self.RULE, make_treading, **turn, **self.written)

    def test_rows_may_be_forgotten_when_their_time_is_over(self):
        self.both()
        self.write()
        Treader.objects.filter(turn=self.turn).delete()
        assert Treading.objects.get().trodden_at == NOW

    def test_the_rule_goes_and_comes_back_with_its_migration(self):
        rules = import_module("heritage.dam.migrations.0001_initial").RULES
        cursor = self.enterContext(connection.cursor())
        editor = SimpleNamespace(
            connection=connection, execute=lambda words, params: cursor.execute(words)
        )
        LetGoOfRules(rules).database_forwards("dam", editor, None, None)
        assert self.write() == 1
        blank = dict.fromkeys(self.written)
        Treading.objects.filter(pk=self.turn.pk).update(**blank)
        LetGoOfRules(rules).database_backwards("dam", editor, None, None)
        refused(self.RULE, self.write)
        KeepRules(rules).database_backwards("dam", editor, None, None)
        assert self.write() == 1


class TreaderRules(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.row = make_treader()

    def test_a_person_answers_once_for_a_turn(self):
        same = {"turn": self.row.turn, "volunteer": self.row.volunteer}
        refused("volunteer_id|treader_once", make_treader, **same)

    def test_the_state_is_known(self):
        who = make_volunteer(demonstration=self.row.volunteer.demonstration)
        refused(
            "treader_state_known",
            make_treader,
            turn=self.row.turn,
            volunteer=who,
            state="maybe",
        )

    def test_nobody_is_put_on_who_cannot_come(self):
        who = make_volunteer(demonstration=self.row.volunteer.demonstration)
        refused(
            "treader_cannot_is_their_own_word",
            make_treader,
            turn=self.row.turn,
            volunteer=who,
            state=TreaderState.CANNOT,
            by_hand=True,
        )

    def test_a_turn_has_one_watcher_who_is_on_it_or_came(self):
        turn = {"turn": self.row.turn, "watches": True}
        refused("treader_watcher_is_on_or_came", make_treader, **turn)
        make_treader(**turn, state=TreaderState.ON)
        refused("turn_id|one_watcher", make_treader, **turn, trod=False)

    def test_they_have_names(self):
        turn = self.row.turn
        assert str(turn) == "2026-08-13, evening"
        assert str(turn.plan).endswith("2026-08-12 to 2026-08-20")
        assert str(self.row).endswith("can")
        assert turn.get_absolute_url().endswith(
            f"/dam/rets/{turn.plan.ret_id}/treading/"
        )
