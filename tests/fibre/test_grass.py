"""Flax on the grass: spread whole or in part, turned, tested, brought in."""

import uuid
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.fibre.grass import services
from heritage.fibre.grass.selectors import (
    needed,
    spread_page,
    spreading_state,
    spreading_states,
    weather_days,
)
from heritage.fibre.models import Done, GrassEntry, GrassWeather, Way, Wet
from heritage.fibre.stock.selectors import take_stock
from heritage.gatherings.models import RainAhead
from heritage.lots.models import Lot, Move, Place
from heritage.lots.selectors import stands
from heritage.lots.services import Amount, correct, part
from tests.factories import (
    NOW,
    make_demonstration,
    make_grass_entry,
    make_grass_weather,
    make_lot_at,
    make_spread_lot,
    make_spreading,
    make_user,
    make_warm_day,
)

DAY = timedelta(days=1)
LATER = NOW + 20 * DAY


class SpreadTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.by = make_user()
        cls.lot = make_lot_at(Place.GRASS, beets=40, demonstration=cls.here)

    def spread(self, beets, way=Way.AFTER_DAM, **said):
        said = {"spread_at": NOW, "where": "Bank field", "now": NOW} | said
        return services.spread(
            demonstration=self.here, way=way, beets=beets, by=self.by, **said
        )

    def test_a_whole_lot_stays_itself_and_moves_nowhere(self):
        before = Move.objects.count()
        spreading = self.spread({self.lot: 40})
        assert [row.lot for row in spreading.lots.all()] == [self.lot]
        assert Move.objects.count() == before

    def test_of_a_part_a_lot_of_its_own_is_made(self):
        row = self.spread({self.lot: 15}).lots.get()
        assert row.lot != self.lot
        assert stands(row.lot, Place.GRASS, NOW) == 15
        assert stands(self.lot, Place.GRASS, NOW) == 25
        left = spread_page(self.here, Way.AFTER_DAM).lots
        assert [(one.lot, one.beets) for one in left] == [(self.lot, 25)]

    def test_a_lot_is_not_spread_twice(self):
        self.spread({self.lot: 40})
        with pytest.raises(ValidationError, match="is already on the grass"):
            self.spread({self.lot: 40})

    def test_no_more_than_is_there(self):
        with pytest.raises(ValidationError, match="had 40 beets on the grass then"):
            self.spread({self.lot: 41})
        assert not Lot.objects.filter(spreadings__isnull=False).exists()

    def test_nothing_chosen_is_asked_about(self):
        with pytest.raises(ValidationError, match="Enter how many beets"):
            self.spread({self.lot: 0})

    def test_not_in_the_future(self):
        with pytest.raises(ValidationError) as refusal:
            self.spread({self.lot: 40}, spread_at=NOW + DAY)
        assert "spread_at" in refusal.value.message_dict

    def test_by_dew_it_comes_straight_from_the_field(self):
        stooked = make_lot_at(Place.CART, beets=30, demonstration=self.here)
        assert spread_page(self.here, Way.DEW).needed.beets == 30
        spreading = self.spread({stooked: 30}, way=Way.DEW)
        assert spreading.is_dew
        assert stands(stooked, Place.GRASS, NOW) == 30

    def test_what_is_too_damp_goes_out_of_the_store_again(self):
        stored = make_lot_at(Place.STORE, beets=30, demonstration=self.here)
        spreading = self.spread({stored: 12}, way=Way.AGAIN)
        assert stands(spreading.lots.get().lot, Place.GRASS, NOW) == 12
        assert stands(stored, Place.STORE, NOW) == 18

    def test_where_it_lies_can_be_put_right(self):
        spreading = self.spread({self.lot: 40})
        values = {"where": "Hill", "area_m2": 300, "note": ""}
        services.change_spreading(spreading=spreading, values=values)
        spreading.refresh_from_db()
        assert str(spreading).startswith("Hill")


class RemoveTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.row = make_spread_lot(beets=40)
        make_grass_entry(spreading=cls.row.spreading)
        cls.by = make_user()

    def remove(self, spreading=None):
        services.remove_spreading(spreading=spreading or self.row.spreading, now=NOW)

    def test_one_that_never_was_goes_with_its_lines(self):
        here = self.row.spreading.demonstration
        self.remove()
        assert not GrassEntry.objects.exists()
        assert spread_page(here, Way.AFTER_DAM).needed.beets == 40

    def test_not_once_some_came_in(self):
        services.bring_in(
            spreading=self.row.spreading, beets={self.row.lot: 5}, at=NOW, by=self.by,
            now=NOW,
        )  # fmt: skip
        with pytest.raises(ValidationError, match="on the page of Lot 1"):
            self.remove()

    def test_what_came_out_of_the_field_for_it_is_corrected_first(self):
        here = self.row.spreading.demonstration
        lot = make_lot_at(Place.CART, demonstration=here)
        dew = services.spread(
            demonstration=here, way=Way.DEW, beets={lot: 40}, spread_at=NOW,
            where="Bank", by=self.by, now=NOW,
        )  # fmt: skip
        with pytest.raises(ValidationError, match="Correct what was moved"):
            self.remove(dew)
        move = Move.objects.get(target=Place.GRASS, lot=lot)
        correct(move=move, reason="Slip.", by=self.by, now=NOW)
        self.remove(dew)


class EntryTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.spreading = make_spread_lot().spreading
        cls.by = make_user()

    def write(self, at=NOW, **said):
        said = {"what": Done.TURNED, "note": " Dry side up. "} | said
        return services.write_entry(
            entry=GrassEntry(spreading=self.spreading),
            at=at,
            by=self.by,
            now=NOW,
            **said,
        )

    def test_a_turn_is_written_down_put_right_and_taken_away(self):
        entry = self.write()
        assert entry.note == "Dry side up."
        other = make_user()
        services.write_entry(
            entry=entry, at=NOW, what=Done.GAITED, note="", by=other, now=NOW
        )
        entry.refresh_from_db()
        assert (entry.what, entry.entered_by) == (Done.GAITED, self.by)
        services.remove_entry(entry=entry)
        assert not GrassEntry.objects.exists()

    def test_not_before_it_was_spread_and_not_in_the_future(self):
        for at, words in (
            (NOW - 3 * DAY, "It wasn't spread yet"),
            (NOW + DAY, "in the future"),
        ):
            with pytest.raises(ValidationError, match=words):
                self.write(at=at)

    def test_a_day_is_written_once_and_can_be_said_anew(self):
        here = self.spreading.demonstration
        said = {"demonstration": here, "day": NOW.date(), "today": NOW.date()}
        services.keep_weather(wet=Wet.DRY, mean_c=None, **said)
        services.keep_weather(wet=Wet.RAIN, mean_c=Decimal("14.5"), **said)
        row = GrassWeather.objects.get()
        assert (row.wet, row.mean_c) == (Wet.RAIN, Decimal("14.5"))
        assert weather_days(here) == [row]
        with pytest.raises(ValidationError, match="That day is in the future"):
            services.keep_weather(
                wet=Wet.DRY, mean_c=None, **said | {"day": NOW.date() + DAY}
            )


class BringInTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.row = make_spread_lot(beets=40)
        cls.by = make_user()

    def bring(self, beets, at=NOW, **said):
        return services.bring_in(
            spreading=self.row.spreading, beets={self.row.lot: beets}, at=at,
            by=self.by, now=NOW, **said,
        )  # fmt: skip

    def test_part_of_it_comes_in_and_the_rest_still_lies(self):
        self.bring(25)
        state = spreading_state(self.row.spreading, NOW)
        assert (state.lying, state.spread, state.is_over) == (15, 40, False)
        self.bring(15)
        assert spreading_state(self.row.spreading, NOW).is_over

    def test_what_is_parted_from_it_lies_in_the_same_spreading(self):
        here = self.row.spreading.demonstration
        before = make_lot_at(Place.GRASS, demonstration=here)
        for lot in (self.row.lot, before):
            part(
                lot=lot, place=Place.GRASS, amount=Amount(beets=15), at=NOW,
                by=self.by, now=NOW,
            )  # fmt: skip
        state = spreading_state(self.row.spreading, NOW)
        assert [(one.spread, one.lying) for one in state.lots] == [(40, 25), (0, 15)]
        assert (state.lying, state.spread) == (40, 40)
        heap = spread_page(here, Way.AFTER_DAM).lots
        assert sorted(one.beets for one in heap) == [15, 25]

    def test_the_same_press_twice_is_one(self):
        key = uuid.uuid4()
        for _ in range(2):
            self.bring(25, key=key)
        assert stands(self.row.lot, Place.STORE, NOW) == 25

    def test_nothing_before_it_was_spread_and_no_more_than_lies(self):
        for beets, at, words in (
            (0, NOW, "Enter how many beets of which lot came in"),
            (5, NOW - 5 * DAY, "spread yet"),
            (41, NOW, "has 40 beets"),
        ):
            with pytest.raises(ValidationError, match=words):
                self.bring(beets, at=at)

    def test_a_lot_spread_again_lies_in_its_last_spreading_alone(self):
        self.bring(40)
        again = services.spread(
            demonstration=self.row.spreading.demonstration, way=Way.AGAIN,
            beets={self.row.lot: 40}, spread_at=NOW + DAY, where="Bank", by=self.by,
            now=NOW + DAY,
        )  # fmt: skip
        states = spreading_states(take_stock(again.demonstration), NOW + DAY)
        assert [(one.spreading, one.lying) for one in states] == [
            (again, 40),
            (self.row.spreading, 0),
        ]


class StateTests(TestCase):
    """When to turn it and to test it."""

    @classmethod
    def setUpTestData(cls):
        cls.row = make_spread_lot(
            spreading=make_spreading(spread_at=NOW, entered_at=NOW)
        )
        cls.here = cls.row.spreading.demonstration

    def state(self, days=0):
        return spreading_state(self.row.spreading, NOW + days * DAY)

    def entry(self, days, what=Done.TURNED):
        at = NOW + days * DAY
        make_grass_entry(spreading=self.row.spreading, what=what, at=at, entered_at=at)

    def test_it_is_turned_every_fourth_day_and_tested_from_the_sixth(self):
        today = NOW.date()
        state = self.state()
        assert (state.turn_on, state.test_on) == (today + 4 * DAY, today + 6 * DAY)
        assert state.turn_words == "every fourth day or so"
        self.entry(3)
        assert self.state(3).turn_on == today + 7 * DAY

    def test_after_a_test_that_found_too_little_it_is_tested_a_day_later(self):
        self.entry(7, Done.NOT_YET)
        assert self.state(7).test_on == NOW.date() + 8 * DAY
        assert not self.state(7).is_ready

    def test_a_test_that_found_it_ready_ends_turns_and_tests(self):
        self.entry(7, Done.READY)
        state = self.state(8)
        assert (state.turn_on, state.test_on) == (None, None)
        assert state.last_test.what == Done.READY

    def test_rain_in_the_forecast_last_read_moves_the_turn(self):
        at = datetime(2026, 8, 16, tzinfo=UTC)
        wet = {(at + timedelta(hours=n)).isoformat(): 0.4 for n in range(24)}
        dry = {(at - timedelta(hours=n)).isoformat(): 0 for n in range(1, 60)}
        RainAhead.objects.create(
            demonstration=self.here, made_at=NOW, read_at=NOW, hours=wet | dry
        )
        state = self.state()
        assert state.turn_on == date(2026, 8, 15)
        assert state.turn_words == "before rain comes"
        assert state.rain_on == date(2026, 8, 16)

    def test_all_spreadings_cost_the_same(self):
        def queries():
            return spreading_states(take_stock(self.here), NOW)

        with self.assertNumQueries(13):
            queries()
        for _ in range(3):
            make_spread_lot(spreading=make_spreading(demonstration=self.here))
        with self.assertNumQueries(13):
            assert len(queries()) == 4

    def test_the_grass_goes_by_the_beets_of_the_place(self):
        ours = needed(self.here, 40)
        assert ours.area.likely == pytest.approx(300)
        assert dict(ours.rows)[20] == 20


class DewTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.row = make_spread_lot(
            spreading=make_spreading(way=Way.DEW, spread_at=NOW, entered_at=NOW)
        )
        cls.here = cls.row.spreading.demonstration

    def write_days(self, count, **said):
        for n in range(count):
            day = NOW.date() + n * DAY
            make_grass_weather(demonstration=self.here, day=day, **said)

    def state(self, days):
        return spreading_state(self.row.spreading, NOW + days * DAY)

    def test_no_day_written_down_tells_nothing(self):
        state = self.state(10)
        assert (state.dew, state.turn_on, state.test_on) == (None, None, None)

    def test_half_way_it_is_turned_and_tested(self):
        self.write_days(14, mean_c=18)
        state = self.state(14)
        assert (state.dew.percent, state.dew.unknown_days) == (50, 0)
        assert state.turn_on == state.test_on == (NOW + 14 * DAY).date()
        assert "halfway" in state.turn_words
        make_grass_entry(spreading=self.row.spreading, at=NOW, what=Done.TURNED)
        assert self.state(14).turn_on is None

    def test_a_day_that_nobody_wrote_down_counts_as_dry_and_is_told(self):
        self.write_days(10, mean_c=18)
        dew = self.state(14).dew
        assert dew.unknown_days == 4
        assert dew.percent == round(100 * (10 + 4 / 4) / 28)

    def test_the_warmth_of_the_crops_days_stands_in(self):
        self.write_days(14)
        assert self.state(14).dew is None
        for n in range(14):
            day = NOW.date() + n * DAY
            make_warm_day(demonstration=self.here, day=day, tmin_c=12, tmax_c=24)
        assert self.state(14).dew.percent == 50

    def test_dry_days_count_a_quarter(self):
        self.write_days(14, mean_c=18, wet=Wet.DRY)
        assert self.state(14).dew.percent == round(100 * 14 / 4 / 28)
        assert self.state(14).test_on is None
