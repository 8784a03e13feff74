"""What was foretold each day is kept once, and scored once it has happened."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.db import IntegrityError
from django.test import TestCase
from django.urls import reverse

from heritage.calc.dam import Band
from heritage.calc.scores import crps
from heritage.common import clock
from heritage.dam.models import Foretold, Ret, Verdict
from heritage.desk.scores.selectors import scores_page
from heritage.desk.scores.services import note_all, note_forecasts
from heritage.lots.models import Place
from tests.factories import (
    NOW,
    make_dam,
    make_demonstration,
    make_entry,
    make_gathering,
    make_lot_at,
    make_move,
    make_organiser,
    make_outcome,
    make_plot,
    make_reading,
    make_ret,
    make_sign_up,
    make_station,
)

DAY = timedelta(days=1)
NEAR = pytest.approx


@pytest.fixture(autouse=True)
def the_clock_stands(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class ScoresTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()

    def ret(self, days=6):
        ret = make_ret(dam=make_dam(demonstration=self.here), began_at=NOW - days * DAY)
        for half_days in range(2 * days + 1):
            at = ret.began_at + half_days * DAY / 2
            make_reading(ret=ret, at=at, temp_c=Decimal("16.0"))
        return ret

    def note(self, now=NOW):
        return note_forecasts(demonstration=self.here, now=now)

    def foretold(self, what, days, *, said=NOW - 30 * DAY, ret=None):
        """Have said that it would be so many days from now."""
        early, likely, late = (NOW + day * DAY for day in days)
        return Foretold.objects.create(
            demonstration=self.here, what=what, ret=ret, said_on=said.date(),
            early=early, likely=likely, late=late,
        )  # fmt: skip

    def pulled(self, beets=100, at=NOW - 3 * DAY):
        make_entry(
            gathering=make_gathering(
                demonstration=self.here, starts_at=at, ends_at=at + timedelta(hours=2)
            ),
            beets=beets,
        )

    def test_a_days_first_word_stands(self):
        ret = self.ret()
        assert self.note() == 1
        row = Foretold.objects.get()
        assert (row.ret, row.early < row.likely < row.late) == (ret, True)
        assert self.note(NOW + timedelta(hours=2)) == 0
        assert self.note(NOW + DAY) == 1

    def test_before_the_pulling_the_window_is_kept(self):
        make_plot(demonstration=self.here, sown_on=NOW.date() - 95 * DAY)
        assert self.note() == 1
        assert Foretold.objects.get().what == "pulling"
        self.pulled()
        Foretold.objects.all().delete()
        self.note()
        assert not Foretold.objects.filter(what="pulling").exists()

    def test_tend_keeps_them_for_the_years_demonstrations(self):
        self.ret()
        make_ret(dam=make_dam(demonstration=make_demonstration(year=2019)))
        assert note_all(NOW) == 1
        call_command("tend", verbosity=0)

    def test_a_lifted_ret_is_scored_beside_the_directions_of_1846(self):
        """Lifted on day 12; said early on to be 8 to 15 days after the filling."""
        ret = self.ret(12)
        began = -12
        self.foretold("ret", (began + 8, began + 10, began + 15), ret=ret)
        later = (-1.0, 0.5, 2.0)
        self.foretold("ret", later, ret=ret, said=NOW - 2 * DAY)
        assert scores_page(self.here).waiting == 1
        Ret.objects.filter(pk=ret.pk).update(lifted_at=NOW)
        make_outcome(ret=ret, verdict=Verdict.RIGHT, after="lifting", said_at=NOW,
                     said_by=make_organiser(demonstration=self.here).user)  # fmt: skip
        (line,) = scores_page(self.here).lines
        assert (line.times, line.times_inside, line.inside) == (2, 2, True)
        said = crps(Band(-4, -2, 3), 0), crps(Band(*later), 0)
        assert line.score == NEAR(sum(said) / 2)
        assert line.calendar == NEAR(crps(Band(8, 11, 14), 12))
        assert line.beats_calendar is (line.score < line.calendar)
        assert line.note == "right"

    def test_the_field_is_scored_once_its_pulling_is_finished(self):
        make_plot(demonstration=self.here, sown_on=(NOW - 103 * DAY).date())
        self.foretold("pulling", (-20, -10, -6))
        self.foretold("finish", (-4, -1, 2), said=NOW - 6 * DAY)
        self.pulled(100, NOW - 5 * DAY)
        self.pulled(80, NOW - 2 * DAY)
        assert scores_page(self.here).waiting == 2
        self.here.stage_records.create(
            stage="pulling", planned_to=NOW.date(), started_on=(NOW - 5 * DAY).date(),
            finished_on=(NOW - 2 * DAY).date(),
        )  # fmt: skip
        finish, pulling = scores_page(self.here).lines
        assert (pulling.inside, finish.inside) == (False, True)
        assert pulling.happened == "7 Aug"
        assert pulling.calendar == NEAR(crps(Band(90, 100, 125), 98), abs=0.2)
        assert finish.calendar == NEAR(2, abs=0.4)

    def test_while_pulling_goes_on_the_finish_is_kept(self):
        make_plot(demonstration=self.here, area_m2=400, expected_beets=200)
        self.pulled(150)
        for day in range(1, 8):
            at = NOW + day * DAY
            evening = make_gathering(
                demonstration=self.here, starts_at=at, ends_at=at + timedelta(hours=2)
            )
            station = make_station(gathering=evening, places=20)
            for _ in range(6):
                make_sign_up(station=station)
        assert self.note() == 1
        row = Foretold.objects.get()
        assert (row.what, NOW < row.early <= row.late) == ("finish", True)

    def test_fibre_is_scored_once_it_is_all_scutched(self):
        """A hundred beets of 3 kg: Hodges's ninth part is 27.1 kg."""
        lot = make_lot_at(Place.STORE, beets=100, demonstration=self.here)

        def weigh(source, target, grams, **more):
            loss = {"loss": "dust"} if target == Place.LOST else {}
            loss |= {"beets": None, "lot": lot, "dry_g": grams} | more
            make_move(source=source, target=target, **loss)

        weigh(Place.STORE, Place.BRAKE, 150_000, beets=100)
        weigh(Place.BRAKE, Place.SCUTCH, 30_000)
        assert scores_page(self.here).lines == ()
        weigh(Place.BRAKE, Place.LOST, 120_000)
        weigh(Place.SCUTCH, Place.HACKLE, 17_600)
        weigh(Place.SCUTCH, Place.LOST, 12_400)
        (line,) = scores_page(self.here).lines
        assert (line.unit, line.happened) == ("kg", "20.0 kg")
        assert line.calendar == NEAR(300 * 702 / 7770 - 20, abs=0.1)

    def test_the_page_says_it_in_its_first_sentence(self):
        who = make_organiser(demonstration=self.here)
        self.client.force_login(who.user)
        url = reverse("desk:scores", args=[self.here.slug])
        self.assertContains(self.client.get(url), "has happened yet")
        ret = self.ret(12)
        self.foretold("ret", (-4, -2, -1), ret=ret)
        Ret.objects.filter(pk=ret.pk).update(lifted_at=NOW)
        page = self.client.get(url)
        self.assertContains(page, "inside the range 0 of the 1 times")
        self.assertContains(page, "outside")

    def test_costs_the_same_however_often_it_was_said(self):
        ret = self.ret(12)
        for count in (1, 5):
            for day in range(count):
                said = NOW - (10 * count + day) * DAY
                self.foretold("ret", (-4, -2, 1), ret=ret, said=said)
            Ret.objects.filter(pk=ret.pk).update(lifted_at=NOW)
            with self.assertNumQueries(10):
                scores_page(self.here)

    def test_a_forecast_is_in_order_and_of_what_it_says(self):
        with pytest.raises(IntegrityError):
            self.foretold("finish", (2, 1, 3))
