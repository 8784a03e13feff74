"""The dam's pages: who may open them, what they say, and what they refuse."""

import io
import re
from datetime import timedelta
from decimal import Decimal
from urllib.parse import quote

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from heritage.common import clock
from heritage.dam.models import Check, Dam, Finding, Reading, Ret
from heritage.dam.readings.views import CUT, _told
from tests.factories import (
    NOW,
    make_check,
    make_dam,
    make_demonstration,
    make_filled,
    make_gathering,
    make_organiser,
    make_pulled_lot,
    make_reading,
    make_ret,
    make_volunteer,
)

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Pages(TestCase):
    """A dam with a ret in it, and somebody of each kind."""

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.volunteer = make_volunteer(demonstration=cls.demonstration).user
        cls.organiser = make_organiser(demonstration=cls.demonstration).user
        cls.stranger = make_organiser().user
        cls.dam = make_dam(demonstration=cls.demonstration, name="Lower dam")
        cls.ret = make_ret(dam=cls.dam)
        for day in range(6):
            make_reading(ret=cls.ret, at=cls.ret.began_at + day * DAY)

    def address(self, name, *keys):
        return reverse(f"dam:{name}", args=[self.demonstration.slug, *keys])

    def get(self, name, /, *keys, user=None):
        self.client.force_login(user or self.volunteer)
        return self.client.get(self.address(name, *keys))

    def post(self, name, /, *keys, user=None, **data):
        self.client.force_login(user or self.volunteer)
        return self.client.post(self.address(name, *keys), data)

    def see(self, finding, at):
        """Write down what was seen from the bank."""
        self.client.force_login(self.volunteer)
        address = (
            f"{self.address('check_add', self.ret.pk)}?kind={Finding(finding).kind}"
        )
        return self.client.post(address, {"finding": finding, "at": at})

    def words(self, response, status=200):
        assert response.status_code == status
        return re.sub(r"\s+", " ", response.content.decode())


class DoorTests(Pages):
    def every(self):
        dam, ret = [self.dam.pk], [self.ret.pk]
        seen = [("list", []), ("dam", dam), ("ret", ret), ("log_sheet", ret)]
        seen += [("reading_add", ret), ("check_add", ret), ("readings_import", ret)]
        empty = [make_dam(demonstration=self.demonstration, name="Empty dam").pk]
        kept = [("add", []), ("edit", dam), ("fill", empty), ("lift", ret)]
        return seen, kept

    def everything(self):
        seen, kept = self.every()
        return seen + kept

    def statuses(self, pages):
        return {
            self.client.get(self.address(name, *keys)).status_code
            for name, keys in pages
        }

    def test_a_visitor_is_asked_to_sign_in(self):
        assert self.statuses(self.everything()) == {302}

    def test_a_volunteer_reads_and_writes_down_but_does_not_run_the_dam(self):
        self.client.force_login(self.volunteer)
        seen, kept = self.every()
        assert self.statuses(seen) == {200}
        assert self.statuses(kept) == {403}

    def test_an_organiser_does_everything(self):
        self.client.force_login(self.organiser)
        assert self.statuses(self.everything()) == {200}

    def test_a_stranger_is_turned_away(self):
        self.client.force_login(self.stranger)
        assert self.statuses(self.everything()) == {403}

    def test_a_stranger_s_dam_is_not_found(self):
        other = make_ret()
        assert self.get("dam", other.dam.pk).status_code == 404
        for name in ("ret", "log_sheet", "reading_add", "readings_import"):
            assert self.get(name, other.pk).status_code == 404
        assert self.post("readings_confirm", other.pk, rows="x").status_code == 404
        for name, key in (("edit", other.dam.pk), ("lift", other.pk)):
            response = self.post(name, key, user=self.organiser)
            assert response.status_code == 404

    def test_confirming_is_no_page_to_look_at(self):
        assert self.get("readings_confirm", self.ret.pk).status_code == 405


class ListTests(Pages):
    def test_each_dam_says_what_is_in_it(self):
        make_dam(demonstration=self.demonstration, name="Upper dam")
        words = self.words(self.get("list"))
        assert "Don't jump in" in words
        assert "150 beets under water" in words
        assert "No flax is in this dam" in words

    def test_no_dam_yet(self):
        organiser = make_organiser()
        self.client.force_login(organiser.user)
        response = self.client.get(
            reverse("dam:list", args=[organiser.demonstration.slug])
        )
        assert "Add the dam" in self.words(response)


class DamTests(Pages):
    def test_measures_stones_and_cautions(self):
        words = self.words(self.get("dam", self.dam.pk))
        for said in (
            "we found no published weight",
            "Nobody goes into the water alone",
            "No figure is given for lifting",
            "look after your rivers",
        ):
            assert said in words
        assert "22.6 m³" in words
        assert "<svg" in words

    def test_ranges_of_room_and_of_stones_are_said_to_be_judgement(self):
        words = self.words(self.get("dam", self.dam.pk))
        assert words.count("The range is our judgement") == 2

    def test_stones_stay_on_until_somebody_has_seen_the_end(self):
        Reading.objects.all().update(temp_c=Decimal("22.0"))
        words = self.words(self.get("dam", self.dam.pk))
        assert "don't take stones off by the date" in words
        assert "Now: none" not in words
        for minute, finding in enumerate(("bubbles", "still"), 30):
            at = f"2026-08-12T18:{minute}"
            self.see(finding, at)
        words = self.words(self.get("dam", self.dam.pk))
        assert "Now: none" in words
        assert "The tests say it has stopped working" in words
        self.see("risen", "2026-08-12T18:35")
        words = self.words(self.get("dam", self.dam.pk))
        assert "It's working: leave the stones on until the bubbles stop" in words
        assert "Now: none" not in words

    def test_a_sign_that_tells_nothing_yet_was_written_down_all_the_same(self):
        self.see("sunk", "2026-08-12T18:30")
        words = self.words(self.get("dam", self.dam.pk))
        assert (
            "Nobody has noted bubbles yet, so this covers everything it may be doing"
            in words
        )
        assert "Nobody has written down" not in words

    def test_the_stones_one_has_are_a_press_away(self):
        words = self.words(self.get("dam", self.dam.pk))
        assert reverse("machines:stones", args=[self.demonstration.slug]) in words

    def test_a_dam_is_added(self):
        form = self.get("add", user=self.organiser).context["form"]
        data = {name: form[name].value() or "" for name in form.fields}
        data |= dict.fromkeys(("top_length_m", "bottom_length_m"), "6")
        data |= dict.fromkeys(("top_width_m", "bottom_width_m", "depth_m"), "1")
        response = self.post("add", user=self.organiser, **data | {"name": "New"})
        assert response.url == Dam.objects.get(name="New").get_absolute_url()

    def test_a_dam_of_nothing_is_refused_and_what_was_typed_stays(self):
        response = self.post("add", user=self.organiser, name="Mud", depth_m="0")
        form = response.context["form"]
        assert "depth_m" in form.errors
        assert 'value="Mud"' in self.words(response)
        assert not Dam.objects.of(self.demonstration).filter(name="Mud").exists()

    def test_a_name_that_is_taken_is_refused(self):
        form = self.get("edit", self.dam.pk, user=self.organiser).context["form"]
        data = {name: form[name].value() for name in form.fields}
        response = self.post("add", user=self.organiser, **data)
        assert "already a dam with that name" in self.words(response)

    def test_measures_are_put_right(self):
        form = self.get("edit", self.dam.pk, user=self.organiser).context["form"]
        data = {name: form[name].value() for name in form.fields}
        data["depth_m"] = "1.15"
        self.post("edit", self.dam.pk, user=self.organiser, **data)
        self.dam.refresh_from_db()
        assert self.dam.depth_m == Decimal("1.15")

    def test_no_shallower_than_its_water(self):
        form = self.get("edit", self.dam.pk, user=self.organiser).context["form"]
        data = {name: form[name].value() for name in form.fields}
        data["depth_m"] = "1.00"
        response = self.post("edit", self.dam.pk, user=self.organiser, **data)
        assert "m of water in this dam" in self.words(response)
        assert "Measures of Lower dam" in self.words(response)


class WeighTests(Pages):
    """Once beets are weighed, every figure that rested on the default goes by them."""

    def weigh(self, **said):
        return self.post("weigh", user=self.organiser, **said)

    def test_weighed_beets_change_what_the_dam_takes_and_the_stones(self):
        """22.6 m³ at 25 litres are 905 kg: 301 beets of 3 kg, 452 of 2 kg."""
        before = self.words(self.get("dam", self.dam.pk))
        assert "301 beets" in before
        assert "For 450 kg of dry flax" in before
        self.weigh(weighed_beets="10", weighed_kg="20.0")
        words = self.words(self.get("dam", self.dam.pk))
        assert "452 beets" in words
        assert "For 300 kg of dry flax" in words
        assert "2 (1.8" in words
        assert "from the 10 you weighed" in words

    def test_a_filling_weighed_by_itself_keeps_its_own_weight(self):
        Ret.objects.filter(pk=self.ret.pk).update(beet_dry_kg=Decimal("4.0"))
        self.weigh(weighed_beets="10", weighed_kg="20.0")
        words = self.words(self.get("dam", self.dam.pk))
        assert "For 600 kg of dry flax" in words
        assert "(150 beets of 4.0 kg, weighed at this filling)" in words

    def test_half_a_weighing_is_refused(self):
        for said in (
            {"weighed_beets": "10"},
            {"weighed_beets": "1", "weighed_kg": "90"},
        ):
            assert "half a kilogram and 20 kg" in self.words(self.weigh(**said))
        self.demonstration.refresh_from_db()
        assert self.demonstration.weighed_beets is None

    def test_a_volunteer_does_not_weigh(self):
        assert self.get("weigh").status_code == 403


class FillTests(Pages):
    FIELDS = {"beets": "90", "water_depth_m": "1.10", "beet_dry_kg": "3.0"}

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        evening = make_gathering(
            demonstration=cls.demonstration, starts_at=NOW - 20 * DAY,
            ends_at=NOW - 20 * DAY + timedelta(hours=2),
        )  # fmt: skip
        make_filled(ret=cls.ret, lot=make_pulled_lot(gathering=evening, beets=260))

    def fill(self, dam, **fields):
        fields = {"began_at": "2026-08-12T18:00"} | self.FIELDS | fields
        return self.post("fill", dam.pk, user=self.organiser, **fields)

    def test_a_ret_begins_by_the_clock_on_the_wall(self):
        empty = make_dam(demonstration=self.demonstration)
        response = self.fill(empty)
        ret = Ret.objects.in_dam(empty).get()
        assert ret.began_at.isoformat() == "2026-08-12T17:00:00+00:00"
        assert response.url == ret.get_absolute_url()

    def test_more_than_was_pulled_wants_a_reason_that_stays_to_be_read(self):
        empty = make_dam(demonstration=self.demonstration)
        page = self.words(self.get("fill", empty.pk, user=self.organiser))
        assert "110 beets can go in" in page
        words = self.words(self.fill(empty, beets="111"))
        assert "260 beets pulled, and 150 went into dams, so 110 can go in" in words
        assert not Ret.objects.in_dam(empty).exists()
        self.fill(empty, beets="111", why_more="<b>One</b> was found in the lane")
        ret = Ret.objects.in_dam(empty).get()
        words = self.words(self.get("ret", ret.pk))
        assert "&lt;b&gt;One&lt;/b&gt; was found in the lane" in words

    def test_a_full_dam_is_refused(self):
        words = self.words(self.fill(self.dam))
        assert "150 beets are in this dam, under water since Friday 7 August" in words

    def test_nobody_is_asked_to_fill_a_dam_that_is_not_clean(self):
        """With flax in it, with its spent water, and until clean water is in."""
        gone = {"water_went": "spread", "water_leave": "River agency, 10 August"}
        for said, fields in (
            ("Record their lifting first", {}),
            ("say first what became of the old water", {"lifted_at": NOW - DAY}),
            ("when its water is clean", gone | {"water_went_at": NOW - DAY}),
        ):
            Ret.objects.filter(pk=self.ret.pk).update(**fields)
            self.client.force_login(self.organiser)
            page = self.client.get(self.address("fill", self.dam.pk), follow=True)
            assert page.redirect_chain == [(self.dam.get_absolute_url(), 302)]
            words = self.words(page)
            assert said in words
            assert "can go in" not in words
            assert said in self.words(self.fill(self.dam))

    def test_a_wrong_field_is_named_and_the_rest_kept(self):
        empty = make_dam(demonstration=self.demonstration)
        response = self.fill(empty, water_depth_m="2", beets="77")
        assert "water_depth_m" in response.context["form"].errors
        assert 'value="77"' in self.words(response)

    def test_an_hour_that_the_clocks_skip_is_refused(self):
        empty = make_dam(demonstration=self.demonstration)
        response = self.fill(empty, began_at="2026-03-29T01:30")
        assert "The clocks changed then" in self.words(response)

    def test_a_moment_that_is_none_is_refused(self):
        empty = make_dam(demonstration=self.demonstration)
        response = self.fill(empty, began_at="soon")
        assert "Enter the day and time, like 12/08/2026 18:40" in self.words(response)


class WaterTests(Pages):
    """What the pages say of a dam whose flax was lifted, until it is clean again."""

    def lift(self):
        Ret.objects.filter(pk=self.ret.pk).update(lifted_at=NOW - timedelta(hours=3))

    def test_spent_water_keeps_the_dam_from_being_filled(self):
        self.lift()
        for name, keys in (("list", []), ("dam", [self.dam.pk])):
            words = self.words(self.get(name, *keys, user=self.organiser))
            assert "spent" in words.lower()
            assert "Begin a ret" not in words
        response = self.post(
            "fill",
            self.dam.pk,
            user=self.organiser,
            **FillTests.FIELDS | {"began_at": "2026-08-12T18:00"},
        )
        assert "A ret begins in clean water" in self.words(response)
        assert Ret.objects.in_dam(self.dam).count() == 1

    def test_it_goes_with_leave_and_comes_back_clean(self):
        self.lift()
        self.post(
            "water",
            self.dam.pk,
            user=self.organiser,
            went="spread",
            leave="",
            went_at="2026-08-12T17:00",
        )
        self.ret.refresh_from_db()
        assert self.ret.water_went == ""
        self.post(
            "water",
            self.dam.pk,
            user=self.organiser,
            went="spread",
            leave="River agency, 10 August, W/17",
            went_at="2026-08-12T17:00",
        )
        words = self.words(self.get("dam", self.dam.pk, user=self.organiser))
        assert "with permission from River agency, 10 August, W/17" in words
        assert "Begin a ret" not in words
        self.post(
            "water", self.dam.pk, user=self.organiser, clean_at="2026-08-12T18:00"
        )
        words = self.words(self.get("dam", self.dam.pk, user=self.organiser))
        assert "Begin a ret" in words
        assert "Clean" in words

    def test_the_page_of_the_water_gives_no_leave(self):
        self.lift()
        words = self.words(self.get("water", self.dam.pk, user=self.organiser))
        assert "Ask the people" in words
        assert "permission" in words
        assert self.get("water", self.dam.pk).status_code == 403

    def test_water_with_flax_in_it_has_no_such_page(self):
        response = self.get("water", self.dam.pk, user=self.organiser)
        assert response.url == self.dam.get_absolute_url()


class RetTests(Pages):
    def test_it_says_when_to_test_and_never_to_lift_or_let_go(self):
        make_reading(ret=self.ret, at=NOW - timedelta(hours=11))
        words = self.words(self.get("ret", self.ret.pk))
        assert "50 %" in words
        assert re.search(r"Next test</span> Thursday 13 August", words)
        assert (
            "24 hours, by daylight; 6 once the bubbles have stopped or the flax sinks"
            in words
        )
        assert "Start testing" in words
        assert "Do not release it" in words
        assert not re.search(
            r"(lift|release|drain|let .{0,20}go) (it )?now", words, re.I
        )

    def test_a_log_of_evenings_is_said_to_be_corrected(self):
        """Every reading here was taken at twenty to seven in the evening."""
        assert "swing is taken out" in self.words(self.get("ret", self.ret.pk))
        morning = NOW - timedelta(hours=11)
        make_reading(ret=self.ret, at=morning)
        assert "swing is taken out" not in self.words(self.get("ret", self.ret.pk))

    def test_a_ret_nobody_has_read(self):
        ret = make_ret(dam=make_dam(demonstration=self.demonstration))
        words = self.words(self.get("ret", ret.pk))
        assert "The water has not been read yet" in words
        assert "<svg role" not in words

    def test_water_too_cold_tells_no_date(self):
        Reading.objects.all().update(temp_c=Decimal("3.0"))
        assert "no date can be told" in self.words(self.get("ret", self.ret.pk))

    def test_readings_come_in_pages(self):
        for hour in range(60):
            make_reading(ret=self.ret, at=NOW - timedelta(hours=hour, minutes=5))
        self.client.force_login(self.volunteer)
        response = self.client.get(self.ret.get_absolute_url(), {"page": 2})
        assert "Page 2 of 2" in self.words(response)

    def test_a_long_log_is_drawn_with_few_points(self):
        Reading.objects.bulk_create(
            Reading(
                ret=self.ret,
                at=NOW - timedelta(minutes=minute, seconds=5),
                temp_c=16,
                entered_by=self.volunteer,
            )
            for minute in range(1, 1500)
        )
        assert len(self.get("ret", self.ret.pk).content) < 120_000

    def test_the_test_book_is_read(self):
        make_check(ret=self.ret, note="from the middle")
        assert "from the middle" in self.words(self.get("ret", self.ret.pk))

    def test_the_lifting_is_recorded_with_the_caution(self):
        self.client.force_login(self.organiser)
        response = self.client.post(
            self.address("lift", self.ret.pk),
            {"lifted_at": "2026-08-12T18:40", "why_untested": "Frost was told."},
            follow=True,
        )
        words = self.words(response)
        assert "Lifted without a test that says so: Frost was told." in words
        assert "ask the people who look after your rivers first." in words
        assert "Lifted" in words
        assert "Add a reading" not in words

    def test_a_lifted_ret_says_when_it_was_and_asks_for_no_test(self):
        """Even one whose likely day had passed: the warning is to test now."""
        Reading.objects.all().update(temp_c=Decimal("29.0"))
        assert "test now" in self.words(self.get("ret", self.ret.pk))
        lifted_at = NOW - timedelta(minutes=1)
        Ret.objects.filter(pk=self.ret.pk).update(lifted_at=lifted_at)
        words = self.words(self.get("ret", self.ret.pk))
        period = "Friday 7 August, 18:40 to Wednesday 12 August, 18:39"
        assert f"under water from {period}" in words
        for untrue in (
            "Under water since",
            "Start testing",
            "Then test",
            "Probably ready",
            "test now",
            "of the way",
            "Dam log",
        ):
            assert untrue not in words

    def test_a_lifting_without_a_test_asks_why_and_loses_nothing(self):
        response = self.post(
            "lift", self.ret.pk, user=self.organiser, lifted_at="2026-08-12T18:40"
        )
        words = self.words(response)
        assert "No test says that it is ready (the last: none was made)" in words
        assert 'value="2026-08-12T18:40"' in words

    def test_the_page_of_the_lifting_says_what_it_takes(self):
        words = self.words(self.get("lift", self.ret.pk, user=self.organiser))
        assert "No test says yet that it is ready" in words
        assert "one of them only watches from the bank" in words
        assert "We found no published weight of a wet beet" in words
        assert "deep water" in words
        make_check(ret=self.ret, at=NOW - timedelta(hours=1), finding=Finding.FREE)
        words = self.words(self.get("lift", self.ret.pk, user=self.organiser))
        assert "A test says so" in words

    def test_a_lifting_to_come_is_refused(self):
        response = self.post(
            "lift", self.ret.pk, user=self.organiser, lifted_at="2026-08-13T18:30"
        )
        assert "in the future" in self.words(response)


class ReadingTests(Pages):
    def test_a_reading_with_a_decimal_comma(self):
        self.post("reading_add", self.ret.pk, temp_c="17,2", at="2026-08-12T08:05")
        reading = Reading.objects.at_moment(NOW.replace(hour=7, minute=5)).get()
        assert (reading.temp_c, reading.entered_by) == (Decimal("17.2"), self.volunteer)

    def test_a_jump_is_asked_about_and_kept_once_it_is_confirmed(self):
        said = {"temp_c": "58", "at": "2026-08-12T18:35"}
        assert 'name="sure"' not in self.words(self.get("reading_add", self.ret.pk))
        before = Reading.objects.count()
        words = self.words(self.post("reading_add", self.ret.pk, **said))
        assert "Is that in °F? 58.0 °F is 14.4 °C." in words
        assert 'name="sure"' in words
        assert 'value="58"' in words
        assert "right: Is that in °F?" not in words, "not a question about the tick"
        assert Reading.objects.count() == before
        self.post("reading_add", self.ret.pk, **said, sure="on")
        assert Reading.objects.count() == before + 1

    def test_a_reading_is_corrected_and_the_old_one_is_shown_struck(self):
        said = {"temp_c": "17,2", "at": "2026-08-12T08:05"}
        self.post("reading_add", self.ret.pk, **said)
        reading = Reading.objects.at_moment(NOW.replace(hour=7, minute=5)).get()
        address = self.address("reading_correct", reading.pk)
        page = self.words(self.get("ret", self.ret.pk))
        assert address in page
        form = self.get("reading_correct", reading.pk).context["form"]
        assert form.initial["temp_c"] == Decimal("17.2")
        self.post("reading_correct", reading.pk, **said | {"temp_c": "16,2"})
        page = self.words(self.get("ret", self.ret.pk))
        assert "<del>17.2 °C</del> 16.2 °C" in page
        assert address not in page
        page = self.words(self.get("reading_correct", reading.pk))
        assert "already corrected" in page

    def test_a_reading_is_struck_with_its_reason(self):
        self.post("reading_add", self.ret.pk, temp_c="16.8", at="2026-08-12T08:05")
        reading = Reading.objects.at_moment(NOW.replace(hour=7, minute=5)).get()
        self.client.force_login(self.volunteer)
        address = self.address("reading_strike", reading.pk)
        refused = self.words(self.client.post(address, follow=True))
        assert "Choose why it doesn&#x27;t count." in refused
        page = self.words(self.client.post(address, {"why": "out"}, follow=True))
        assert "<del>16.8 °C</del>" in page
        assert "the thermometer was out of the water" in page

    def test_a_reading_typed_in_place_is_of_now_and_leads_back(self):
        Reading.objects.at_moment(NOW).delete()
        self.client.force_login(self.volunteer)
        back = self.address("list")
        address = self.address("reading_add", self.ret.pk)
        said = {"temp_c": "16,6", "next": back}
        assert self.client.post(address, said).url == back
        assert Reading.objects.at_moment(NOW).get().temp_c == Decimal("16.6")
        asked = self.words(self.client.post(address, said | {"temp_c": "55"}))
        assert "55.0 °F is 12.8 °C" in asked
        assert f'action="?next={quote(back, safe="")}"' in asked

    def test_a_reading_of_later_is_refused_by_the_field(self):
        response = self.post(
            "reading_add", self.ret.pk, temp_c="16", at="2026-08-13T08:00"
        )
        assert "in the future" in response.context["form"].errors["at"][0]

    def test_another_demonstrations_reading_is_not_there(self):
        assert self.get("reading_correct", make_reading().pk).status_code == 404

    def test_a_word_is_refused_and_kept(self):
        response = self.post(
            "reading_add", self.ret.pk, temp_c="warm", at="2026-08-12T18:35"
        )
        words = self.words(response)
        assert "Enter the temperature as a number, like 16.5" in words
        assert 'value="warm"' in words

    def test_nothing_is_refused(self):
        response = self.post("reading_add", self.ret.pk, temp_c="", at="")
        assert set(response.context["form"].errors) == {"temp_c", "at"}

    def test_the_same_moment_is_refused_by_its_field(self):
        there = {"at": "2026-08-12T18:40"}
        other = self.post("reading_add", self.ret.pk, temp_c="17", **there)
        assert "The book has 16.0 °C" in other.context["form"].errors["temp_c"][0]
        response = self.post("reading_add", self.ret.pk, temp_c="16", **there)
        assert "reading for that time" in response.context["form"].errors["at"][0]


class CheckTests(Pages):
    def test_a_test_is_written_down(self):
        self.post("check_add", self.ret.pk, fast="3", at="2026-08-12T18:35")
        assert (Check.objects.get().finding, Check.objects.get().stems) == (
            "fast",
            3,
        )

    def test_the_page_says_how_and_who_says_so(self):
        words = self.words(self.get("check_add", self.ret.pk))
        assert "15 to 20 cm apart" in words
        assert "reprinted in 1846" in words

    def test_a_finding_is_asked_for(self):
        response = self.post("check_add", self.ret.pk, at="2026-08-12T18:35")
        assert "fast" in response.context["form"].errors

    def test_a_wrong_test_is_struck_with_one_press_of_its_reason(self):
        self.post("check_add", self.ret.pk, fast="3", free="2", at="2026-08-12T18:35")
        check = Check.objects.first()
        address = self.address("check_strike", check.pk)
        assert address in self.words(self.get("ret", self.ret.pk))
        page = self.words(self.client.post(address, {"why": "wrong"}, follow=True))
        assert "The test no longer counts. It is kept, struck through." in page
        found = "3 of 5: the wood holds the fibre fast; 2 of 5: the wood draws out"
        assert f"<del>{found}" in page
        assert "Written down wrongly." in page
        assert "No test yet." in page
        assert address not in page
        again = self.words(self.client.post(address, {"why": "wrong"}, follow=True))
        assert "This test was struck out before." in again

    def test_a_test_is_not_struck_without_a_reason(self):
        check = make_check(ret=self.ret, entered_by=self.volunteer)
        self.client.force_login(self.volunteer)
        address = self.address("check_strike", check.pk)
        refused = self.words(self.client.post(address, follow=True))
        assert "Choose why it doesn&#x27;t count." in refused
        assert Check.objects.standing().exists()
        assert self.client.get(address).status_code == 405

    def test_another_s_test_is_struck_by_leads_and_organisers_alone(self):
        check = make_check(ret=self.ret)
        address = self.address("check_strike", check.pk)
        assert address not in self.words(self.get("ret", self.ret.pk))
        refused = self.words(self.client.post(address, {"why": "wrong"}, follow=True))
        assert "Only the tester, a lead or an organiser can strike this out." in refused
        assert Check.objects.standing().exists()
        assert address in self.words(self.get("ret", self.ret.pk, user=self.organiser))
        self.client.post(address, {"why": "elsewhere"})
        assert not Check.objects.standing().exists()

    def test_another_demonstrations_test_is_not_there(self):
        elsewhere = make_check()
        response = self.post("check_strike", elsewhere.pk, why="wrong")
        assert response.status_code == 404
        assert Check.objects.standing().exists()


class ImportTests(Pages):
    FILE = b"time,water\n2026-08-10 08:00,16.4\n2026-08-10 09:00,<b>wet</b>\n"

    def look(self, content=FILE):
        file = SimpleUploadedFile("log.csv", content, content_type="text/csv")
        return self.post("readings_import", self.ret.pk, file=file)

    def again(self, look, name="readings_confirm", **said):
        """Press a button below a file that was looked at."""
        held = look.context["form"].initial["held"]
        self.client.force_login(self.volunteer)
        return self.client.post(
            self.address(name, self.ret.pk), {"held": held, **said}, follow=True
        )

    def test_rows_to_check_are_kept_only_if_somebody_says_so(self):
        before = Reading.objects.count()
        look = self.look(b"time,water\n2026-08-10 08:00,16.4\n2026-08-10 09:00,58\n")
        words = self.words(look)
        assert "<strong>1</strong> to check" in words
        assert "58.0 °F is 14.4 °C" in words
        assert "1 reading is saved" in self.words(self.again(look))
        assert Reading.objects.count() == before + 1
        page = self.words(self.again(look, doubtful="1"))
        assert "1 reading is saved" in page
        assert Reading.objects.count() == before + 2

    def test_an_untouched_form_complains_of_nothing(self):
        form = self.get("readings_import", self.ret.pk).context["form"]
        assert not form.errors

    def test_a_look_lists_every_row_and_keeps_nothing(self):
        before = Reading.objects.count()
        words = self.words(self.look())
        assert "Save 1 reading " in words
        assert "“&lt;b&gt;wet&lt;/b&gt;” isn&#x27;t a number" in words
        assert "10 Aug 2026, 08:00, 16.4 °C" in words
        assert Reading.objects.count() == before

    def test_confirming_keeps_the_good_rows_once(self):
        before = Reading.objects.count()
        look = self.look()
        assert "1 reading is saved" in self.words(self.again(look))
        assert "Nothing new" in self.words(self.again(look))
        assert Reading.objects.count() == before + 1

    def test_what_was_not_seen_is_not_kept(self):
        """Another clock or unit is shown first; then it is kept as it was shown."""
        before, look = Reading.objects.count(), self.look()
        shown = self.again(look, clock="+02:00")
        assert "10 Aug 2026, 07:00, 16.4 °C" in self.words(shown)
        assert Reading.objects.count() == before
        assert "1 reading is saved" in self.words(self.again(shown, clock="+02:00"))
        moment = NOW.replace(day=10, hour=6, minute=0)
        assert Reading.objects.at_moment(moment).exists()

    def test_which_probe_is_the_water_is_asked(self):
        look = self.look(b"time,air temp,water 1\n2026-08-10 08:00,25,16\n")
        words = self.words(look)
        assert "air temp (25)" in words
        assert "Save 1 reading" not in words
        shown = self.words(self.again(look, "readings_import", columns="2"))
        assert "08:00, 16.0 °C" in shown

    def test_a_moment_that_the_book_has_is_asked_about(self):
        read = Reading.objects.in_ret(self.ret).standing().in_order()[2]
        text = f"{timezone.localtime(read.at, self.demonstration.zone):%Y-%m-%d %H:%M}"
        look = self.look(f"{text},17.0".encode())
        words = self.words(look)
        assert "the book has 16.0 °C for this moment" in words
        assert "take the mean of the two" in words
        assert "take the file&#x27;s" not in words
        shown = self.again(look, "readings_import", same="mean")
        assert "16.5 °C will stand" in self.words(shown)
        assert "1 reading is saved" in self.words(self.again(shown, same="mean"))
        page = self.words(self.get("ret", self.ret.pk))
        assert "two of one moment, made one" in page

    def test_a_long_file_says_how_far_it_is(self):
        start = self.ret.began_at + timedelta(seconds=67)
        moments = (start + timedelta(seconds=30 * n) for n in range(5_001))
        rows = [f"{at:%Y-%m-%dT%H:%M:%S}Z,16.0" for at in moments]
        look = self.look("\n".join(rows).encode())
        response = self.again(look)
        page = b"".join(response.streaming_content).decode()
        assert "0 of 5,001 saved" in page
        assert "5,000 of 5,001 saved" in page
        assert "5,001 readings are saved." in page
        assert page.rstrip().endswith("</html>")

    def test_a_long_file_that_is_refused_on_the_way_says_that_nothing_is_saved(self):
        def steps():
            yield 0
            raise ValidationError("The ret has changed.")

        page = f"<ul>{CUT}</ul>"
        told = "".join(_told(page, steps(), of=9))
        assert "0 of 9 saved" in told
        assert "The ret has changed. Nothing was saved." in told
        assert told.endswith("</ul>")

    def test_a_file_that_was_meddled_with_is_refused(self):
        before, look = Reading.objects.count(), self.look()
        look.context["form"].initial["held"] += "xx"
        assert "Choose the file again" in self.words(self.again(look))
        words = self.words(self.again(look, "readings_import"))
        assert "Choose the file again" in words
        assert Reading.objects.count() == before

    def test_a_file_of_another_ret_is_refused(self):
        held = self.look().context["form"].initial["held"]
        other = make_ret(dam=make_dam(demonstration=self.demonstration))
        self.post("readings_confirm", other.pk, held=held)
        assert not Reading.objects.in_ret(other).exists()

    def test_a_file_of_bad_rows_cannot_be_confirmed(self):
        words = self.words(self.look(b"time,water\n2026-08-10 09:00,wet\n"))
        assert "Nothing in it can be saved" in words
        assert "Save " not in words

    @pytest.mark.filterwarnings("error")
    def test_a_file_that_cannot_be_taken_is_refused_with_a_sentence(self):
        assert "This file is empty" in self.words(self.look(b""))
        assert "larger than 4 MB" in self.words(self.look(b"x" * 4_200_000))
        assert "not a text file" in self.words(self.look(b"\x89PNG\r\n\0\0"))
        assert (
            "file" in self.post("readings_import", self.ret.pk).context["form"].errors
        )


class RetPageTests(Pages):
    def test_the_page_names_one_interval_between_tests(self):
        Reading.objects.all().update(temp_c=Decimal("24.0"))
        words = self.words(self.get("ret", self.ret.pk))
        said = re.findall(r"(?:every|at least every</dt><dd>) ?(\w+) hours", words)
        assert len(said) > 1
        assert len(set(said)) == 1


class SheetTests(Pages):
    def text(self, **query):
        self.client.force_login(self.volunteer)
        response = self.client.get(self.address("log_sheet", self.ret.pk), query)
        assert response["Content-Type"] == "application/pdf"
        reader = PdfReader(io.BytesIO(response.content))
        return re.sub(r"\s+", " ", " ".join(p.extract_text() for p in reader.pages))

    def test_the_log_has_its_words_and_its_rows(self):
        text = self.text()
        for said in ("Dam log: Lower dam", "Thu 13 Aug", "look after your rivers"):
            assert said in text
        assert text.count("Trodden by; watched by") == 2
        assert "three to tread: one watches from the bank" in text
        assert (
            "24 hours, by daylight; 6 once the bubbles have stopped or the flax sinks"
            in text
        )
        assert "Probably ready" in text

    def test_large_print_says_the_same(self):
        assert "Probably ready" in self.text(large="1")

    def test_a_ret_nobody_has_read_has_its_sheet_too(self):
        Reading.objects.all().delete()
        assert "has not been read yet" in self.text()

    def test_water_too_cold_prints_no_date(self):
        Reading.objects.all().update(temp_c=Decimal("3.0"))
        assert "Probably ready" not in self.text()
