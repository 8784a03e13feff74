"""What goes into a dam and comes out of it, lot by lot."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.dam import services
from heritage.dam.filling import services as filling
from heritage.dam.filling.selectors import LotIn, beets_left, lots_of
from heritage.lots import services as lots
from heritage.lots.models import Loss, Lot, Move, Place
from heritage.lots.selectors import lots_at, stock
from heritage.lots.services import Amount
from tests.factories import (
    NOW,
    make_dam,
    make_gathering,
    make_organiser,
    make_plot,
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
        cls.dam = make_dam()
        cls.here = cls.dam.demonstration
        cls.by = make_organiser(demonstration=cls.here).user
        cls.old, cls.new = (
            cls.pulled(days, beets) for days, beets in ((9, 60), (4, 40))
        )

    @classmethod
    def pulled(cls, days, beets):
        evening = make_gathering(
            demonstration=cls.here, starts_at=NOW - days * DAY,
            ends_at=NOW - days * DAY + 2 * HOUR,
        )  # fmt: skip
        return make_pulled_lot(gathering=evening, beets=beets)

    def move(self, lot, source, target, beets, days, **given):
        return lots.move(
            lot=lot, source=source, target=target, amount=Amount(beets=beets),
            at=NOW - days * DAY, by=self.by, now=NOW, **given,
        )  # fmt: skip

    def fill(self, beets=70, **given):
        given = {
            "dam": self.dam,
            "began_at": NOW - 2 * DAY,
            "water_depth_m": Decimal("1.1"),
            "beet_dry_kg": None,
            "by": self.by,
            "now": NOW,
        } | given
        return services.fill(beets=beets, **given)

    def there(self, place):
        return [(one.lot, one.beets) for one in lots_at(self.here, place)]


class FillTests(Crop):
    def test_the_oldest_go_in_first_where_nobody_says_which(self):
        ret = self.fill(70)
        assert lots_of(ret) == (LotIn(self.old, 60), LotIn(self.new, 10))
        assert self.there(Place.DAM) == [(self.old, 60), (self.new, 10)]
        assert self.there(Place.STOOK) == [(self.new, 30)]

    def test_the_lots_that_are_said_go_in(self):
        ret = self.fill(30, lots={self.new: 30})
        assert lots_of(ret) == (LotIn(self.new, 30),)

    def test_what_is_on_the_cart_goes_in_before_what_is_in_the_field(self):
        self.move(self.new, Place.STOOK, Place.CART, 25, days=3)
        self.fill(30, lots={self.new: 30})
        assert stock(self.here) == {Place.STOOK: (70, 0), Place.DAM: (30, 0)}

    def test_what_was_pulled_later_is_not_there_yet(self):
        with pytest.raises(ValidationError, match="so 60 can go in"):
            self.fill(61, began_at=NOW - 5 * DAY)

    def test_lots_that_come_to_another_number_are_refused(self):
        with pytest.raises(ValidationError, match="come to 30 beets, and 31 went in"):
            self.fill(31, lots={self.new: 30})

    def test_a_lot_gives_no_more_than_it_has_unless_it_is_said_why(self):
        with pytest.raises(ValidationError, match=r"Lot 2 had 40 beets .* takes 45"):
            self.fill(45, lots={self.new: 45})
        ret = self.fill(45, lots={self.new: 45}, why_more="Found behind the ditch.")
        assert lots_of(ret) == (LotIn(self.new, 45),)
        found = Move.objects.get(source=Place.LOST)
        assert (found.beets, found.loss) == (5, Loss.MISCOUNTED)
        assert found.note == "Found behind the ditch."

    def test_a_reason_that_is_not_needed_is_let_go(self):
        given = {"lots": {self.new: 40}, "why_more": "Not needed."}
        assert self.fill(40, **given).why_more == ""

    def test_beets_that_no_tally_has_are_a_lot_of_their_own(self):
        ret = self.fill(110, why_more="Ten from next door.")
        other = Lot.objects.get(number=3)
        assert lots_of(ret)[-1] == LotIn(other, 10)
        assert not other.is_pulled

    def test_mixed_lots_are_one_lot_from_then(self):
        ret = self.fill(100, mixed=True)
        new = Lot.objects.get(number=3)
        assert lots_of(ret) == (LotIn(new, 100),)
        assert self.there(Place.DAM) == [(new, 100)]

    def test_one_lot_alone_is_mixed_with_nothing(self):
        assert lots_of(self.fill(60, mixed=True)) == (LotIn(self.old, 60),)

    def test_what_is_lost_or_elsewhere_cannot_go_in(self):
        self.move(self.new, Place.STOOK, Place.LOST, 5, days=3, loss=Loss.EATEN)
        left = beets_left(self.here, NOW)
        assert (left.pulled, left.steeped, left.elsewhere, left.free) == (100, 0, 5, 95)
        with pytest.raises(ValidationError, match="5 are elsewhere or lost, so 95"):
            self.fill(96)

    def test_what_is_left_is_read_by_as_many_queries_for_more_lots(self):
        for _ in range(2):
            with self.assertNumQueries(6):
                beets_left(self.here, NOW)
            for days in (1, 2, 3):
                self.pulled(days, 10)


class LiftTests(Crop):
    def lift(self, ret, days=1):
        return services.lift(
            ret=ret, lifted_at=NOW - days * DAY, why_untested="Frost.", by=self.by,
            now=NOW,
        )  # fmt: skip

    def test_what_is_lifted_lies_on_the_grass_lot_by_lot(self):
        ret = self.lift(self.fill(70))
        assert self.there(Place.GRASS) == [(self.old, 60), (self.new, 10)]
        assert self.there(Place.DAM) == []
        assert lots_of(ret) == (LotIn(self.old, 60), LotIn(self.new, 10))

    def test_what_rotted_in_the_dam_is_not_on_the_grass(self):
        ret = self.fill(70)
        lost = {"loss": Loss.ROTTED, "days": 1}
        self.move(self.old, Place.DAM, Place.LOST, 60, **lost)
        self.lift(ret)
        assert self.there(Place.GRASS) == [(self.new, 10)]

    def test_another_dam_keeps_its_own(self):
        ret = self.fill(30, lots={self.old: 30})
        other = make_dam(demonstration=self.here)
        self.fill(20, lots={self.old: 20}, dam=other)
        self.lift(ret)
        assert self.there(Place.DAM) == [(self.old, 20)]

    def test_a_ret_of_before_there_were_lots_is_lifted_all_the_same(self):
        ret = self.fill(30)
        ret.filled.all().delete()
        assert self.lift(ret).lifted_at
        assert lots_of(ret) == ()


class CorrectTests(Crop):
    def correct(self, ret, shares, **given):
        given = {"reason": "The other cart.", "by": self.by, "now": NOW} | given
        return filling.correct_filling(ret=ret, shares=shares, **given)

    def test_the_right_lots_are_in_and_what_was_written_first_is_kept(self):
        ret = self.correct(self.fill(60), {self.old: 20, self.new: 35})
        assert ret.beets == 55
        assert lots_of(ret) == (LotIn(self.old, 20), LotIn(self.new, 35))
        assert self.there(Place.STOOK) == [(self.old, 40), (self.new, 5)]
        assert Move.objects.filter(reason="The other cart.").count() == 1
        assert beets_left(self.here, NOW).steeped == 55

    def test_what_was_mixed_or_found_is_taken_back_too(self):
        ret = self.fill(110, mixed=True, why_more="Ten from next door.")
        ret = self.correct(ret, {self.old: 60}, mixed=True)
        assert lots_of(ret) == (LotIn(self.old, 60),)
        assert ret.why_more == ""
        assert stock(self.here) == {Place.STOOK: (40, 0), Place.DAM: (60, 0)}

    def test_more_than_a_lot_has_wants_a_reason_still(self):
        ret = self.fill(60)
        with pytest.raises(ValidationError, match="Lot 2 had 40 beets"):
            self.correct(ret, {self.new: 41})
        ret = self.correct(ret, {self.new: 41}, why_more="One was found.")
        assert lots_of(ret) == (LotIn(self.new, 41),)

    def test_nothing_and_no_reason_correct_nothing(self):
        ret = self.fill(60)
        with pytest.raises(ValidationError, match="Enter how many"):
            self.correct(ret, {})
        with pytest.raises(ValidationError, match="Say why"):
            self.correct(ret, {self.new: 10}, reason=" ")
        assert lots_of(ret) == (LotIn(self.old, 60),)

    def test_what_is_lifted_is_corrected_elsewhere(self):
        ret = services.lift(
            ret=self.fill(60), lifted_at=NOW - DAY, why_untested="Frost.", now=NOW
        )
        with pytest.raises(ValidationError, match="on the grass"):
            self.correct(ret, {self.new: 10})

    def test_a_move_that_filled_a_dam_is_not_corrected_alone(self):
        self.fill(60)
        with pytest.raises(ValidationError, match="belongs to the filling of"):
            lots.correct(move=Move.objects.get(), reason="Wrong.", by=self.by, now=NOW)

    def test_the_page_shows_what_is_in_and_takes_what_should_be(self):
        ret = self.fill(60)
        self.client.force_login(self.by)
        address = reverse("dam:refill", args=[self.here.slug, ret.pk])
        page = self.client.get(address)
        field = page.context["form"][f"lot_{self.old.pk}"]
        assert (field.label, field.initial) == ("Lot 1", 60)
        typed = {f"lot_{self.new.pk}": "12", "reason": "The other cart."}
        assert self.client.post(address, typed).url == ret.get_absolute_url()
        assert lots_of(ret) == (LotIn(self.new, 12),)
        assert "reason" in self.client.post(address, {}).context["form"].errors


@pytest.mark.any_database
class PageTests(Crop):
    FIELDS = {"began_at": "2026-08-12T18:00", "water_depth_m": "1.10"}

    def post(self, **fields):
        self.client.force_login(self.by)
        address = reverse("dam:fill", args=[self.here.slug, self.dam.pk])
        return self.client.post(address, self.FIELDS | fields)

    def test_the_form_asks_of_each_lot_what_it_has(self):
        self.client.force_login(self.by)
        address = reverse("dam:fill", args=[self.here.slug, self.dam.pk])
        page = self.client.get(address).content.decode()
        assert "Lot 1: 60 in the field" in page
        assert "100 beets can go in" in page

    def test_beets_of_each_lot_are_enough_and_the_page_says_what_went_in(self):
        lots = {f"lot_{self.old.pk}": "20", f"lot_{self.new.pk}": "15"}
        answer = self.post(**lots)
        page = self.client.get(answer.url).content.decode()
        assert "Lot 1</a> (20 beets)" in page
        assert "35 beets under water" in page

    def test_mixed_is_asked_and_done(self):
        self.post(beets="100", mixed="on")
        assert self.there(Place.DAM) == [(Lot.objects.get(number=3), 100)]

    def test_a_total_that_is_not_that_of_the_lots_is_asked_again(self):
        page = self.post(beets="30", **{f"lot_{self.old.pk}": "20"})
        assert "The lots below come to 20" in page.content.decode()
        assert 'value="20"' in page.content.decode()

    def test_nothing_is_no_filling(self):
        assert "Enter how many beets" in self.post().content.decode()

    def test_too_many_of_a_lot_are_refused_at_that_lot(self):
        page = self.post(**{f"lot_{self.new.pk}": "41"})
        assert f"lot_{self.new.pk}" in page.context["form"].errors

    def test_without_lots_the_form_asks_of_none(self):
        plot = make_plot()
        dam = make_dam(demonstration=plot.demonstration)
        by = make_organiser(demonstration=plot.demonstration).user
        self.client.force_login(by)
        address = reverse("dam:fill", args=[plot.demonstration.slug, dam.pk])
        assert "Which lots?" not in self.client.get(address).content.decode()
