"""The emergency plan: read at dusk, printed for the gate, written by organisers."""

from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import SimpleTestCase, TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.briefings.emergency.selectors import dials, emergency_page
from heritage.briefings.emergency.sheets import emergency_sheet
from heritage.briefings.models import EmergencyPlan, FirstAidPoint
from heritage.common.rows import keep_record, remove_record
from tests.briefings.test_sheets import text_of
from tests.factories import (
    NOW,
    make_demonstration,
    make_emergency_plan,
    make_first_aid_point,
    make_organiser,
    make_volunteer,
)

WHOLE = {
    "number": "999 or 112",
    "controller": "Nora Bell, 07700 900123",
    "deputy": "Torin Reed",
    "calls": "Whoever stands at the gate",
    "grid_reference": "H 480 620",
    "way_in": "Field gate on the Mill road; Ann waits at the road",
    "hospital": "Carrowlint General, 20 minutes",
    "aed": "On the wall of the hall, code 1234",
    "signal": "Three long blasts of the whistle",
    "meeting_point": "The oak at the gate",
    "shelter": "The hall",
    "no_signal": "Walk to the hall: there is a telephone in the porch",
    "fire": "Extinguisher at the tractor, water at the dam",
    "water_rescue": "Throw-line and pole on the north post",
    "machine_stop": "The driver, by the red lever",
    "lost_child": "The tea table",
    "light_failure": "Torches in the first-aid box",
    "petrol_l": "31",
}


class DialTests(SimpleTestCase):
    def test_numbers_are_found_among_words(self):
        found = [(one.shown, one.tel) for one in dials("999 or 112, +44 (0)28 9000-1")]
        assert found == [
            ("999", "999"),
            ("112", "112"),
            ("+44 (0)28 9000-1", "+4402890001"),
        ]

    def test_words_without_a_number_give_none(self):
        assert dials("Ring the bell twice at gate 12") == ()


class EmergencyCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(jurisdiction="gb")
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place)

    def url(self, view, *args):
        return reverse(f"briefings:{view}", args=[self.place.slug, *args])

    def keep(self, **values):
        plan = EmergencyPlan.objects.of(self.place).first()
        return keep_record(
            row=plan or EmergencyPlan(demonstration=self.place),
            values=values | {"revised_at": NOW, "revised_by": self.nora.user},
        )


class ServiceTests(EmergencyCase):
    def test_one_plan_is_written_and_written_anew(self):
        self.keep(controller="Nora Bell")
        plan = self.keep(deputy="Torin Reed")
        assert (plan.controller, plan.deputy) == ("Nora Bell", "Torin Reed")
        assert EmergencyPlan.objects.get().revised_by == self.nora.user

    def test_the_database_keeps_one_plan(self):
        make_emergency_plan(demonstration=self.place)
        with pytest.raises(IntegrityError):
            make_emergency_plan(demonstration=self.place)

    def test_less_than_no_petrol_is_refused(self):
        with pytest.raises(ValidationError, match="petrol_l"):
            self.keep(petrol_l=-1)

    def test_first_aid_points_come_and_go(self):
        point = FirstAidPoint(demonstration=self.place)
        keep_record(row=point, values={"place": "Gate", "holds": "Box"})
        same = keep_record(row=point, values={"place": "Hall"})
        assert (same.pk, same.place, same.holds) == (point.pk, "Hall", "Box")
        remove_record(row=point)
        assert not FirstAidPoint.objects.exists()


class SelectorTests(EmergencyCase):
    def test_a_bare_plan_says_what_it_lacks(self):
        page = emergency_page(self.place)
        assert page.number == "999 or 112"
        assert page.missing[0] == "who decides"
        assert page.missing[-1] == "first-aid points"
        assert len(page.missing) == 17

    def test_an_emptied_number_is_missing_too(self):
        self.keep(number="")
        assert emergency_page(self.place).missing[0] == "number to call"

    def test_a_whole_plan_lacks_nothing_and_dials_people_alone(self):
        self.keep(**WHOLE)
        make_first_aid_point(demonstration=self.place)
        page = emergency_page(self.place)
        assert page.missing == ()
        lines = {line.name: line for part in page.parts for line in part.lines}
        assert lines["controller"].dials[0].tel == "07700900123"
        assert lines["grid_reference"].dials == ()

    def test_petrol_is_judged_by_the_law_of_the_place(self):
        """SI 2014/1637, schedule 2: 30 litres without notice; Great Britain alone."""
        self.keep(petrol_l=30)
        assert "without notice" in emergency_page(self.place).petrol
        self.keep(petrol_l=31)
        assert "must be told" in emergency_page(self.place).petrol
        self.place.jurisdiction = "ni"
        assert (
            "We don't know the petrol rules here" in emergency_page(self.place).petrol
        )

    def test_the_page_costs_two_queries_however_many_points(self):
        self.keep(**WHOLE)
        for count in (1, 5):
            for _each in range(count):
                make_first_aid_point(demonstration=self.place)
            with self.assertNumQueries(2):
                assert emergency_page(self.place).points


class PageTests(EmergencyCase):
    def test_volunteers_read_it_and_dial_from_it(self):
        self.keep(**WHOLE)
        self.client.force_login(self.ann.user)
        response = self.client.get(self.url("emergency"))
        self.assertContains(response, 'href="tel:999"')
        self.assertContains(response, "The oak at the gate")
        self.assertContains(response, "54.")
        self.assertNotContains(response, "does not say yet")
        assert "no-store" in response["Cache-Control"]

    def test_where_it_is_can_be_read_out(self):
        self.place.latitude, self.place.longitude = Decimal("-1.5"), Decimal("2.25")
        page = emergency_page(self.place)
        assert (page.where, page.geo) == ("1.5 south, 2.25 east", "geo:-1.5,2.25")

    def test_an_organiser_is_told_what_is_missing(self):
        self.client.force_login(self.nora.user)
        response = self.client.get(self.url("emergency"))
        self.assertContains(response, "Not on the emergency sheet yet")
        self.assertContains(response, "nearest hospital")

    def test_an_organiser_writes_it(self):
        self.client.force_login(self.nora.user)
        response = self.client.post(self.url("edit_emergency"), WHOLE)
        self.assertRedirects(response, self.url("emergency"))
        assert EmergencyPlan.objects.get().meeting_point == "The oak at the gate"

    def test_a_bad_figure_keeps_what_was_typed(self):
        self.client.force_login(self.nora.user)
        typed = WHOLE | {"petrol_l": "a can"}
        response = self.client.post(self.url("edit_emergency"), typed)
        assert "petrol_l" in response.context["form"].errors
        self.assertContains(response, "Three long blasts of the whistle")

    def test_first_aid_points_by_form(self):
        self.client.force_login(self.nora.user)
        self.client.post(self.url("add_first_aid_point"), {"place": "The gate post"})
        point = FirstAidPoint.objects.get()
        there = self.url("edit_first_aid_point", point.pk)
        self.client.post(there, {"place": "The hall"})
        assert FirstAidPoint.objects.get().place == "The hall"
        response = self.client.post(there, {"away": "1"}, follow=True)
        self.assertContains(response, "First-aid point removed.")
        assert not FirstAidPoint.objects.exists()

    def test_a_volunteer_writes_nothing(self):
        self.client.force_login(self.ann.user)
        for view in ("edit_emergency", "add_first_aid_point"):
            assert self.client.post(self.url(view), WHOLE).status_code == 403
        assert not EmergencyPlan.objects.exists()


@pytest.mark.any_database
class SheetTests(EmergencyCase):
    def printed(self, *, large_print=False):
        return emergency_sheet(
            emergency_page(self.place),
            printed_on=date(2026, 8, 12),
            large_print=large_print,
        )

    def test_what_is_missing_is_a_line_to_write_on(self):
        text = text_of(self.printed())
        assert "Call 999 or 112" in text
        assert text.count("______") >= 16

    def test_a_whole_plan_is_one_page_with_nothing_left_out(self):
        """It is pinned to the gate: what stands on its back nobody reads."""
        self.keep(**WHOLE)
        make_first_aid_point(demonstration=self.place, holds="box and blankets")
        pdf = self.printed()
        text = text_of(pdf)
        assert len(PdfReader(BytesIO(pdf)).pages) == 1
        page = emergency_page(self.place)
        lines = [line for part in page.parts for line in part.lines]
        assert len(lines) == 16
        for line in lines:
            assert line.words in text
            assert line.always in text
        for words in ("Call 999 or 112", "box and blankets", page.where, "Taken to:"):
            assert words in text
        assert "______" not in text
        assert "Last changed 12 Aug 2026" in text

    def test_a_bare_plan_is_one_page_to_fill_in(self):
        assert len(PdfReader(BytesIO(self.printed())).pages) == 1

    def test_large_print_may_be_more(self):
        self.keep(**WHOLE)
        pdf = self.printed(large_print=True)
        assert len(PdfReader(BytesIO(pdf)).pages) > 1

    def test_what_is_too_long_for_one_page_is_said_and_printed_all_the_same(self):
        self.client.force_login(self.nora.user)
        long = "by the lane that turns at the mill, then over the ford, " * 5
        typed = WHOLE | dict.fromkeys(("way_in", "fire", "no_signal"), long)
        typed |= dict.fromkeys(("hospital", "water_rescue", "machine_stop"), long)
        response = self.client.post(self.url("edit_emergency"), typed, follow=True)
        self.assertContains(response, "runs over one page now")
        assert text_of(self.printed()).count("over the ford") == 30
        response = self.client.post(self.url("edit_emergency"), WHOLE, follow=True)
        self.assertNotContains(response, "more than one page")
        many = {"place": "P" * 160, "holds": "h" * 200}
        for _each in range(5):
            response = self.client.post(
                self.url("add_first_aid_point"), many, follow=True
            )
        self.assertContains(response, "runs over one page now")

    def test_the_same_plan_gives_the_same_bytes_by_the_page(self):
        self.client.force_login(self.ann.user)
        response = self.client.get(self.url("emergency_sheet"), {"large": "1"})
        assert response["Content-Type"] == "application/pdf"
        assert (
            response.content
            == self.client.get(self.url("emergency_sheet"), {"large": "1"}).content
        )
