"""Stones put on a ret and taken off it: the book, the advice and the pile."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.calc.dam import StoneAct
from heritage.common import clock
from heritage.dam.models import Check, Finding, Ret, StoneMove, StoneWay
from heritage.dam.stones.selectors import stones_page
from heritage.dam.stones.services import move_stones
from tests.factories import (
    NOW,
    make_check,
    make_dam,
    make_demonstration,
    make_reading,
    make_ret,
    make_stone,
    make_stone_move,
    make_volunteer,
)

HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Stones(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.user = make_volunteer(demonstration=cls.demonstration).user
        cls.dam = make_dam(demonstration=cls.demonstration)
        cls.ret = make_ret(dam=cls.dam)
        cls.light = make_stone(
            demonstration=cls.demonstration, mark="A", weight_kg=6, how_many=10
        )
        cls.heavy = make_stone(
            demonstration=cls.demonstration, mark="B", weight_kg=32, how_many=2
        )

    def move(self, how_many, way=StoneWay.ON, stone="light", **fields):
        chosen = getattr(self, stone) if stone else None
        values = {"ret": self.ret, "at": NOW, "by": self.user, "now": NOW} | fields
        return move_stones(way=way, stone=chosen, how_many=how_many, **values)

    def page(self):
        ret = Ret.objects.select_related("dam__demonstration").get(pk=self.ret.pk)
        return stones_page(ret, NOW)


class MoveTests(Stones):
    def test_what_lies_is_what_was_put_on_less_what_was_taken_off(self):
        self.move(4)
        self.move(1, StoneWay.OFF)
        self.move(2, stone="heavy")
        self.move(3, stone=None)
        lying = self.page().lying
        usual = 3 * self.dam.stone_kg
        assert (lying.stones, lying.kg) == (8, 18 + 64 + usual)

    def test_no_more_is_taken_off_than_lies_there(self):
        self.move(4)
        with pytest.raises(ValidationError, match="By the book 4 of them lie"):
            self.move(5, StoneWay.OFF)
        with pytest.raises(ValidationError, match="By the book 0 of them"):
            self.move(1, StoneWay.OFF, stone=None)
        assert StoneMove.objects.count() == 1

    def test_not_before_the_ret_nor_later_than_now_nor_of_elsewhere(self):
        with pytest.raises(ValidationError, match="before the flax went"):
            self.move(1, at=self.ret.began_at - HOUR)
        with pytest.raises(ValidationError, match="in the future"):
            self.move(1, at=NOW + HOUR)
        self.light = make_stone()
        with pytest.raises(ValidationError, match="Choose a stone from the list"):
            self.move(1)

    def test_what_a_stone_weighed_then_stays(self):
        self.move(4)
        self.light.weight_kg = 9
        self.light.save()
        assert self.page().lying.kg == 24


class PileTests(Stones):
    def test_the_pile_is_told_by_size_and_who_lifts(self):
        self.move(4)
        other = make_ret(dam=make_dam(demonstration=self.demonstration))
        self.move(3, ret=other)
        heavy, light = self.page().pile
        assert (light.on, light.left, light.who_lifts[0]) == (4, 3, "one")
        assert (heavy.on, heavy.left) == (0, 2)
        assert heavy.who_lifts[0].startswith("nobody")
        self.move(1, stone=None)
        assert self.page().pile[-1].left is None

    def test_more_out_than_the_list_has_is_shown(self):
        self.move(3, stone="heavy")
        assert self.page().pile[0].left == -1

    def test_the_page_costs_the_same_with_more_moves(self):
        costs = []
        for _more in range(2):
            make_stone_move(ret=self.ret, stone=self.light)
            ret = Ret.objects.select_related("dam__demonstration").get(pk=self.ret.pk)
            with self.assertNumQueries(8):
                costs.append(len(stones_page(ret, NOW).moves))
        assert costs == [1, 2]


class AdviceTests(Stones):
    def see(self, finding, hours=1):
        return make_check(ret=self.ret, finding=finding, at=NOW - hours * HOUR)

    def test_without_a_sign_nothing_is_said(self):
        page = self.page()
        assert page.act is None
        assert "Add a water temperature" in page.advice

    def test_by_the_figures_some_are_put_on_until_they_are_enough(self):
        make_reading(ret=self.ret, at=NOW - HOUR)
        before = self.page()
        assert before.act is StoneAct.PUT_ON
        stones = before.plan.likely
        assert f"about {stones}" in before.advice
        self.move(stones, stone=None)
        assert self.page().act is StoneAct.LEAVE
        self.move(before.plan.high, stone=None)
        assert self.page().act is StoneAct.MORE_THAN_ENOUGH

    def test_flax_that_rises_asks_for_stone_until_some_is_put_on(self):
        self.move(300, stone=None, at=NOW - 3 * HOUR)
        self.see(Finding.RISEN)
        assert self.page().act is StoneAct.RISEN
        self.move(1, at=NOW)
        assert self.page().act is StoneAct.MORE_THAN_ENOUGH

    def test_once_it_sinks_they_come_off(self):
        self.see(Finding.BUBBLES, 3)
        self.see(Finding.SUNK)
        assert self.page().act is StoneAct.NONE
        self.move(4)
        page = self.page()
        assert page.act is StoneAct.TAKE_OFF
        assert "The tests say it has stopped working" in page.advice
        Check.objects.filter(finding=Finding.SUNK).update(
            struck_at=NOW, struck_why="wrong"
        )
        assert self.page().act is not StoneAct.TAKE_OFF

    def test_what_was_not_seen_rising_asks_for_nothing(self):
        self.move(300, stone=None, at=NOW - 3 * HOUR)
        self.see(Finding.RISEN)
        Check.objects.update(struck_at=NOW, struck_why="elsewhere")
        assert self.page().act is not StoneAct.RISEN


class PageTests(Stones):
    def address(self):
        return reverse("dam:stones", args=[self.demonstration.slug, self.ret.pk])

    def test_stones_are_written_down_and_the_cautions_stand(self):
        self.client.force_login(self.user)
        form = self.client.get(self.address()).context["form"]
        assert form["stone"].value() == self.light.pk  # the nearest to the dam's usual
        said = {"way": "on", "how_many": "4", "stone": self.light.pk}
        answer = self.client.post(
            self.address(), said | {"at": "2026-08-12T18:30"}, follow=True
        )
        words = answer.content.decode()
        assert "4 put on, 24.0 kg." in words
        assert "No figure is given for lifting in the dam" in words
        assert "nobody: slide, roll or lever it" in words
        assert StoneMove.objects.get().each_kg == Decimal(6)

    def test_a_refusal_stands_by_its_field(self):
        self.client.force_login(self.user)
        said = {"way": "off", "how_many": "4", "at": "2026-08-12T18:30"}
        answer = self.client.post(self.address(), said | {"stone": self.light.pk})
        assert "By the book 0" in answer.context["form"].errors["how_many"][0]
        assert 'value="4"' in answer.content.decode()

    def test_without_a_list_they_are_of_the_dam_s_usual_weight(self):
        self.light.delete()
        self.heavy.delete()
        self.client.force_login(self.user)
        assert "usual." in self.client.get(self.address()).content.decode()
        said = {"way": "on", "how_many": "4", "at": "2026-08-12T18:30"}
        self.client.post(self.address(), said)
        assert StoneMove.objects.get().each_kg == self.dam.stone_kg

    def test_a_lifted_ret_only_shows_its_stones(self):
        make_stone_move(ret=self.ret)
        Ret.objects.filter(pk=self.ret.pk).update(lifted_at=NOW)
        self.client.force_login(self.user)
        words = self.client.get(self.address()).content.decode()
        assert "The flax is out of the dam" in words
        assert "Stones moved" not in words
