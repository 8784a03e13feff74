"""The store: how dry it is, how it stands, and when to look again."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.fibre.models import Air, DryBy, SmellOf, StoreCheck
from heritage.fibre.stock.selectors import take_stock
from heritage.fibre.store import services
from heritage.fibre.store.selectors import dry, store_page
from heritage.lots.models import Place
from tests.factories import (
    NOW,
    make_demonstration,
    make_dry_test,
    make_lot_at,
    make_store_check,
    make_user,
)

DAY, HOUR = timedelta(days=1), timedelta(hours=1)


class DryTestTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.lot = make_lot_at(Place.STORE)
        cls.by = make_user()

    def keep(self, way, **said):
        said = {"at": NOW, "by": self.by, "now": NOW} | said
        return services.keep_dry_test(lot=self.lot, way=way, **said)

    def test_by_hand(self):
        assert dry(self.keep(DryBy.HAND, is_dry=True)).is_to_break
        damp = dry(self.keep(DryBy.HAND, is_dry=False))
        assert damp.is_too_damp
        assert "too damp" in damp.words

    def test_by_oven_the_water_is_what_went(self):
        test = self.keep(DryBy.OVEN, before_g=250, after_g=215)
        assert test.moisture_pct == 14
        assert dry(test).words == "dry enough to stack, not yet to break"

    def test_by_weight_the_bundle_says_what_it_is_to_weigh(self):
        said = {"before_g": 8_000, "before_pct": Decimal(60), "after_g": 4_000}
        found = dry(self.keep(DryBy.WEIGHT, **said))
        assert found.test.moisture_pct == 20
        assert (found.stack_at_g, found.break_at_g) == (3_765, 3_636)
        assert "never stack" in found.words

    def test_by_meter(self):
        found = dry(self.keep(DryBy.METER, moisture_pct=Decimal("11.5")))
        assert found.is_to_break
        assert not found.is_too_damp

    def test_each_way_asks_for_what_it_needs(self):
        for way, field in (
            (DryBy.HAND, "is_dry"),
            (DryBy.METER, "moisture_pct"),
            (DryBy.OVEN, "before_g"),
            (DryBy.WEIGHT, "before_g"),
        ):
            with self.subTest(way), pytest.raises(ValidationError) as refusal:
                self.keep(way)
            assert field in refusal.value.message_dict
        with pytest.raises(ValidationError, match="needs it"):
            self.keep(DryBy.WEIGHT, before_g=900, after_g=800)

    def test_what_cannot_weigh_so_is_refused_with_the_figures(self):
        with pytest.raises(ValidationError, match="more after drying"):
            self.keep(DryBy.OVEN, before_g=200, after_g=201)
        with pytest.raises(ValidationError, match="3200 g are dry"):
            self.keep(DryBy.WEIGHT, before_g=8000, before_pct=60, after_g=3000)

    def test_not_in_the_future_and_not_before_the_lot_was(self):
        for at in (NOW + DAY, self.lot.made_at - DAY):
            with pytest.raises(ValidationError) as refusal:
                self.keep(DryBy.HAND, is_dry=True, at=at)
            assert "at" in refusal.value.message_dict


class StoreTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.lot = make_lot_at(Place.STORE, demonstration=cls.here)
        cls.by = make_user()

    def page(self, now=NOW):
        return store_page(take_stock(self.here), now)

    def look(self, **said):
        said = {"at": NOW, "air": Air.GOOD, "smell": SmellOf.SWEET, "now": NOW} | said
        return services.keep_store_check(demonstration=self.here, by=self.by, **said)

    def test_the_first_look_is_a_day_after_it_was_stacked(self):
        page = self.page()
        assert page.beets == 40
        assert page.next_look == page.stacked_at + DAY
        assert self.page(page.next_look).is_due

    def test_then_every_day_and_every_four_hours_where_it_is_warm(self):
        self.look()
        assert self.page().next_look == NOW + DAY
        self.look(temp_c=Decimal(52))
        page = self.page()
        assert page.next_look == NOW + 4 * HOUR
        assert page.last.is_watched
        assert "50 °C or more" in page.last.reasons[0]

    def test_at_55_degrees_it_is_left_alone_and_the_fire_service_called(self):
        self.look(temp_c=Decimal(55))
        page = self.page()
        assert page.last.is_danger
        assert page.is_due
        assert page.danger == page.last.words
        assert "Don't open the stack" in page.last.words

    def test_a_damp_look_is_told(self):
        self.look(moisture_pct=Decimal("16.5"), smell=SmellOf.MUSTY)
        assert len(self.page().last.reasons) == 2
        assert StoreCheck.objects.get().moisture_pct == 16.5

    def test_poor_air_is_looked_at_again_within_a_day(self):
        later = NOW + 100 * DAY
        make_store_check(
            demonstration=self.here, at=later, entered_at=later, air=Air.POOR
        )
        assert self.page(later).next_look == later + DAY

    def test_what_came_in_since_is_looked_at_a_day_later(self):
        self.look(at=self.lot.made_at - 50 * DAY)
        assert self.page().next_look == self.lot.made_at - 49 * DAY

    def test_an_empty_store_asks_for_nothing(self):
        page = store_page(take_stock(make_demonstration()), NOW)
        assert (page.next_look, page.is_due, page.last, page.beets) == (
            None, False, None, 0,
        )  # fmt: skip

    def test_the_last_test_of_each_lot_counts(self):
        make_dry_test(lot=self.lot, at=NOW - DAY, moisture_permille=190)
        assert [one.lot_at.lot for one in self.page().too_damp] == [self.lot]
        make_dry_test(lot=self.lot, at=NOW, moisture_permille=110)
        page = self.page()
        assert page.too_damp == []
        assert page.lots[0].dry.is_to_break

    def test_a_look_to_come_is_refused(self):
        with pytest.raises(ValidationError, match="in the future"):
            self.look(at=NOW + HOUR)

    def test_it_costs_eight_queries_at_any_size(self):
        for _ in range(2):
            make_lot_at(Place.STORE, demonstration=self.here)
            make_store_check(demonstration=self.here)
            with self.assertNumQueries(8):
                self.page()
