"""The dam before a filling and after it: work, leak, supply, who was asked."""

import io
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.dam import services as dams
from heritage.dam.models import (
    Answer,
    AskedOf,
    DamWork,
    FlowTest,
    LeakTest,
    Water,
    WaterAsked,
    WorkKind,
)
from heritage.dam.works import services
from heritage.dam.works.selectors import leave_given, supply_of, works_page
from tests.factories import (
    NOW,
    make_dam,
    make_dam_work,
    make_flow_test,
    make_leak_test,
    make_organiser,
    make_past_ret,
    make_ret,
    make_water_asked,
)

DAY = timedelta(days=1)
TODAY = NOW.date()


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Book(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.dam = make_dam(inflow_lps=None)
        cls.here = cls.dam.demonstration
        cls.by = make_organiser(demonstration=cls.here).user

    def refused(self, field, words, call):
        with pytest.raises(ValidationError) as refusal:
            call()
        assert re.search(words, " ".join(refusal.value.message_dict[field]))


class LeakTests(Book):
    GOOD = {
        "first_at": NOW - 2 * DAY, "first_depth_m": Decimal("1.000"),
        "second_at": NOW, "second_depth_m": Decimal("0.940"),
        "rain_mm": Decimal("0"), "note": "",
    }  # fmt: skip

    def keep(self, sure=False, **wrong):
        return services.keep_leak(
            test=LeakTest(dam=self.dam), values=self.GOOD | wrong, now=NOW, sure=sure
        )

    def test_two_levels_and_their_times_are_a_loss_a_day(self):
        """60 mm in two days over some 20 m², less 3 mm a day of air."""
        self.keep()
        (one,) = works_page(self.dam).leaks
        assert one.leak.fall_mm.likely == pytest.approx(30)
        middle = self.dam.basin.surface(0.97)
        assert one.leak.litres.likely == pytest.approx(27 * middle)
        assert "Fell 30 mm a day. Apart from what dries off" in one.words

    def test_a_rise_without_rain_is_asked_about(self):
        rise = {"second_depth_m": Decimal("1.020"), "rain_mm": Decimal("4")}
        words = r"rose by 20 mm, and 4 mm of rain .* Was water running in\?"
        self.refused("sure", words, lambda: self.keep(**rise))
        assert self.keep(sure=True, **rise).pk
        (one,) = works_page(self.dam).leaks
        assert "says nothing of a leak" in one.words

    def test_a_rise_that_it_rained_is_not_asked_about(self):
        assert self.keep(second_depth_m=Decimal("1.020"), rain_mm=Decimal("22")).pk

    def test_what_could_not_be_is_refused_at_its_field(self):
        late = {"second_at": NOW + DAY}
        self.refused("second_at", "in the future", lambda: self.keep(**late))
        crossed = {"second_at": NOW - 3 * DAY}
        self.refused("second_at", "after the first", lambda: self.keep(**crossed))
        high = {"first_depth_m": Decimal("1.5")}
        self.refused("first_depth_m", "above its rim", lambda: self.keep(**high))

    def test_an_hour_is_said_to_be_too_short(self):
        self.keep(first_at=NOW - timedelta(hours=1))
        assert works_page(self.dam).leaks[0].is_short


class SupplyTests(Book):
    def keep(self, **fields):
        given = {
            "day": TODAY, "supply": "The stream", "litres": Decimal(10),
            "first_s": Decimal(5), "second_s": None, "third_s": None,
        }  # fmt: skip
        return services.keep_flow(
            test=FlowTest(dam=self.dam), values=given | fields, today=TODAY
        )

    def test_a_bucket_and_seconds_are_the_hours_to_fill(self):
        """Ten litres in five seconds are 7.2 m³ an hour."""
        self.keep()
        self.dam.refresh_from_db()
        assert self.dam.inflow_lps == 2
        supply = supply_of(self.dam)
        assert supply.hours.likely == pytest.approx(supply.volume_m3 / 7.2)
        assert supply.hours.low < supply.hours.likely < supply.hours.high

    def test_a_leak_takes_its_part(self):
        self.keep()
        dry = supply_of(self.dam).hours.likely
        make_leak_test(dam=self.dam)
        assert supply_of(self.dam).hours.likely > dry

    def test_a_leak_as_large_as_the_supply_gives_no_time(self):
        self.keep(first_s=Decimal(900))
        make_leak_test(dam=self.dam, second_depth_m=Decimal("0.900"))
        supply = supply_of(self.dam)
        assert supply.hours is None
        assert "Find the leak first" in supply.words

    def test_an_older_test_changes_no_inflow(self):
        self.keep()
        self.keep(day=TODAY - DAY, first_s=Decimal(50))
        self.dam.refresh_from_db()
        assert self.dam.inflow_lps == 2

    def test_a_typed_inflow_is_taken_until_somebody_measures(self):
        self.dam.inflow_lps = Decimal(2)
        assert supply_of(self.dam).hours.likely == pytest.approx(
            supply_of(self.dam).volume_m3 / 7.2
        )

    def test_without_either_nothing_is_told(self):
        supply = supply_of(self.dam)
        assert (supply.hours, supply.words) == (None, "")

    def test_a_day_to_come_is_refused(self):
        self.refused("day", "in the future", lambda: self.keep(day=TODAY + DAY))


class AskedTests(Book):
    def keep(self, **fields):
        given = {
            "about": AskedOf.AFTER, "who": "River agency", "asked_on": TODAY - 3 * DAY,
            "answer": Answer.TERMS, "answered_on": TODAY, "reference": "RA 12",
            "words": "Thinly, on the rough meadow, 20 m from the ditch.",
        }  # fmt: skip
        asked = WaterAsked(dam=self.dam)
        return services.keep_asked(asked=asked, values=given | fields, today=TODAY)

    def test_an_answer_is_kept_in_their_words(self):
        self.keep()
        (line,) = works_page(self.dam).after
        assert line.words == (
            "River agency: allowed with conditions, 12 August 2026 (RA 12). “Thinly, "
            "on the rough meadow, 20 m from the ditch.”"
        )

    def test_days_out_of_order_are_refused_at_their_field(self):
        early = {"answered_on": TODAY - 9 * DAY}
        self.refused("answered_on", "after the question", lambda: self.keep(**early))
        ahead = {"asked_on": TODAY + DAY}
        self.refused("asked_on", "in the future", lambda: self.keep(**ahead))

    def test_an_answer_has_its_day_and_a_day_its_answer(self):
        for wrong in ({"answered_on": None}, {"answer": Answer.WAITING}):
            with pytest.raises(ValidationError, match="Enter both"):
                self.keep(**wrong)

    def test_spent_water_that_nobody_was_asked_about_is_said_first(self):
        make_ret(dam=self.dam, lifted_at=NOW - DAY)
        page = works_page(self.dam)
        assert page.is_unasked
        assert page.lead.startswith("The water is spent. Ask the people")
        self.keep()
        page = works_page(self.dam)
        assert page.lead == ("The water is spent. Do only what the answer allows.")

    def test_a_leave_is_offered_again_only_if_it_was_given_for_this_water(self):
        ret = make_ret(dam=self.dam, lifted_at=NOW - DAY)
        assert leave_given(ret) == ""
        self.keep(asked_on=TODAY - 300 * DAY, answered_on=TODAY - 299 * DAY)
        self.keep(answer=Answer.NO)
        assert leave_given(ret) == ""
        self.keep()
        assert leave_given(ret) == "River agency, 12 August 2026, RA 12"

    def test_no_lead_ever_says_that_water_may_go(self):
        leads = {works_page(self.dam).lead}
        ret = make_ret(dam=self.dam)
        leads.add(works_page(self.dam).lead)
        ret.lifted_at = NOW - DAY
        ret.save()
        self.keep()
        leads.add(works_page(self.dam).lead)
        dams.let_water_go(
            ret=ret, went=Water.SPREAD, leave="RA 12", went_at=NOW, now=NOW
        )
        leads.add(works_page(self.dam).lead)
        assert len(leads) == 4
        assert not [one for one in leads if re.search(r"may be|can be let|let it", one)]


class RestTests(Book):
    def test_a_filling_sooner_than_planned_is_asked_about(self):
        make_past_ret(dam=self.dam, rest_until=TODAY + 10 * DAY)
        given = {
            "dam": self.dam, "began_at": NOW, "beets": 5, "beet_dry_kg": None,
            "water_depth_m": Decimal(1), "why_more": "Lent.", "now": NOW,
        }  # fmt: skip
        words = "was to rest until 22 August 2026"
        self.refused("sure", words, lambda: dams.fill(**given))
        assert dams.fill(**given, sure=True).pk

    def test_a_rest_that_ends_before_the_water_went_is_refused(self):
        ret = make_ret(dam=self.dam, lifted_at=NOW - DAY)
        went = {"went": Water.SPREAD, "leave": "RA 12", "went_at": NOW, "now": NOW}
        early = {"rest_until": TODAY - DAY}
        with pytest.raises(ValidationError, match="Enter an end after the water went"):
            dams.let_water_go(ret=ret, **went, **early)
        dams.let_water_go(
            ret=ret, **went, water_to="The meadow.", rest_until=TODAY + DAY
        )
        assert works_page(self.dam).went == (
            "Spread on land, with permission from RA 12, 12 August 2026. The meadow. "
            "The dam rests until 13 August 2026.",
        )


class PageTests(Book):
    def get(self, name, row=None, **query):
        self.client.force_login(self.by)
        address = reverse(f"dam:{name}", args=[self.here.slug, (row or self.dam).pk])
        return self.client.get(address, query)

    def post(self, name, row=None, **typed):
        self.client.force_login(self.by)
        address = reverse(f"dam:{name}", args=[self.here.slug, (row or self.dam).pk])
        return self.client.post(address, typed)

    def words(self, response):
        return re.sub(r"\s+", " ", response.content.decode())

    def all_of_it(self):
        make_dam_work(dam=self.dam, note="Puddled the north bank.")
        make_dam_work(dam=self.dam, kind=WorkKind.LOOKED, note="Brown, some smell.")
        make_leak_test(dam=self.dam)
        make_flow_test(dam=self.dam)
        make_water_asked(dam=self.dam)
        make_water_asked(dam=self.dam, about=AskedOf.AFTER)

    def test_the_page_shows_before_and_after_by_as_many_queries(self):
        for _ in range(2):
            self.all_of_it()
            with self.assertNumQueries(5):
                works_page(self.dam)
        page = self.words(self.get("works"))
        for said in ("Puddled the north bank", "Brown, some smell", "Fell 30 mm"):
            assert said in page
        assert "2.00 litres a second" in page

    def test_a_line_is_written_changed_and_taken_away(self):
        typed = {"kind": "lining", "day": "2026-08-10", "note": "Blue clay."}
        assert self.post("work_add", **typed).status_code == 302
        work = DamWork.objects.get()
        assert self.post("work_edit", work, **typed | {"note": "Clay."}).url
        work.refresh_from_db()
        assert work.note == "Clay."
        self.post("work_edit", work, away="1")
        assert not DamWork.objects.exists()

    def test_a_rise_is_asked_at_its_level_and_what_was_typed_stays(self):
        typed = {
            "first_at": "2026-08-10T18:00", "first_depth_m": "0.900",
            "second_at": "2026-08-11T18:00", "second_depth_m": "0.950", "rain_mm": "0",
        }  # fmt: skip
        page = self.post("leak_add", **typed)
        assert "second_depth_m" in page.context["form"].errors
        assert 'value="0.950"' in self.words(page)
        assert self.post("leak_add", **typed, sure="on").status_code == 302

    def test_each_form_opens_and_takes_what_is_typed(self):
        flow = {"supply": "Spring", "day": "2026-08-10", "litres": "10", "first_s": "4"}
        assert self.post("flow_add", **flow).status_code == 302
        assert 'value="Spring"' in self.words(self.get("flow_add"))
        asked = {"about": "take", "who": "Agency", "asked_on": "2026-08-01"}
        assert self.post("asked_add", **asked, answer="waiting").status_code == 302
        page = self.words(self.get("works"))
        assert "Agency: no answer yet." in page
        assert "Add the answer" in page
        row = WaterAsked.objects.get()
        answered = asked | {"answer": "not_needed", "answered_on": "2026-08-03"}
        assert self.post("asked_edit", row, **answered).status_code == 302
        for name in ("work_add", "leak_add"):
            assert "Deep water" in self.words(self.get(name, kind="looked"))

    def test_the_book_prints_it_all_in_both_sizes(self):
        self.all_of_it()
        make_past_ret(dam=self.dam, water_to="The rough meadow")
        for size in ({}, {"large": "1"}):
            pdf = PdfReader(io.BytesIO(self.get("book_sheet", **size).content))
            text = " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)
            for said in (
                "Deep water", "Puddled the north bank", "Fell 30 mm a day",
                "litres a second", "River agency", "rough meadow", "permission",
            ):  # fmt: skip
                assert said in text

    def test_where_the_water_goes_the_leave_that_was_given_is_offered(self):
        make_ret(dam=self.dam, lifted_at=NOW - DAY)
        make_water_asked(
            dam=self.dam, about=AskedOf.AFTER, answer=Answer.YES, answered_on=TODAY
        )
        assert 'value="River agency, 12 August 2026"' in self.words(self.get("water"))
