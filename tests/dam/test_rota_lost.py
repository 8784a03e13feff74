"""A turn that loses somebody: who is told, once, and what becomes of their place."""

from datetime import timedelta

import pytest

from heritage.dam import services as dam_services
from heritage.dam.models import Half, Treader, TreaderState
from heritage.dam.rota import mail
from heritage.dam.rota import services as rota_services
from heritage.dam.treading import selectors, services
from heritage.people.models import Letter, LetterState
from heritage.people.services import leave
from heritage.privacy.erasing.services import ask_erasure, carry_out_erasure
from tests.dam.test_rota_services import Rotas
from tests.factories import NOW, make_organiser, make_volunteer

SUBJECT = "A gap in the treading: Thursday 13 August, evening"


class LostCase(Rotas):
    """Three on each turn: Ann watches on the 13th, Ben on the 14th."""

    def setUp(self):
        self.plan(most_turns=2)
        for day, three in {
            13: (self.ann, self.ben, self.wat),
            14: (self.ben, self.cat, self.wat),
        }.items():
            for who in three:
                self.says(who, day)
        self.take()
        Letter.objects.all().delete()

    def go_round(self, now=NOW):
        """Do what the timer does."""
        with self.captureOnCommitCallbacks(execute=True):
            return services.let_go_of_gone(now)

    def text_to(self, who):
        return Letter.objects.get(volunteer=who).text


@pytest.mark.any_database
class LeftTests(LostCase):
    def setUp(self):
        super().setUp()
        leave(volunteer=self.ben, now=NOW)

    def test_each_left_on_a_turn_and_each_organiser_has_one_letter(self):
        second = make_organiser(demonstration=self.home)
        assert self.go_round() == 2
        for organiser in (self.boss, second):
            assert self.subjects(organiser) == ["A gap in the treading: Low dam"]
            text = self.text_to(organiser)
            said = "- Thursday 13 August, evening, 18:00: now 2 of 3. Missing: "
            assert said + "1 more to tread" in text
            said = "- Friday 14 August, evening, 18:00: now 2 of 3. Missing: "
            assert said + "someone to watch from the bank" in text
        assert self.subjects(self.ann) == [SUBJECT]
        assert "Thursday 13 August, evening, 18:00: now 2 of 3" in self.text_to(
            self.ann
        )
        assert "Friday" not in self.text_to(self.ann)
        words = "Don't go into the water unless"
        assert words in self.text_to(self.ann)
        assert "Friday 14 August" in self.text_to(self.cat)
        assert self.subjects(self.ben) == self.subjects(self.dan) == []

    def test_nobody_is_named_who_is_off_the_list(self):
        self.go_round()
        for row in Letter.objects.all():
            assert "Ben" not in row.text
            assert "no longer on the list" in row.text

    def test_the_next_rounds_tell_nobody_again(self):
        self.go_round()
        told = Letter.objects.count()
        assert self.go_round(NOW + timedelta(minutes=5)) == 0
        assert Letter.objects.count() == told

    def test_told_twice_of_the_same_nobody_has_a_second_letter(self):
        self.go_round()
        told = Letter.objects.count()
        turns = [self.turn(13).pk, self.turn(14).pk]
        mail.lost(turns, NOW)
        assert Letter.objects.count() == told

    def test_they_are_off_the_rota_and_say_anew_when_they_come_back(self):
        self.go_round()
        rows = Treader.objects.by(self.ben)
        assert {(row.state, row.told) for row in rows} == {(TreaderState.CANNOT, False)}
        assert self.on(13) == ["Ann", "Wat"]
        self.ben.left_at = None
        self.ben.save()
        assert self.on(13) == ["Ann", "Wat"]

    def test_the_letters_stand_under_each_gap(self):
        self.go_round()
        for day in (13, 14):
            rows = Letter.objects.on(mail.gap_of(self.turn(day)))
            assert self.boss.pk in {row.volunteer_id for row in rows}

    def test_a_turn_that_is_over_and_a_lifted_ret_lose_nobody(self):
        assert self.go_round(self.turn(14).at) == 0
        dam_services.lift(ret=self.ret, lifted_at=NOW, why_untested="Frost.", now=NOW)
        assert self.go_round() == 0

    def test_whoever_has_no_address_is_to_be_told(self):
        paper = make_volunteer(demonstration=self.home, user=None, email="")
        self.hears(paper)
        rota_services.put_on(turn=self.turn(13), volunteer=paper, by=self.by, now=NOW)
        Letter.objects.all().delete()
        self.go_round()
        assert Letter.objects.get(volunteer=paper).state == LetterState.NO_ADDRESS
        assert "now 3 of 3" in self.text_to(paper)

    def test_an_organiser_who_treads_has_the_organisers_letter_alone(self):
        rota_services.put_on(
            turn=self.turn(13), volunteer=self.boss, by=self.by, now=NOW
        )
        Letter.objects.all().delete()
        self.go_round()
        assert "find someone else" in self.text_to(self.boss)

    def test_it_costs_the_same_however_many_turns(self):
        for who in (self.dan, make_volunteer(demonstration=self.home, left_at=NOW)):
            for day in (13, 14):
                row = rota_services.row_of(self.turn(day), who, NOW)
                row.state = TreaderState.ON
                row.save()
        with self.assertNumQueries(7):
            assert services.let_go_of_gone(NOW) == 2
        with self.assertNumQueries(1):
            assert services.let_go_of_gone(NOW) == 0


class ErasedTests(LostCase):
    def test_those_left_and_the_organisers_are_told_without_the_name(self):
        asked = ask_erasure(volunteer=self.ben, by=self.by, now=NOW)
        with self.captureOnCommitCallbacks(execute=True):
            carry_out_erasure(
                erasure=asked, by=self.by, now=NOW, why_left="It may stay."
            )
        assert not Treader.objects.by(self.ben).exists()
        assert self.subjects(self.boss) == ["A gap in the treading: Low dam"]
        assert self.subjects(self.ann) == [SUBJECT]
        assert "now 2 of 3" in self.text_to(self.cat)
        assert not Letter.objects.filter(text__contains="Ben").exists()
        assert not Letter.objects.filter(volunteer=self.ben).exists()
        assert self.go_round() == 0

    def test_an_answer_for_a_turn_they_were_not_on_tells_nobody(self):
        self.says(self.dan, 13, Half.MORNING)
        with self.captureOnCommitCallbacks(execute=True):
            services.leave_treading(volunteer_key=self.dan.pk, now=NOW)
        assert not Letter.objects.exists()


@pytest.mark.any_database
class CannotTests(LostCase):
    def test_whoever_is_left_on_the_turn_is_told_by_name(self):
        with self.captureOnCommitCallbacks(execute=True):
            self.says(self.ben, 13, can=False)
        assert self.subjects(self.boss) == self.subjects(self.ann) == [SUBJECT]
        assert "Ben, who was to tread the crop in Low dam with you" in self.text_to(
            self.ann
        )
        assert self.subjects(self.cat) == []

    def test_saying_so_twice_tells_once(self):
        with self.captureOnCommitCallbacks(execute=True):
            self.says(self.ben, 13, can=False)
            self.says(self.ben, 13, can=False)
        assert len(self.subjects(self.ann)) == 1
        gaps = selectors.treading_matters(self.home, NOW).gaps
        assert len(gaps) >= 1
