"""What the crop's moves say of the season, and what they ask for today."""

from datetime import date, timedelta

import pytest
from django.test import SimpleTestCase, TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.desk.today import selectors as desk
from heritage.lots import services
from heritage.lots.matters.selectors import crop_matters, stages_followed
from heritage.lots.models import Loss, Place
from heritage.lots.services import Amount
from heritage.season.models import Stage
from heritage.season.selectors import Followed
from tests.factories import (
    NOW,
    make_entry,
    make_gathering,
    make_organiser,
    make_pulled_lot,
)

HOUR = timedelta(hours=1)
DAY = 24 * HOUR


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Crop(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.here = cls.nora.demonstration
        cls.gathering = make_gathering(
            demonstration=cls.here, starts_at=NOW - 40 * DAY,
            ends_at=NOW - 40 * DAY + HOUR,
        )  # fmt: skip
        cls.lot = make_pulled_lot(gathering=cls.gathering, beets=40)

    def move(self, source, target, amount, days, **given):
        if isinstance(amount, int):
            amount = Amount(beets=amount)
        return services.move(
            lot=self.lot, source=source, target=target, amount=amount,
            at=NOW - days * DAY, by=self.nora.user, now=NOW, **given,
        )  # fmt: skip

    def ago(self, days):
        return (NOW - days * DAY).date()


class PlaceOfStageTests(SimpleTestCase):
    def test_stages_speak_of_places_that_there_are(self):
        kinds = [stage.kind for stage in Stage]
        said = {
            place for one in kinds for place in (one.fills, one.empties, one.lasts_at)
        }
        assert said - {""} <= set(Place.values)


@pytest.mark.any_database
class StageTests(Crop):
    def followed(self):
        return stages_followed(self.here)

    def test_the_first_lot_begins_the_pulling_and_it_stands_in_the_field(self):
        begun = Followed(self.ago(40), None)
        assert self.followed() == {Stage.PULLING: begun, Stage.STOOKING: begun}

    def test_nothing_pulled_shows_nothing(self):
        assert stages_followed(make_organiser().demonstration) == {}

    def test_a_ret_goes_on_until_the_flax_is_on_the_grass(self):
        self.move(Place.STOOK, Place.DAM, 40, days=38)
        assert self.followed()[Stage.RETTING] == Followed(self.ago(38), None)
        assert self.followed()[Stage.STOOKING].last == self.ago(38)
        self.move(Place.DAM, Place.GRASS, 40, days=28)
        found = self.followed()
        assert found[Stage.RETTING] == Followed(self.ago(38), self.ago(28))
        assert found[Stage.LIFTING] == Followed(self.ago(28), self.ago(28))
        assert found[Stage.GRASSING] == Followed(self.ago(28), None)

    def test_from_the_brake_to_the_hackle_each_stage_has_its_days(self):
        self.move(Place.STOOK, Place.BRAKE, Amount(40, 80_000), days=9)
        self.move(Place.BRAKE, Place.SCUTCH, Amount(dry_g=70_400), days=7)
        self.move(Place.SCUTCH, Place.HACKLE, Amount(dry_g=9_000), days=5)
        self.move(Place.HACKLE, Place.LINE, Amount(dry_g=9_000), days=3)
        found = self.followed()
        assert found[Stage.BREAKING] == Followed(self.ago(9), self.ago(7))
        assert found[Stage.SCUTCHING] == Followed(self.ago(5), None)
        assert found[Stage.HACKLING] == Followed(self.ago(3), self.ago(3))

    def test_what_was_lost_or_taken_back_is_no_work(self):
        self.move(Place.STOOK, Place.LOST, 3, days=9, loss=Loss.EATEN)
        wrong = self.move(Place.STOOK, Place.CART, 5, days=9)
        services.correct(move=wrong, reason="No cart.", by=self.nora.user, now=NOW)
        assert set(self.followed()) == {Stage.PULLING, Stage.STOOKING}

    def test_more_moves_take_as_many_queries(self):
        for _ in range(2):
            with self.assertNumQueries(7):
                self.followed()
            self.move(Place.STOOK, Place.CART, 3, days=9)

    def test_the_board_says_done_once_the_flax_is_lifted(self):
        self.here.stage_records.create(
            stage=Stage.RETTING, started_on=date(2026, 7, 1), planned_from=self.ago(40)
        )
        self.move(Place.STOOK, Place.DAM, 40, days=38)
        self.client.force_login(self.nora.user)
        address = reverse("desk:season", args=[self.here.slug])
        lines = self.lines(address)
        assert (lines["retting"].state, lines["grassing"].state) == ("going", "")
        self.move(Place.DAM, Place.GRASS, 40, days=28)
        lines = self.lines(address)
        assert (lines["retting"].state, lines["grassing"].state) == ("done", "going")

    def lines(self, address):
        page = self.client.get(address).context["page"]
        return {line.stage.value: line for line in page.stages}


class TodayTests(Crop):
    def todos(self):
        todos = desk.today(self.here, self.nora.user, NOW).todos
        return {todo.words: todo for todo in todos}

    def test_a_cart_that_stood_full_overnight_is_to_be_emptied(self):
        self.move(Place.STOOK, Place.CART, 15, days=2)
        self.move(Place.CART, Place.STOOK, 5, days=1)
        todo = self.todos()["Empty the cart"]
        assert todo.why == "10 beets of Lot 1 have been on it since Monday."
        assert todo.url == self.lot.get_absolute_url()

    def test_a_cart_filled_this_evening_waits_till_morning(self):
        self.move(Place.STOOK, Place.CART, 15, days=0.1)
        assert crop_matters(self.here, NOW).carts == ()
        assert "Empty the cart" not in self.todos()

    def test_a_short_lot_stands_there_until_it_is_settled(self):
        self.move(Place.STOOK, Place.CART, 40, days=0.1)
        entry = self.gathering.entries.get()
        make_entry(gathering=self.gathering, corrects=entry, beets=-3, reason="Slip.")
        todo = self.todos()["Settle Lot 1"]
        assert todo.why == "3 beets more were moved than the tally has."
        assert todo.is_due
        services.settle(lot=self.lot, note="Recounted.", by=self.nora.user, now=NOW)
        assert "Settle Lot 1" not in self.todos()
