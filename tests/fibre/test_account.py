"""The fibre account, and what wants doing each day until the last strick."""

from datetime import UTC, datetime, timedelta

import pytest
from django.http import Http404
from django.test import TestCase
from django.urls import reverse

from heritage.calc.fibre import Step
from heritage.fibre.models import Air, Done, SmellOf, Way
from heritage.fibre.selectors import (
    account_page,
    fibre_page,
    matters,
    may_write,
    require_writer,
)
from heritage.gatherings.models import RainAhead
from heritage.lots.models import Place
from heritage.people.request import Role, Standing
from tests.factories import (
    NOW,
    make_demonstration,
    make_dry_test,
    make_gathering,
    make_grass_entry,
    make_lot_at,
    make_move,
    make_spread_lot,
    make_spreading,
    make_store_check,
    make_volunteer,
)

DAY = timedelta(days=1)


def weigh(lot, source, target, dry_g, beets=None):
    loss = {"loss": "dust"} if target == Place.LOST else {}
    make_move(lot=lot, source=source, target=target, dry_g=dry_g, beets=beets, **loss)


class AccountTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.lot = make_lot_at(Place.STORE, beets=100, demonstration=cls.here)

    def steps(self):
        return {one.step: one for one in account_page(self.here).steps}

    def test_before_anything_is_weighed_all_is_to_come(self):
        steps = self.steps()
        assert steps[Step.CROP].before.likely == 300
        for step in (Step.RETTED, Step.SCUTCHED, Step.LINE):
            assert steps[step].measured_kg == 0
            assert steps[step].to_come.likely == pytest.approx(
                steps[step].before.likely
            )

    def test_what_was_weighed_takes_the_place_of_what_was_expected(self):
        weigh(self.lot, Place.STORE, Place.BRAKE, 88_000, beets=60)
        weigh(self.lot, Place.BRAKE, Place.SCUTCH, 17_600)
        weigh(self.lot, Place.BRAKE, Place.LOST, 70_400)
        weigh(self.lot, Place.SCUTCH, Place.HACKLE, 8_800)
        weigh(self.lot, Place.HACKLE, Place.LINE, 4_400)
        weigh(self.lot, Place.HACKLE, Place.TOW, 4_400)
        steps, page = self.steps(), account_page(self.here)
        assert steps[Step.RETTED].measured_kg == pytest.approx(100)
        assert steps[Step.SCUTCHED].measured_kg == pytest.approx(10)
        assert steps[Step.LINE].measured_kg == pytest.approx(5)
        # Forty beets are still to be opened, and half the broken flax to be scutched.
        straw = 40 * 3 * 0.75 * 0.75
        assert steps[Step.RETTED].to_come.likely == pytest.approx(straw)
        scutched = 0.1 * straw + 0.76 * 10
        assert steps[Step.SCUTCHED].to_come.likely == pytest.approx(scutched)
        assert page.line.total.likely == pytest.approx(5 + 0.5 * scutched)
        assert page.tow_kg == pytest.approx(5)

    def test_its_worth_follows_the_fineness_and_the_cloth(self):
        coarse = account_page(self.here, lea=10).worth
        fine = account_page(self.here, lea=20, g_per_m2=100).worth
        assert fine.metres == pytest.approx(2 * coarse.metres)
        assert fine.cloth.likely == pytest.approx(2 * coarse.cloth.likely)
        assert fine.hours.low < fine.hours.likely < fine.hours.high
        assert coarse.tow_cloth.likely == 0

    def test_no_crop_has_no_account_to_give(self):
        page = account_page(make_demonstration())
        assert page.pulled == 0
        assert page.line.total.likely == page.worth.yarn.likely == 0

    def test_it_costs_seven_queries_at_any_size(self):
        for _ in range(2):
            with self.assertNumQueries(8):
                account_page(self.here)
            make_lot_at(Place.STORE, demonstration=self.here)


@pytest.mark.any_database
class MattersTests(TestCase):
    """What Today says after the dam."""

    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()

    def said(self, now=NOW):
        return {one.words: one for one in matters(self.here, now)}

    def lift(self, at):
        lot = make_lot_at(Place.DAM, demonstration=self.here)
        make_move(lot=lot, source=Place.DAM, target=Place.GRASS, beets=40, at=at)

    def spread(self, **fields):
        fields = {"spread_at": NOW, "entered_at": NOW} | fields
        spreading = make_spreading(demonstration=self.here, **fields)
        return make_spread_lot(spreading=spreading).spreading

    def rain(self, day):
        at = datetime(2026, 8, day, tzinfo=UTC)
        hours = {(at + timedelta(hours=n)).isoformat(): 1 for n in range(24)}
        RainAhead.objects.create(
            demonstration=self.here, made_at=NOW, read_at=NOW, hours=hours
        )

    def test_nothing_is_said_before_the_dam(self):
        make_lot_at(Place.CART, demonstration=self.here)
        assert self.said() == {}

    def test_what_drains_is_spread_after_half_a_day(self):
        self.lift(NOW - timedelta(hours=3))
        one = self.said()["Spread 40 beets on the grass"]
        assert not one.is_due
        assert "drains 12 to 24 hours" in one.why
        one = self.said(NOW + timedelta(hours=10))["Spread 40 beets on the grass"]
        assert one.is_due
        assert one.url == reverse("fibre:spread", args=[self.here.slug])

    def test_it_is_turned_and_tested_when_its_day_comes(self):
        self.spread()
        assert self.said() == {}
        assert self.said(NOW + 4 * DAY)["Turn the flax at Bank field"].is_due
        assert "Test the flax at Bank field" in self.said(NOW + 6 * DAY)

    def test_it_is_brought_in_once_a_test_says_so(self):
        entry = make_grass_entry(spreading=self.spread(), what=Done.READY)
        said = self.said()
        assert list(said) == ["Bring in the flax from Bank field"]
        assert "rain" not in said["Bring in the flax from Bank field"].why
        self.rain(NOW.day + 1)
        why = self.said()["Bring in the flax from Bank field"].why
        assert "cover it or bring it in" in why
        assert entry.what == Done.READY

    def test_what_stands_to_dry_is_covered_before_rain(self):
        make_grass_entry(spreading=self.spread(), what=Done.GAITED)
        assert "Cover the flax at Bank field" not in self.said()
        self.rain(NOW.day + 1)
        assert self.said()["Cover the flax at Bank field"].is_due

    def test_dew_is_quiet_until_half_way(self):
        self.spread(way=Way.DEW)
        assert self.said(NOW + 8 * DAY) == {}

    def test_the_store_is_looked_at_tested_and_broken(self):
        lot = make_lot_at(Place.STORE, demonstration=self.here)
        said = self.said()
        assert said["Look at the store: air, heat, smell"].is_due
        assert "Test how dry the straw in the store is" in said
        make_store_check(demonstration=self.here)
        make_dry_test(lot=lot, moisture_permille=190)
        assert list(self.said()) == ["Spread Lot 1 again"]
        make_dry_test(lot=lot, moisture_permille=110)
        assert list(self.said()) == ["Break Lot 1"]

    def test_danger_of_fire_comes_first(self):
        self.lift(NOW - DAY)
        make_lot_at(Place.STORE, demonstration=self.here)
        make_store_check(demonstration=self.here, smell=SmellOf.CARAMEL, air=Air.POOR)
        danger, heap = matters(self.here, NOW)
        assert danger.words == "Danger of fire in the store"
        assert "call the fire service" in danger.why
        # Nothing asks for straw to be taken out of it.
        assert heap.words == "Spread 40 beets on the grass"

    def test_the_store_says_again_what_it_said(self):
        make_lot_at(Place.STORE, demonstration=self.here)
        make_store_check(demonstration=self.here, at=NOW - 2 * DAY)
        assert (
            "as it should be" in self.said()["Look at the store: air, heat, smell"].why
        )

    def test_what_lies_at_the_work_is_named_until_the_last_strick(self):
        lot = make_lot_at(Place.STORE, demonstration=self.here)
        weigh(lot, Place.STORE, Place.BRAKE, 60_000, beets=40)
        weigh(lot, Place.BRAKE, Place.SCUTCH, 10_000)
        weigh(lot, Place.SCUTCH, Place.HACKLE, 7_000)
        words = list(self.said())
        assert words == [
            "Finish breaking 50.00 kg", "Scutch 3.00 kg", "Hackle 7.00 kg",
        ]  # fmt: skip
        for place, grams in (
            (Place.BRAKE, 50_000), (Place.SCUTCH, 3_000), (Place.HACKLE, 7_000),
        ):  # fmt: skip
            weigh(lot, place, Place.LOST, grams)
        assert self.said() == {}

    def test_it_costs_the_same_whatever_there_is(self):
        with self.assertNumQueries(5):
            matters(self.here, NOW)
        for _ in range(2):
            self.lift(NOW - DAY)
            self.spread()
            make_dry_test(lot=make_lot_at(Place.STORE, demonstration=self.here))
            make_store_check(demonstration=self.here)
            with self.assertNumQueries(19):
                matters(self.here, NOW)

    def test_the_page_of_it_all_shows_what_lies_and_what_came_in(self):
        self.lift(NOW - DAY)
        lying = self.spread()
        past = make_spreading(demonstration=self.here, where="Hill")
        page = fibre_page(self.here, NOW)
        assert page.heap.late_at == NOW
        assert [one.spreading for one in page.lying] == [lying]
        assert [one.spreading for one in page.past] == [past]


class WriterTests(TestCase):
    def test_organisers_and_leads_write(self):
        here = make_demonstration()
        lead, other = (make_volunteer(demonstration=here) for _ in range(2))
        make_gathering(demonstration=here, lead=lead)
        for who, role, writes in (
            (lead, Role.VOLUNTEER, True),
            (other, Role.VOLUNTEER, False),
            (other, Role.ORGANISER, True),
        ):
            standing = Standing(here, who, role)
            assert may_write(who.user, standing) is writes
        with pytest.raises(Http404):
            require_writer(other.user, Standing(here, other, Role.VOLUNTEER))
