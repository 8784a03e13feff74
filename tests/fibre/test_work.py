"""Sessions: what was worked is all somewhere again, and what is missing is dust."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase as HypothesisTestCase

from heritage.fibre.models import Session, Work
from heritage.fibre.stock.selectors import take_stock
from heritage.fibre.work.selectors import session_line, session_lines, work_page
from heritage.fibre.work.services import Opened, Out, hold_session
from heritage.lots.models import Loss, Move, Place
from heritage.lots.selectors import stands
from heritage.lots.services import correct
from tests.factories import NOW, make_demonstration, make_lot_at, make_user

HOUR = timedelta(hours=1)
NOTHING = Opened({}, None, None)


class Shed(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.by = make_user()
        cls.lot = make_lot_at(Place.STORE, beets=40, demonstration=cls.here)

    def hold(self, work=Work.BREAKING, opened=NOTHING, lots=(), out=None, **said):
        said = {"began_at": NOW - 2 * HOUR, "ended_at": NOW, "now": NOW} | said
        return hold_session(
            demonstration=self.here, work=work, opened=opened, lots=list(lots),
            out=out or Out(), by=self.by, **said,
        )  # fmt: skip

    def break_(self, beets=40, weighed_g=60_000, out=None, **said):
        opened = Opened({self.lot: beets}, weighed_g, Decimal(12))
        moist = {"moisture_pct": Decimal(12)}
        out = out or Out(onward_g=12_000, tow_g=1_000, shive_g=40_000, **moist)
        return self.hold(opened=opened, out=out, **said)

    def g(self, place, lot=None):
        return stands(lot or self.lot, place, NOW)


class BreakingTests(Shed):
    def test_beets_are_opened_by_weight_and_all_of_it_is_somewhere(self):
        session = self.break_(people=3, where=" Yard ", note="Dry wind.")
        assert session.in_dry_g == 52_800
        assert (self.g(Place.STORE), self.g(Place.BRAKE)) == (0, 0)
        assert self.g(Place.SCUTCH) == 10_560
        assert (self.g(Place.TOW), self.g(Place.SHIVE)) == (880, 35_200)
        assert self.g(Place.LOST) == 52_800 - 10_560 - 880 - 35_200
        dust = Move.objects.get(target=Place.LOST)
        assert dust.loss == Loss.DUST
        line = session_line(session)
        assert (line.percent, line.expected_percents) == (20, (12, 21, 50))
        assert line.dust_g == self.g(Place.LOST)
        assert line.person_hours == 6
        assert line.g_per_hour == 8_800
        assert line.session.where == "Yard"

    def test_what_is_not_worked_yet_stays_at_the_brake(self):
        dry = {"moisture_pct": Decimal(0)}
        out = Out(onward_g=10_000, shive_g=20_000, left_g=20_000, **dry)
        session = self.break_(out=out)
        assert self.g(Place.BRAKE) == 20_000
        assert session.in_dry_g == 32_800
        more = self.hold(
            lots=[self.lot], out=Out(onward_g=5_000, **dry), began_at=NOW - HOUR / 2,
            ended_at=NOW + HOUR, now=NOW + HOUR,
        )  # fmt: skip
        assert more.in_dry_g == 20_000
        assert stands(self.lot, Place.BRAKE, NOW + HOUR) == 0

    def test_several_lots_become_one_that_remembers_them(self):
        other = make_lot_at(Place.STORE, beets=10, demonstration=self.here)
        opened = Opened({self.lot: 40, other: 10}, 75_000, None)
        session = self.hold(opened=opened, out=Out(onward_g=15_000))
        assert session.lot not in (self.lot, other)
        assert self.g(Place.SCUTCH, session.lot) == 13_200

    def test_a_weight_in_the_wrong_unit_is_asked_about_with_the_figures(self):
        with pytest.raises(ValidationError, match="dry from 40 beets") as refusal:
            self.break_(weighed_g=2_000_000)
        assert "sure" in refusal.value.message_dict
        assert "1,760.0 kg" in str(refusal.value)
        assert not Session.objects.exists()
        self.break_(weighed_g=2_000_000, sure=True)
        assert Session.objects.get().in_dry_g == 1_760_000

    def test_more_out_than_in_is_refused_and_nothing_is_moved(self):
        before = Move.objects.count()
        with pytest.raises(ValidationError, match=r"60.00 kg came out") as refusal:
            self.break_(out=Out(onward_g=60_000, moisture_pct=Decimal(0)))
        assert "52.80 kg went in" in str(refusal.value)
        with pytest.raises(ValidationError, match="Is that in grams"):
            self.break_(out=Out(onward_g=9_000_000))
        assert Move.objects.count() == before

    def test_all_of_it_left_is_no_session(self):
        with pytest.raises(ValidationError, match="so nothing was worked") as caught:
            self.break_(out=Out(onward_g=1, left_g=60_000, moisture_pct=Decimal(12)))
        assert "left_g" in caught.value.message_dict
        assert not Move.objects.filter(target=Place.BRAKE).exists()

    def test_scales_may_differ_a_little(self):
        self.break_(out=Out(onward_g=53_100, moisture_pct=Decimal(0)))
        assert self.g(Place.SCUTCH) == 52_800

    def test_the_same_press_twice_is_one_session(self):
        key = uuid.uuid4()
        assert self.break_(key=key) == self.break_(key=key)

    def test_what_is_missing_is_asked_for(self):
        for said, words in (
            ({"weighed_g": None}, "Enter the weight of the straw you opened"),
            ({"out": Out(tow_g=5)}, "Enter the weight that goes on to the next step"),
            ({"ended_at": NOW - 3 * HOUR}, "The end is before the start"),
            ({"ended_at": NOW + HOUR}, "in the future"),
            (
                {"lots": [self.lot]},
                "Choose one: open new beets, or go on with what's there",
            ),
            ({"beets": 0}, "Choose what was worked"),
            ({"beets": 41}, "has 40 beets"),
        ):
            with self.subTest(words), pytest.raises(ValidationError, match=words):
                self.break_(**said)


class OnwardTests(Shed):
    def setUp(self):
        self.break_(ended_at=NOW - HOUR)

    def test_scutching_and_hackling_take_what_lies_there(self):
        dry = {"moisture_pct": Decimal(0)}
        scutched = self.hold(
            Work.SCUTCHING, lots=[self.lot], began_at=NOW - HOUR / 2,
            ended_at=NOW - HOUR / 3, out=Out(onward_g=8_000, tow_g=1_500, **dry),
        )  # fmt: skip
        assert session_line(scutched).shares.is_expected
        hackled = self.hold(
            Work.HACKLING, lots=[self.lot], began_at=NOW - HOUR / 4,
            out=Out(onward_g=2_000, tow_g=5_500, **dry),
        )  # fmt: skip
        line = session_line(hackled)
        assert not line.shares.is_expected
        assert self.g(Place.LINE) == 2_000
        assert self.g(Place.TOW) == 880 + 1_500 + 5_500
        assert line.g_per_hour is None
        assert [one.session for one in session_lines(self.here)][:2] == [
            hackled, scutched,
        ]  # fmt: skip

    def test_nothing_there_is_said(self):
        with pytest.raises(ValidationError, match="Nothing of Lot 1 was to be hackled"):
            self.hold(Work.HACKLING, lots=[self.lot], out=Out(onward_g=1))

    def test_several_lots_are_scutched_together(self):
        other = make_lot_at(Place.STORE, beets=10, demonstration=self.here)
        opened = Opened({other: 10}, 15_000, None)
        self.hold(opened=opened, out=Out(onward_g=3_000), ended_at=NOW - HOUR)
        both = self.hold(
            Work.SCUTCHING, lots=[self.lot, other], began_at=NOW - HOUR / 2,
            out=Out(onward_g=9_000),
        )  # fmt: skip
        assert both.in_dry_g == 10_560 + 2_640

    def test_a_corrected_move_does_not_count(self):
        session = Session.objects.get()
        for move in Move.objects.filter(target=Place.SCUTCH):
            correct(move=move, reason="Wrong scale.", by=self.by, now=NOW)
        line = session_line(session)
        assert (line.onward_g, line.percent) == (0, 0)
        Session.objects.update(in_dry_g=10)
        session.refresh_from_db()
        assert session_line(session).percent is None

    def test_the_page_says_what_may_come_of_it(self):
        page = work_page(take_stock(self.here), Work.SCUTCHING)
        assert page.there_g == 10_560
        assert page.onward.likely == pytest.approx(0.76 * 10.56)
        assert "Ribe" in page.source
        make_lot_at(Place.STORE, beets=10, demonstration=self.here)
        page = work_page(take_stock(self.here), Work.BREAKING)
        assert page.beets == 10
        assert page.is_anything
        assert not work_page(take_stock(self.here), Work.HACKLING).is_anything

    def test_sessions_cost_two_queries(self):
        with self.assertNumQueries(2):
            session_lines(self.here)


@pytest.mark.any_database
class ConservationTests(HypothesisTestCase):
    """Whatever is weighed, nothing comes from nowhere and nothing goes nowhere."""

    @settings(max_examples=25, deadline=None)
    @given(
        weighed=st.integers(20_000, 90_000),
        shares=st.lists(st.floats(0, 1), min_size=4, max_size=4),
    )
    def test_all_that_was_opened_is_somewhere(self, weighed, shares):
        here = make_demonstration()
        lot = make_lot_at(Place.STORE, beets=40, demonstration=here)
        total = max(1.0, sum(shares))
        onward, tow, shive, left = (int(weighed * share / total) for share in shares)
        left = min(left, weighed - 100)
        hold_session(
            demonstration=here, work=Work.BREAKING, lots=[], by=make_user(),
            opened=Opened({lot: 40}, weighed, Decimal(12)), now=NOW, sure=True,
            out=Out(max(1, onward), tow, shive, left, Decimal(12)),
            began_at=NOW - HOUR, ended_at=NOW,
        )  # fmt: skip
        stock = take_stock(here)
        places = (Place.BRAKE, Place.SCUTCH, Place.TOW, Place.SHIVE, Place.LOST)
        opened = Move.objects.get(lot=lot, target=Place.BRAKE).dry_g
        assert stock.grams(*places) == opened
        assert stock.beets([Place.STORE]) == 0
