"""Many hands at one rota: it is taken once, and nobody is told twice."""

from datetime import date

from heritage.dam.models import Treader
from heritage.dam.rota import selectors, services
from heritage.dam.treading import selectors as treading_selectors
from heritage.people.models import Letter
from tests.factories import (
    NOW,
    make_dam,
    make_demonstration,
    make_organiser,
    make_ret,
    make_rota_plan,
    make_treader,
    make_treading,
    make_volunteer,
)
from tests.rush import RushCase

HANDS = 6


class RotaRushTests(RushCase):
    def make(self):
        self.home = make_demonstration()
        self.by = make_organiser(demonstration=self.home).user
        self.ret = make_ret(dam=make_dam(demonstration=self.home))
        plan = make_rota_plan(ret=self.ret)
        self.turn = make_treading(plan=plan)
        self.people = [make_volunteer(demonstration=self.home) for _ in range(HANDS)]
        for day in (14, 15, 16):
            turn = make_treading(plan=plan, day=date(2026, 8, day))
            for who in self.people:
                make_treader(turn=turn, volunteer=who)
        self.places = selectors.work_out(
            treading_selectors.plan_of(self.ret), NOW
        ).places

    def test_a_button_pressed_by_many_takes_the_rota_once(self):
        self.together(
            lambda _: services.take_rota(
                ret=self.ret, places=self.places, by=self.by, now=NOW
            ),
            HANDS,
        )
        assert self.errors == []
        on = self.rows_of(Treader.objects.on())
        assert len(on) == len(self.places) == 9
        told = [row.volunteer_id for row in self.rows_of(Letter.objects.all())]
        assert sorted(told) == sorted({row.volunteer_id for row in on})

    def test_many_answers_at_once_are_all_kept_and_each_once(self):
        def say(number):
            services.answer(
                turn=self.turn,
                volunteer=self.people[number // 2],
                can=True,
                by=self.by,
                now=NOW,
            )

        self.together(say, HANDS)
        assert self.errors == []
        rows = self.rows_of(Treader.objects.filter(turn=self.turn))
        assert len(rows) == HANDS // 2
