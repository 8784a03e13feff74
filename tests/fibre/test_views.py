"""The pages after the dam: who opens them, what they say, and what they refuse."""

import io
import re
from datetime import timedelta

import pytest
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.fibre.models import (
    DryTest,
    GrassEntry,
    GrassWeather,
    Session,
    Spreading,
    StoreCheck,
)
from heritage.lots.models import Move, Place
from heritage.lots.selectors import lots_at
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_grass_entry,
    make_lot_at,
    make_organiser,
    make_session,
    make_spread_lot,
    make_spreading,
    make_volunteer,
)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Pages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.volunteer = make_volunteer(demonstration=cls.here).user
        lead = make_volunteer(demonstration=cls.here)
        make_gathering(demonstration=cls.here, lead=lead)
        cls.lead = lead.user
        cls.organiser = make_organiser(demonstration=cls.here).user

    def address(self, name, *keys):
        return reverse(f"fibre:{name}", args=[self.here.slug, *keys])

    def get(self, name, /, *keys, user=None):
        self.client.force_login(user or self.lead)
        return self.client.get(self.address(name, *keys))

    def post(self, name, /, *keys, user=None, follow=True, **data):
        self.client.force_login(user or self.lead)
        return self.client.post(self.address(name, *keys), data, follow=follow)

    def words(self, response, status=200):
        assert response.status_code == status
        return re.sub(r"\s+", " ", response.content.decode())


class DoorTests(Pages):
    def test_volunteers_read_and_leads_and_organisers_write(self):
        spreading = make_spreading(demonstration=self.here)
        entry = make_grass_entry(spreading=spreading)
        session = make_session(demonstration=self.here)
        key = [spreading.pk]
        read = [("after_dam", []), ("account", []), ("store", []), ("spreading", key)]
        read += [("session", [session.pk]), ("store_sheet", []), ("session_sheet", [])]
        write = [("spread", []), ("spread_dew", []), ("spread_again", [])]
        write += [("grass_weather", []), ("edit_spreading", key), ("add_entry", key)]
        write += [("bring_in", key), ("grass_entry", [entry.pk]), ("check_store", [])]
        write += [("test_dryness", []), ("break", []), ("scutch", []), ("hackle", [])]
        for name, keys in read + write:
            with self.subTest(name):
                assert self.get(name, *keys).status_code == 200
                assert self.get(name, *keys, user=self.organiser).status_code == 200
                mine = self.get(name, *keys, user=self.volunteer).status_code
                assert mine == (200 if (name, keys) in read else 404)
                self.client.logout()
                assert self.client.get(self.address(name, *keys)).status_code == 302

    def test_what_a_volunteer_reads_offers_nothing_to_press(self):
        make_spread_lot(spreading=make_spreading(demonstration=self.here))
        words = self.words(self.get("after_dam", user=self.volunteer))
        assert "40</strong> beets on the grass" in words
        assert "Write down" not in words
        assert self.address("add_entry", 1).split("/1/")[0] + "/spread/" not in words


class WalkTests(Pages):
    """From the lift to the line, all typed in afterwards from paper."""

    def test_a_season_after_the_dam(self):
        lot = make_lot_at(Place.DAM, beets=40, demonstration=self.here)
        lifted = NOW - timedelta(days=9, hours=12)
        make_move_out(lot, lifted)
        words = self.words(self.get("spread"))
        assert "All 40 beets need about 300 m²" in words
        assert "We found no printed area" in words
        words = self.words(
            self.post("spread", **{
                f"lot_{lot.pk}": 40, "where": "Bank field", "area_m2": 320,
                "spread_at": "2026-08-04T09:00", "note": "",
            })
        )  # fmt: skip
        assert "It can go on retting while" in words
        row = Spreading.objects.get()
        for at, what in (("2026-08-08T18:00", "turned"), ("2026-08-11T18:00", "ready")):
            self.post("add_entry", row.pk, what=what, at=at, note="")
        assert "Bring it in dry" in self.words(self.get("spreading", row.pk))
        words = self.words(
            self.post("bring_in", row.pk, **{
                f"lot_{lot.pk}": 40, "at": "2026-08-11T20:00", "note": "",
                "key": "6a3e1e1e-6d5e-4d5a-8a51-111111111111",
            })
        )  # fmt: skip
        assert "Never open a hot stack" in words
        assert "Ask your local fire service" in words
        self.post(
            "check_store", at="2026-08-12T08:00", air="good", smell="sweet", temp_c="21"
        )
        words = self.words(
            self.post("test_dryness", lot=lot, at="2026-08-12T08:10", way="oven",
                      before_g="0,250", after_g="0.222")
        )  # fmt: skip
        assert "dry enough to break" in words
        self.work(lot)

    def work(self, lot):
        words = self.words(self.get("break"))
        assert words.index("flax dust harms the chest") < words.index(
            "Save the session"
        )
        shared = {"people": 3, "where": "Yard", "note": ""}
        words = self.words(
            self.post("break", began_at="2026-08-12T09:00", ended_at="2026-08-12T12:00",
                      weighed_g="62", in_moisture_pct="11", onward_g="14",
                      shive_g="44", key="6a3e1e1e-6d5e-4d5a-8a51-222222222222",
                      **shared, **{f"lot_{lot.pk}": 40})
        )  # fmt: skip
        assert "came out as broken flax" in words
        assert "published: 12 to 50 %" in words
        self.post("scutch", began_at="2026-08-12T13:00", ended_at="2026-08-12T15:00",
                  there=[lot.pk], onward_g="8", tow_g="3",
                  key="6a3e1e1e-6d5e-4d5a-8a51-333333333333", **shared)  # fmt: skip
        words = self.words(
            self.post("hackle", began_at="2026-08-12T16:00",
                      ended_at="2026-08-12T18:00", there=[lot.pk],
                      onward_g="4.4", tow_g="3.2",
                      key="6a3e1e1e-6d5e-4d5a-8a51-444444444444", **shared)
        )  # fmt: skip
        assert "55 %" in words
        assert [one.dry_g for one in lots_at(self.here, Place.LINE)] == [3_872]
        assert Session.objects.count() == 3
        words = self.words(self.get("account"))
        assert "kg of line" in words
        assert "our judgement of hand work by beginners" in words
        words = self.words(self.get("after_dam"))
        assert "3.87 kg of line are hackled" in words


def make_move_out(lot, at):
    return Move.objects.create(
        lot=lot, source=Place.DAM, to_lot=lot, target=Place.GRASS, beets=40, at=at,
        entered_at=NOW,
    )  # fmt: skip


class BadInputTests(Pages):
    def test_a_weight_in_grams_is_asked_about_and_nothing_typed_is_lost(self):
        lot = make_lot_at(Place.STORE, demonstration=self.here)
        said = {
            f"lot_{lot.pk}": 40, "weighed_g": "2000", "onward_g": "10",
            "began_at": "2026-08-12T09:00", "ended_at": "2026-08-12T12:00",
            "key": "6a3e1e1e-6d5e-4d5a-8a51-555555555555", "note": "Windy.",
        }  # fmt: skip
        words = self.words(self.post("break", **said))
        assert "1,760.0 kg dry from 40 beets?" in words
        assert 'value="2000"' in words
        assert 'value="Windy."' in words
        assert 'name="sure"' in words
        assert not Session.objects.exists()
        self.post("break", **said | {"sure": "on"})
        assert Session.objects.get().in_dry_g == 1_760_000

    def test_what_is_no_number_is_asked_for_by_its_field(self):
        lot = make_lot_at(Place.STORE, demonstration=self.here)
        for said, answer in (
            ({"weighed_g": "lots"}, "Enter a number, like 12.5."),
            ({"weighed_g": "30000"}, "Enter a weight from 0 to 20,000 kg."),
            ({"in_moisture_pct": "90"}, "Write the moisture as a percentage"),
            ({"onward_g": "0"}, "Enter the weight that goes on to the next step."),
        ):
            fields = {
                f"lot_{lot.pk}": 40, "weighed_g": "60", "began_at": "2026-08-12T09:00",
                "ended_at": "2026-08-12T12:00",
                "key": "6a3e1e1e-6d5e-4d5a-8a51-666666666666",
            }  # fmt: skip
            with self.subTest(answer):
                assert answer in self.words(self.post("break", **fields | said))

    def test_more_is_not_spread_than_there_is(self):
        lot = make_lot_at(Place.GRASS, demonstration=self.here)
        words = self.words(
            self.post("spread", **{f"lot_{lot.pk}": 400}, where="Bank",
                      spread_at="2026-08-12T09:00")
        )  # fmt: skip
        assert "had 40 beets on the grass then, and this takes 400" in words
        assert 'value="400"' in words

    def test_a_test_that_misses_its_figures_says_which(self):
        lot = make_lot_at(Place.STORE, demonstration=self.here)
        words = self.words(
            self.post("test_dryness", lot=lot, way="hand", at="2026-08-12T08:00")
        )
        assert "Say whether it broke with a crack" in words
        self.post("test_dryness", lot=lot, way="hand", hand="no",
                  at="2026-08-12T08:00")  # fmt: skip
        assert DryTest.objects.get().is_dry is False

    def test_the_accounts_figures_may_be_anything(self):
        make_lot_at(Place.STORE, demonstration=self.here)
        self.client.force_login(self.volunteer)
        for query in ("?lea=40&g_per_m2=150", "?lea=0", "?lea=x&g_per_m2=-1", "?lea="):
            response = self.client.get(self.address("account") + query)
            assert "In yarn and cloth" in self.words(response)
        response = self.client.get(self.address("account") + "?lea=40")
        assert "40 lea is 41.3 tex" in self.words(response)


class SmallTests(Pages):
    def test_a_line_is_changed_and_taken_away(self):
        spreading = make_spread_lot(
            spreading=make_spreading(demonstration=self.here)
        ).spreading
        entry = make_grass_entry(spreading=spreading)
        self.post("grass_entry", entry.pk, what="gaited", at="2026-08-12T09:00")
        entry.refresh_from_db()
        assert entry.what == "gaited"
        self.post("grass_entry", entry.pk, away="1")
        assert not GrassEntry.objects.exists()

    def test_where_it_lies_is_changed(self):
        spreading = make_spreading(demonstration=self.here)
        words = self.words(self.post("edit_spreading", spreading.pk, where="Far field"))
        assert "Far field" in words
        words = self.words(self.post("edit_spreading", spreading.pk, away="1"))
        assert "gone." in words
        assert not Spreading.objects.exists()

    def test_a_days_weather_is_written_down(self):
        words = self.words(
            self.post("grass_weather", day="2026-08-12", wet="dew", mean_c="14,5")
        )
        assert "Dew or drizzle, 14.5 °C" in words
        words = self.words(self.post("grass_weather", day="2026-08-13", wet="dry"))
        assert "is in the future" in words
        assert GrassWeather.objects.count() == 1

    def test_a_hot_store_is_not_opened(self):
        make_lot_at(Place.STORE, demonstration=self.here)
        words = self.words(
            self.post("check_store", at="2026-08-12T08:00", air="poor", smell="smoke",
                      temp_c="57", moisture_pct="20")
        )  # fmt: skip
        assert "Keep everybody away and call the fire service now" in words
        assert StoreCheck.objects.get().moisture_permille == 200
        for name in ("break", "spread_again"):
            assert "Keep everybody away" in self.words(self.get(name))

    def test_a_dew_ret_says_what_it_goes_by(self):
        spreading = make_spread_lot(
            spreading=make_spreading(demonstration=self.here, way="dew")
        ).spreading
        words = self.words(self.get("spreading", spreading.pk))
        assert "neither is wrong" in words
        assert "write the days down" in words
        for day in ("2026-08-11", "2026-08-12"):
            self.post("grass_weather", day=day, wet="dew", mean_c="18")
        assert "% of the way" in self.words(self.get("spreading", spreading.pk))

    def test_the_sheets_say_the_cautions_first(self):
        for name, first, table in (
            ("store_sheet", "Fire: a hot stack", "Who looked"),
            ("session_sheet", "Flax dust harms the chest", "People"),
        ):
            for query in ("", "?large=1"):
                self.client.force_login(self.volunteer)
                response = self.client.get(self.address(name) + query)
                pages = PdfReader(io.BytesIO(response.content)).pages
                text = " ".join("".join(page.extract_text() for page in pages).split())
                assert query or len(pages) == 2
                assert text.index(first) < text.index(table)
                assert "ire: " in text
