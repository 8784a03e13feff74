"""The filling evening: lots, loads and trips, the light, and the measured pace."""

import io
import re
import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.dam import services as dams
from heritage.dam.evening import services
from heritage.dam.evening.selectors import evening_page, open_evening, what_came
from heritage.dam.filling.selectors import LotIn, lots_of
from heritage.dam.models import FillEvening, FillLoad
from heritage.lots.models import Lot, Move, Place
from heritage.lots.selectors import stock
from heritage.season.models import RootEnd, Stage
from tests.factories import (
    NOW,
    make_dam,
    make_fill_evening,
    make_fill_load,
    make_flow_test,
    make_gathering,
    make_organiser,
    make_past_ret,
    make_pulled_lot,
    make_station,
    make_volunteer,
    make_water_asked,
)

MINUTE = timedelta(minutes=1)
HOUR = 60 * MINUTE
DAY = 24 * HOUR
# 12 August 2026, 18:40 in the show's zone; sunset there is at about 21:00.
START = NOW - HOUR


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Evening(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.dam = make_dam()
        cls.here = cls.dam.demonstration
        cls.organiser = make_organiser(demonstration=cls.here)
        cls.by = cls.organiser.user
        cls.old = cls.pulled(4, 130)
        cls.new = cls.pulled(1, 50)

    @classmethod
    def pulled(cls, days, beets):
        at = NOW - days * DAY
        evening = make_gathering(
            demonstration=cls.here, starts_at=at, ends_at=at + 2 * HOUR
        )
        return make_pulled_lot(gathering=evening, beets=beets)

    def planned(self, **fields):
        given = {"dam": self.dam, "lots": [self.old, self.new], "starts_at": START}
        return make_fill_evening(**given | {"water_first": True} | fields)

    def tick(self, evening, lot=None, beets=60, at=NOW, **given):
        return services.tick_load(
            evening=evening, lot=lot or self.old, beets=beets, at=at, by=self.by,
            now=NOW, **given,
        )  # fmt: skip


class PlanTests(Evening):
    VALUES = {
        "starts_at": START, "mixed": False, "water_first": False, "load_beets": 60,
        "distance_m": 400, "speed_kmh": Decimal(5), "carts": 1, "loaders": 4,
        "placers": 4, "weigh_down_min": 45,
    }  # fmt: skip

    def plan(self, chosen=None, sure=False, **wrong):
        return services.plan_evening(
            evening=open_evening(self.dam) or FillEvening(dam=self.dam),
            values=self.VALUES | wrong,
            chosen=[self.old] if chosen is None else chosen,
            sure=sure,
        )

    def test_a_plan_is_kept_and_changed(self):
        self.plan()
        self.plan(carts=2, chosen=[self.old, self.new])
        evening = FillEvening.objects.get()
        assert evening.carts == 2
        assert evening.lots.count() == 2

    def test_no_lot_and_a_strangers_lot_are_refused(self):
        with pytest.raises(ValidationError, match="at least one lot"):
            self.plan(chosen=[])
        with pytest.raises(ValidationError, match="belongs to another demonstration"):
            self.plan(chosen=[make_pulled_lot()])

    def test_one_person_alone_at_the_water_is_refused(self):
        with pytest.raises(ValidationError, match="Enter 2 or more"):
            self.plan(placers=1)

    def test_a_rest_that_is_not_over_is_asked_about(self):
        make_past_ret(dam=self.dam, rest_until=NOW.date() + 5 * DAY)
        with pytest.raises(ValidationError, match="to rest until 17 August"):
            self.plan()
        assert self.plan(sure=True).pk

    def test_a_plan_is_given_up_until_a_load_has_come(self):
        evening = self.planned()
        load = self.tick(evening)
        with pytest.raises(ValidationError, match="take them back first"):
            services.drop_evening(evening=evening)
        services.take_back(load=load, by=self.by, now=NOW)
        services.drop_evening(evening=evening)
        assert not FillEvening.objects.exists()
        assert Move.objects.count() == 2


class LoadTests(Evening):
    def test_a_load_is_on_the_cart_until_the_dam_is_filled(self):
        evening = self.planned()
        self.tick(evening)
        assert stock(self.here) == {Place.STOOK: (120, 0), Place.CART: (60, 0)}
        ret = dams.fill(
            dam=self.dam, began_at=NOW, beets=60, lots=what_came(evening),
            water_depth_m=Decimal(1), beet_dry_kg=None, by=self.by, now=NOW,
        )  # fmt: skip
        assert lots_of(ret) == (LotIn(self.old, 60),)
        assert stock(self.here) == {Place.STOOK: (120, 0), Place.DAM: (60, 0)}
        assert open_evening(self.dam) is None
        with pytest.raises(
            ValidationError,
            match="This flax is already under water, so you can't add loads",
        ):
            self.tick(evening)
        with pytest.raises(ValidationError, match="This flax is already under water"):
            services.take_back(load=FillLoad.objects.get(), by=self.by, now=NOW)
        with pytest.raises(ValidationError, match="evening is over"):
            services.plan_evening(
                evening=FillEvening.objects.get(), values={}, chosen=[self.old]
            )

    def test_pressed_twice_it_is_one_load(self):
        evening, key = self.planned(), uuid.uuid4()
        assert self.tick(evening, key=key) == self.tick(evening, key=key)
        assert FillLoad.objects.count() == 1

    def test_what_could_not_be_is_refused_at_its_field(self):
        evening = self.planned(lots=[self.old])
        wrong = [
            ({"lot": self.new}, "lot", "isn't planned"),
            ({"beets": 131}, "beets", "has 130 beets in the field"),
            ({"at": NOW + HOUR}, "at", "in the future"),
        ]
        for given, field, words in wrong:
            with pytest.raises(ValidationError) as refusal:
                self.tick(evening, **given)
            assert re.search(words, refusal.value.message_dict[field][0])

    def test_a_load_taken_back_is_in_the_field_again(self):
        evening = self.planned()
        services.take_back(load=self.tick(evening), by=self.by, now=NOW)
        page = evening_page(evening, NOW)
        assert (page.loads, page.came_beets, page.beets) == ((), 0, 180)
        assert stock(self.here) == {Place.STOOK: (180, 0)}


class ForecastTests(Evening):
    def page(self, evening, now=NOW):
        return evening_page(evening, now)

    def test_lots_kept_apart_share_no_load_and_mixed_ones_do(self):
        """130 and 50 beets in loads of 60: three and one, or three of 180."""
        evening = self.planned()
        assert self.page(evening).to_come == (60, 60, 10, 50)
        evening.mixed = True
        assert self.page(evening).to_come == (60, 60, 60)

    def test_the_light_is_that_of_the_sun(self):
        """54.6 N 6.4 W on 12 August 2026, by pvlib's SPA: 20:04:10 UTC, 21:04 BST."""
        assert f"{self.page(self.planned()).dark:%d %H:%M}" == "12 21:04"

    def test_the_last_load_leaves_time_for_placing_weighing_and_the_way(self):
        evening = self.planned()
        page = self.page(evening)
        placing = 60 / (4 * 60) * 60
        likely = page.dark - (45 + placing) * MINUTE
        assert abs(page.clock.stop_likely - likely) < timedelta(seconds=1)
        assert page.leave_by == page.clock.stop_sure - 6 * MINUTE
        assert page.clock.stop_sure < page.clock.stop_likely

    def test_water_after_the_flax_ends_the_carting_sooner(self):
        first = self.page(self.planned())
        first.evening.delete()
        make_flow_test(dam=self.dam, litres=100, first_s=Decimal(6))
        after = self.page(self.planned(water_first=False))
        sooner = (first.clock.stop_likely - after.clock.stop_likely) / HOUR
        assert sooner == pytest.approx(after.supply.hours.likely, abs=0.01)
        assert "and the times here count them" in after.water_words

    def test_water_that_takes_longer_than_the_light_is_said_first(self):
        """Half a litre a second fills some 23 m³ in twelve hours: past midnight."""
        make_flow_test(dam=self.dam, first_s=Decimal(20))
        evening = self.planned(water_first=False)
        page = self.page(evening, START - HOUR)
        assert page.is_water_late
        assert page.lead.startswith("Nothing is under water by sunset: the water")
        assert "The times here are for weighing down" in page.water_words
        begun = self.page(evening)
        assert "weighed down" in begun.lead
        assert begun.clock.stop_likely > begun.starts

    def test_water_before_the_flax_is_let_in_in_time(self):
        make_flow_test(dam=self.dam)
        page = self.page(self.planned())
        hours = timedelta(hours=page.supply.hours.high)
        assert page.water_from == page.starts - hours
        assert "let it in by" in page.water_words

    def test_water_that_nobody_measured_is_left_out_and_said(self):
        self.dam.inflow_lps = None
        self.dam.save()
        page = self.page(self.planned(water_first=False))
        assert "isn't known: measure what comes in" in page.water_words

    def test_each_load_narrows_the_pace_to_the_measured(self):
        evening = self.planned()
        before = self.page(evening)
        for minutes in (45, 30, 15):
            make_fill_load(
                evening=evening, lot=self.old, beets=30, at=NOW - minutes * MINUTE
            )
        after = self.page(evening)
        assert after.pace.high / after.pace.low < before.pace.high / before.pace.low
        assert abs(after.pace.likely - 15) < abs(before.pace.likely - 15)
        assert "by 2 gaps measured" in after.pace_words
        assert [line.gap_min for line in after.loads] == [None, 15, 15]

    def test_the_lead_goes_with_the_evening(self):
        evening = self.planned(lots=[self.old])
        assert "3 loads to come: all under water by about" in self.page(evening).lead
        early = self.page(self.planned_elsewhere(starts_at=NOW + 2 * HOUR))
        assert (
            "Not one of 3 loads is sure to be under water by sunset at 21:04"
            in early.lead
        )
        assert "Stop carting." in self.page(evening, NOW + 2 * HOUR).lead
        self.tick(evening, beets=130, at=NOW)
        assert "Every load is at the dam" in self.page(evening).lead
        late = self.page(evening, NOW + 3 * HOUR)
        assert "Work at the water is over" in late.lead

    def test_nothing_is_planned_at_the_water_after_dark(self):
        """From 54.6 N on 12 August 2026: sunset at 21:04 (pvlib's SPA)."""
        evening = self.planned(lots=[self.old])
        self.tick(evening, beets=130, at=NOW)
        for minutes in range(0, 240, 20):
            page = self.page(evening, NOW + minutes * MINUTE)
            said = f"{page.lead} {page.all_under if not page.is_dark else ''}"
            hours = re.findall(r"\d\d:\d\d", said)
            assert max(hours) <= "21:04", said
        empty = self.planned_elsewhere()
        assert "left in the field to cart" in self.page(empty).lead

    def planned_elsewhere(self, **fields):
        dam = make_dam(demonstration=self.here)
        return self.planned(**{"dam": dam, "lots": [self.old]} | fields)

    def test_dark_that_comes_first_says_how_many_loads_are_sure(self):
        big = self.pulled(2, 600)
        page = self.page(self.planned(lots=[big], starts_at=NOW - 2 * HOUR))
        assert 0 < page.in_time.low < len(page.to_come)
        assert (
            f"{int(page.in_time.low)} of 10 loads are sure to be under water"
            in page.lead
        )

    def test_light_all_night_lets_every_load_come(self):
        self.here.latitude, self.here.longitude = Decimal(69), Decimal(20)
        self.here.time_zone = "Europe/Oslo"
        self.here.save()
        evening = self.planned(starts_at=NOW - 45 * DAY)
        evening.dam.demonstration = self.here
        page = self.page(evening, NOW - 45 * DAY)
        assert page.dark is None
        assert page.leave_by is None
        assert page.in_time.low == len(page.to_come)

    def test_days_that_differ_are_warned_of_either_way(self):
        evening = self.planned()
        assert "each lot is tested by itself" in self.page(evening).mixed_words
        evening.mixed = True
        assert "Spon's" in self.page(evening).mixed_words
        evening.lots.set([self.old])
        assert self.page(evening).mixed_words == ""

    def test_a_dam_that_is_too_small_is_said(self):
        evening = self.planned(lots=[self.pulled(2, 2000)])
        assert self.page(evening).is_over_full

    def test_more_loads_cost_no_more_queries(self):
        evening = self.planned()
        for minutes in (90, 60, 30):
            with self.assertNumQueries(11):
                page = self.page(evening)
                assert page.lead
                assert page.clock
            make_fill_load(
                evening=evening, lot=self.old, beets=30, at=NOW - minutes * MINUTE
            )


@pytest.mark.any_database
class PageTests(Evening):
    def address(self, name, row=None):
        return reverse(f"dam:{name}", args=[self.here.slug, (row or self.dam).pk])

    def get(self, name, user=None, **query):
        self.client.force_login(user or self.by)
        return self.client.get(self.address(name), query)

    def post(self, name, row=None, **typed):
        self.client.force_login(self.by)
        return self.client.post(self.address(name, row), typed)

    def words(self, response, status=200):
        assert response.status_code == status
        return re.sub(r"\s+", " ", response.content.decode())

    PLAN = {
        "starts_at": "2026-08-12T17:00", "load_beets": "60", "distance_m": "500",
        "speed_kmh": "5", "carts": "1", "loaders": "4", "placers": "4",
        "weigh_down_min": "45", "mixed": "", "water_first": "on",
    }  # fmt: skip

    def test_the_plan_offers_what_is_posted_and_what_the_last_had(self):
        past = make_dam(demonstration=self.here)
        make_fill_evening(dam=past, lots=[self.old], distance_m=777)
        make_gathering(
            demonstration=self.here, stage=Stage.CARTING,
            starts_at=NOW + DAY, ends_at=NOW + DAY + HOUR,
        )  # fmt: skip
        page = self.words(self.get("evening_plan"))
        assert 'value="777"' in page
        assert 'value="2026-08-13T' in page
        assert "Lot 1: 130 beets, pulled 8 Aug" in page
        assert "Nobody has been asked yet about taking water" in page
        make_water_asked(dam=self.dam)
        assert "Nobody has been asked yet" not in self.words(self.get("evening_plan"))

    def test_it_is_planned_shown_and_ticked(self):
        typed = self.PLAN | {"lots": [self.old.pk, self.new.pk]}
        answer = self.post("evening_plan", **typed)
        page = self.words(self.client.get(answer.url))
        assert "4 loads" in page
        assert "in rows, root end down" in page
        tick = {"lot": self.old.pk, "beets": "60", "at": "2026-08-12T18:00"}
        assert self.post("load_add", **tick).url == answer.url
        page = self.words(self.get("evening"))
        assert "Load 1: 60 beets of Lot 1" in page
        self.post("load_back", FillLoad.objects.get())
        assert "No load has come yet" in self.words(self.get("evening"))

    def test_what_is_wrong_is_said_at_its_field_and_what_was_typed_stays(self):
        page = self.post("evening_plan", **self.PLAN | {"placers": "1"})
        assert set(page.context["form"].errors) == {"lots", "placers"}
        assert 'value="500"' in self.words(page)
        self.planned()
        page = self.post(
            "load_add", lot=self.old.pk, beets="999", at="2026-08-12T18:00"
        )
        assert "beets" in page.context["form"].errors
        assert 'value="999"' in self.words(page)

    def test_volunteers_see_it_and_tick_nothing(self):
        self.planned()
        volunteer = make_volunteer(demonstration=self.here).user
        page = self.words(self.get("evening", user=volunteer))
        assert "When to stop" in page
        assert "Tick this load" not in page
        tick = {"lot": self.old.pk, "beets": "60", "at": "2026-08-12T18:00"}
        assert self.client.post(self.address("load_add"), tick).status_code == 404

    def test_who_leads_the_evening_ticks(self):
        self.planned()
        lead = make_volunteer(demonstration=self.here)
        make_gathering(demonstration=self.here, lead=lead)
        assert "Tick this load" in self.words(self.get("evening", user=lead.user))

    def test_signed_up_hands_are_shown_by_station(self):
        self.planned()
        posted = make_gathering(
            demonstration=self.here, stage=Stage.FILLING_THE_DAM,
            starts_at=START, ends_at=START + 2 * HOUR,
        )  # fmt: skip
        make_station(gathering=posted, title="Hand down", places=5)
        assert "Hand down: 0 of 5" in self.words(self.get("evening"))

    def test_the_practice_is_said_alike_on_page_and_paper(self):
        self.planned()
        for practice in RootEnd:
            self.here.root_end = practice
            self.here.save()
            said = f"in rows, {practice.label}."
            assert said in self.words(self.get("evening"))
            assert said in self.text(self.get("evening_sheet"))

    def text(self, answer):
        pages = PdfReader(io.BytesIO(answer.content)).pages
        return " ".join(" ".join(page.extract_text().split()) for page in pages)

    def test_the_sheet_has_a_line_for_each_load_in_both_sizes(self):
        evening = self.planned(lots=[self.old])
        self.tick(evening)
        for size in ({}, {"large": "1"}):
            text = self.text(self.get("evening_sheet", **size))
            for said in ("Deep water", "Lot 1", "The last leaves the field by", "kg"):
                assert said in text
            assert re.search(r"1 Lot 1 60 \d\d:\d\d", text)

    def test_what_came_is_offered_where_the_dam_is_filled(self):
        evening = self.planned()
        self.tick(evening)
        page = self.words(self.get("fill"))
        assert page.count('value="60"') == 2
        assert "(optional)" not in page.split("why there is more")[0]
        typed = {"began_at": "2026-08-12T18:30", "water_depth_m": "1.1"}
        self.post("fill", beets="60", **{f"lot_{self.old.pk}": "60"}, **typed)
        assert FillEvening.objects.get().ret is not None
        assert self.get("evening").status_code == 404

    def test_the_dam_leads_to_the_plan_and_then_to_the_evening(self):
        assert "Plan the filling" in self.words(self.get("dam"))
        self.planned()
        assert "Open the filling evening" in self.words(self.get("dam"))

    def test_a_plan_is_given_up_by_a_press(self):
        self.planned()
        self.post("evening_plan", drop="1")
        assert open_evening(self.dam) is None

    def test_without_lots_there_is_nothing_to_plan(self):
        dam = make_dam()
        by = make_organiser(demonstration=dam.demonstration).user
        self.client.force_login(by)
        address = reverse("dam:evening_plan", args=[dam.demonstration.slug, dam.pk])
        assert "No lot is in the field" in self.words(self.client.get(address))
        assert Lot.objects.of(dam.demonstration).count() == 0
