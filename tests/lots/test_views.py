"""The crop's pages: who may open and use them, what they say, what they refuse."""

import re
from datetime import timedelta

import pytest
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.lots import services
from heritage.lots.intake.selectors import move_rows
from heritage.lots.models import Loss, Lot, Move, Place
from heritage.lots.selectors import stock
from heritage.lots.services import Amount
from tests.factories import (
    NOW,
    make_entry,
    make_gathering,
    make_lot,
    make_organiser,
    make_picture,
    make_plot,
    make_pulled_lot,
    make_volunteer,
)

HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Pages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.here = cls.nora.demonstration
        cls.ann = make_volunteer(demonstration=cls.here, name="Ann Rush")
        cls.lead = make_volunteer(demonstration=cls.here)
        cls.gathering = make_gathering(
            demonstration=cls.here, lead=cls.lead, starts_at=NOW - 30 * HOUR,
            ends_at=NOW - 28 * HOUR,
        )  # fmt: skip
        plot = make_plot(demonstration=cls.here, name="Top plot")
        cls.lot = make_pulled_lot(gathering=cls.gathering, plot=plot, beets=40)

    def address(self, name, *keys):
        return reverse(f"lots:{name}", args=[self.here.slug, *keys])

    def get(self, name, *keys, reader=None, query=""):
        self.client.force_login((reader or self.nora).user)
        return self.client.get(self.address(name, *keys) + query)

    def post(self, name, *keys, reader=None, query="", **data):
        self.client.force_login((reader or self.nora).user)
        return self.client.post(self.address(name, *keys) + query, data)

    def words(self, answer, status=200):
        assert answer.status_code == status
        return re.sub(r"\s+", " ", answer.content.decode())

    def move(self, target=Place.CART, **data):
        key = "5f9f0f6e-0000-4000-8000-000000000001"
        data = {"key": key, "target": target, "at": "2026-08-12T12:00"} | data
        return self.post("move", self.lot.pk, **data)

    def moved(self, source, target, amount, **given):
        return services.move(
            lot=self.lot, source=source, target=target, amount=amount,
            at=NOW - HOUR, by=self.nora.user, now=NOW, **given,
        )  # fmt: skip


class WhoTests(Pages):
    def test_volunteers_read_and_only_leads_and_organisers_write(self):
        for who in (self.ann, self.lead, self.nora):
            assert self.get("list", reader=who).status_code == 200
            assert self.get("lot", self.lot.pk, reader=who).status_code == 200
        for name in ("move", "part"):
            assert self.get(name, self.lot.pk, reader=self.ann).status_code == 404
            assert self.get(name, self.lot.pk, reader=self.lead).status_code == 200
        assert self.get("together", reader=self.ann).status_code == 404
        assert self.get("together", reader=self.lead).status_code == 200
        assert self.get("seed", self.lot.pk, reader=self.lead).status_code == 403

    def test_only_those_who_may_are_shown_how(self):
        assert "Move some" not in self.words(
            self.get("lot", self.lot.pk, reader=self.ann)
        )
        assert "Move some" in self.words(self.get("lot", self.lot.pk, reader=self.lead))
        for who, act in ((self.ann, "Fibre account"), (self.lead, f"Move {self.lot}")):
            page = self.words(self.get("list", reader=who))
            assert re.findall(r'class="act" [^>]*> ([^<]*)<', page) == [act]

    def test_the_tab_leads_here(self):
        page = self.get("lot", self.lot.pk)
        rooms = page.context["rooms"]
        assert [str(one.label) for one in rooms if one.is_current] == ["Lots"]

    def test_a_lead_of_elsewhere_is_told_nothing(self):
        gathering = make_gathering()
        stranger = make_volunteer(demonstration=gathering.demonstration)
        gathering.lead = stranger
        gathering.save()
        assert not Lot.objects.led_by(stranger.user).exists()


class CropPageTests(Pages):
    def test_it_says_where_everything_is_in_all_and_lot_by_lot(self):
        self.moved(Place.STOOK, Place.CART, Amount(beets=15))
        self.moved(Place.STOOK, Place.LOST, Amount(beets=1), loss=Loss.EATEN)
        words = self.words(self.get("list"))
        assert "24 beets in the field, 15 beets on the cart, 1 beet lost." in words
        assert "Tue 11 August, Top plot" in words

    def test_before_the_first_lot_it_says_what_makes_one(self):
        nora = make_organiser()
        self.client.force_login(nora.user)
        page = self.client.get(reverse("lots:list", args=[nora.demonstration.slug]))
        assert "first beets in the tally" in self.words(page)

    def test_a_lot_that_is_short_is_said(self):
        self.moved(Place.STOOK, Place.CART, Amount(beets=40))
        self.shorten()
        words = self.words(self.get("list"))
        assert "is short by 3 beets" in words

    def shorten(self):
        entry = self.gathering.entries.get()
        make_entry(
            gathering=self.gathering, plot=entry.plot, corrects=entry, beets=-3,
            reason="Slip.",
        )  # fmt: skip

    def test_more_lots_take_as_many_queries(self):
        self.client.force_login(self.nora.user)
        for _ in range(2):
            with self.assertNumQueries(12):
                self.client.get(self.address("list"))
            for days in (1, 2, 3):
                evening = make_gathering(
                    demonstration=self.here, starts_at=NOW - days * 24 * HOUR,
                    ends_at=NOW - days * 24 * HOUR + HOUR,
                )  # fmt: skip
                make_pulled_lot(gathering=evening, beets=12)

    def test_a_short_lot_is_settled_with_what_is_known(self):
        self.moved(Place.STOOK, Place.CART, Amount(beets=40))
        self.shorten()
        assert "Short by 3 beets" in self.words(self.get("lot", self.lot.pk))
        assert "3 more beets were moved" in self.words(self.get("settle", self.lot.pk))
        assert "Please fill this in." in self.words(self.post("settle", self.lot.pk))
        self.post("settle", self.lot.pk, note="Two counts of one cart.")
        assert "Short by" not in self.words(self.get("lot", self.lot.pk))
        assert self.get("settle", self.lot.pk).status_code == 302


class LotPageTests(Pages):
    def test_it_tells_its_moves_and_who_made_them(self):
        self.moved(
            Place.STOOK, Place.CART, Amount(beets=15), who=self.ann, note="In the rain."
        )
        words = self.words(self.get("lot", self.lot.pk))
        assert "40 beets pulled on Tuesday 11 August, Top plot." in words
        assert "15 beets, in the field → on the cart. In the rain." in words
        assert "Ann Rush, entered by" in words

    def test_more_moves_take_as_many_queries(self):
        self.client.force_login(self.nora.user)
        for _ in range(2):
            with self.assertNumQueries(19):
                self.client.get(self.address("lot", self.lot.pk))
            for _ in range(3):
                self.moved(Place.STOOK, Place.CART, Amount(beets=1), who=self.ann)

    def test_lots_of_elsewhere_are_not_there(self):
        other = make_pulled_lot()
        assert self.get("lot", other.pk).status_code == 404


class MoveTests(Pages):
    def test_all_of_it_is_offered_and_one_press_moves_it(self):
        page = self.words(self.get("move", self.lot.pk))
        assert 'name="beets" value="40"' in page
        answer = self.move(beets="40", who=self.ann.name)
        assert answer.url == self.lot.get_absolute_url()
        assert stock(self.here) == {Place.CART: (40, 0)}
        move = Move.objects.get()
        assert (move.who, move.at.isoformat()) == (
            self.ann,
            "2026-08-12T11:00:00+00:00",
        )

    def test_the_button_pressed_twice_moves_it_once(self):
        self.move(beets="15")
        self.move(beets="15")
        assert stock(self.here) == {Place.STOOK: (25, 0), Place.CART: (15, 0)}

    def test_pressed_twice_it_goes_by_the_place_that_was_shown(self):
        page = self.words(self.get("move", self.lot.pk))
        assert 'action="' + self.address("move", self.lot.pk) + '?from=stook"' in page
        for _ in range(2):
            answer = self.move(beets="40", query="?from=stook")
            assert answer.url == self.lot.get_absolute_url()
        assert stock(self.here) == {Place.CART: (40, 0)}

    def test_more_than_is_there_is_refused_at_the_field_and_nothing_is_lost(self):
        words = self.words(self.move(beets="41", note="Wet"))
        assert "has 40 beets in the field then" in words
        assert 'value="Wet"' in words

    def test_a_moment_before_the_lot_is_refused_and_the_fold_opens(self):
        page = self.move(beets="5", at="2026-08-01T12:00")
        assert "at" in page.context["form"].errors
        assert "<details open>" in self.words(page)

    def test_nothing_is_in_two_places_or_leaves_before_it_came(self):
        self.move(beets=40)
        again = {"key": "5f9f0f6e-0000-4000-8000-000000000002", "beets": 40}
        page = self.move(query="?from=stook", target=Place.STORE, **again)
        assert "has 0 beets in the field" in self.words(page)
        page = self.move(query="?from=cart", target=Place.STORE, **again,
                         at="2026-08-12T11:00")  # fmt: skip
        words = self.words(page)
        assert "has 0 beets on the cart" in words
        assert 'value="40"' in words
        assert Move.objects.count() == 1

    def test_nothing_is_not_a_number_of_beets(self):
        assert "Enter how many beets" in self.words(self.move())
        assert "beets" in self.move(beets="x").context["form"].errors
        assert "beets" in self.move(beets="-5").context["form"].errors

    def test_what_is_lost_says_how(self):
        words = self.words(self.move(Place.LOST, beets="3"))
        assert "Say what became of it" in words
        self.move(Place.LOST, beets="3", loss="eaten")
        assert stock(self.here)[Place.LOST] == (3, 0)

    def test_at_the_brake_the_weight_is_asked(self):
        words = self.words(self.move(Place.BRAKE, beets="10"))
        assert "Enter what the scale says" in words
        self.move(Place.BRAKE, beets="10", weight_kg="22,5", moisture_pct="12")
        assert stock(self.here)[Place.BRAKE] == (0, 19_800)

    def test_two_thousand_kilograms_from_forty_beets_are_asked_about(self):
        typed = {"beets": "40", "weight_kg": "2000"}
        page = self.move(Place.BRAKE, **typed)
        words = self.words(page)
        assert "1,760.0 kg dry from 40 beets? About 18.8 to 300.0 kg is usual" in words
        assert "weight_kg" in page.context["form"].errors
        assert 'name="sure"' in words
        self.move(Place.BRAKE, sure="on", **typed)
        assert stock(self.here) == {Place.BRAKE: (0, 1_760_000)}

    def test_nobody_is_asked_to_be_sure_without_a_question(self):
        assert 'name="sure"' not in self.words(self.get("move", self.lot.pk))

    def test_seed_is_weighed_and_beets_are_left_out(self):
        self.move(Place.SEED, beets="40", weight_kg="3")
        assert stock(self.here) == {Place.STOOK: (40, 0), Place.SEED: (0, 2640)}

    def test_a_seed_too_heavy_is_asked_about(self):
        assert "usual" in self.words(self.move(Place.SEED, weight_kg="300"))

    def test_a_weight_is_left_out_where_beets_are_counted(self):
        self.move(Place.CART, beets="15", weight_kg="30")
        assert Move.objects.get().weighed_g is None

    def test_fibre_goes_on_by_weight_or_all_of_it(self):
        self.moved(Place.STOOK, Place.BRAKE, Amount(10, 22_000))
        on = {"query": "?from=brake"}
        page = self.words(self.get("move", self.lot.pk, **on))
        assert "19.36 kg dry at the brake" in page
        assert 'name="beets"' not in page
        self.client.force_login(self.nora.user)
        self.client.post(
            self.address("move", self.lot.pk) + "?from=brake",
            {
                "key": "5f9f0f6e-0000-4000-8000-000000000002",
                "target": "scutch",
                "at": "2026-08-12T18:00",
            },
        )
        assert stock(self.here) == {Place.STOOK: (30, 0), Place.SCUTCH: (0, 19_360)}

    def test_more_fibre_than_there_is_is_refused_at_its_weight(self):
        self.moved(Place.STOOK, Place.BRAKE, Amount(10, 22_000))
        key = "5f9f0f6e-0000-4000-8000-000000000002"
        page = self.post(
            "move", self.lot.pk, query="?from=brake", key=key, target="scutch",
            at="2026-08-12T18:00", weight_kg="30",
        )  # fmt: skip
        assert "19360 dry grams" in str(page.context["form"].errors["weight_kg"])

    def test_beets_that_were_found_are_counted_in(self):
        key = "5f9f0f6e-0000-4000-8000-000000000003"
        self.post(
            "move", self.lot.pk, query="?from=lost", key=key, target="stook",
            at="2026-08-12T12:00", beets="2", note="Behind the ditch.",
        )  # fmt: skip
        assert stock(self.here) == {Place.STOOK: (42, 0), Place.LOST: (-2, 0)}

    def test_a_place_where_nothing_is_cannot_be_left(self):
        assert self.get("move", self.lot.pk, query="?from=grass").status_code == 404
        assert self.get("move", self.lot.pk, query="?from=moon").status_code == 404

    def test_no_dam_is_filled_or_emptied_here(self):
        assert "target" in self.move(Place.DAM, beets="5").context["form"].errors


class CorrectTests(Pages):
    def test_a_move_is_taken_back_with_its_reason(self):
        move = self.moved(Place.STOOK, Place.CART, Amount(beets=15))
        assert "15 beets" in self.words(self.get("correct", move.pk))
        assert "reason" in self.post("correct", move.pk).context["form"].errors
        self.post("correct", move.pk, reason="Another lot.")
        words = self.words(self.get("lot", self.lot.pk))
        assert "Taken back: 15 beets" in words
        assert "Another lot." in words
        assert stock(self.here) == {Place.STOOK: (40, 0)}

    def test_a_volunteer_corrects_nothing(self):
        move = self.moved(Place.STOOK, Place.CART, Amount(beets=15))
        assert self.get("correct", move.pk, reader=self.ann).status_code == 404


class PartAndPutTogetherTests(Pages):
    KEY = "5f9f0f6e-0000-4000-8000-000000000004"
    AT = "2026-08-12T12:00"

    def part(self, **data):
        return self.post("part", self.lot.pk, key=self.KEY, at=self.AT, **data)

    def together(self, **data):
        key = "5f9f0f6e-0000-4000-8000-000000000005"
        return self.post("together", key=key, at=self.AT, **data)

    def test_a_part_is_a_lot_of_its_own(self):
        answer = self.part(**{f"lot_{self.lot.pk}": "12"})
        new = Lot.objects.get(number=2)
        assert answer.url == new.get_absolute_url()
        assert 'Came from <a href="' in self.words(self.get("lot", new.pk))
        words = self.words(self.get("lot", self.lot.pk))
        assert "Some went into" in words

    def test_a_part_is_some_of_what_is_there(self):
        assert "Enter how much of it" in self.words(self.part())
        page = self.part(**{f"lot_{self.lot.pk}": "41"})
        assert "has 40 beets" in self.words(page)

    def test_lots_are_put_together_where_they_are(self):
        self.part(**{f"lot_{self.lot.pk}": "12"})
        other = Lot.objects.get(number=2)
        page = self.words(self.get("together"))
        assert "Lot 1: 28 beets" in page
        one = self.together(**{f"lot_{self.lot.pk}": "28"})
        assert "two lots or more" in self.words(one)
        self.together(**{f"lot_{self.lot.pk}": "28", f"lot_{other.pk}": "12"})
        assert stock(self.here) == {Place.STOOK: (40, 0)}
        assert Lot.objects.count() == 3

    def test_one_lot_alone_is_put_together_with_none(self):
        assert "No two lots are in one place" in self.words(self.get("together"))
        assert self.together().status_code == 200

    def test_fibre_is_parted_by_weight(self):
        self.moved(Place.STOOK, Place.BRAKE, Amount(10, 22_000))
        data = {f"lot_{self.lot.pk}": "4.5"}
        self.post(
            "part", self.lot.pk, query="?from=brake", key=self.KEY,
            at="2026-08-12T18:00", **data,
        )  # fmt: skip
        assert Move.objects.get(to_lot__number=2).dry_g == 4500


class PictureTests(Pages):
    def test_a_picture_of_a_lot_is_on_its_page_and_leads_back(self):
        picture = make_picture(demonstration=self.here, lot=self.lot)
        words = self.words(self.get("lot", self.lot.pk))
        assert picture.small_url in words
        self.client.force_login(self.nora.user)
        page = self.client.get(picture.get_absolute_url())
        assert self.lot.get_absolute_url() in self.words(page)

    def test_a_lot_is_asked_for_only_where_there_are_lots(self):
        self.client.force_login(self.nora.user)
        add = reverse("pictures:add", args=[self.here.slug])
        page = self.words(self.client.get(f"{add}?lot={self.lot.pk}"))
        assert f'<option value="{self.lot.pk}" selected' in page
        other = make_organiser()
        self.client.force_login(other.user)
        add = reverse("pictures:add", args=[other.demonstration.slug])
        assert 'name="lot"' not in self.words(self.client.get(add))


class ManyLots(Pages):
    def test_the_newest_lots_come_first_and_the_others_on_pages_of_their_own(self):
        for number in range(2, 303):
            make_lot(demonstration=self.here, number=number)
        words = self.words(self.get("list"))
        assert "Lot 302</a>" in words
        assert "Lot 282</a>" not in words
        assert "Page 1 of 21" in words
        words = self.words(self.get("list", query="?page=21"))
        assert "40 beets in the field." in words
        assert "Top plot" in words

    def test_many_lots_in_one_place_are_folded_away(self):
        for number in range(2, 10):
            make_pulled_lot(demonstration=self.here, number=number, beets=12)
        words = self.words(self.get("together"))
        assert "<details><summary>Other lots (5)</summary>" in words
        page = self.post("together", query="?from=stook", at="2026-08-12T12:00",
            key="5f9f0f6e-0000-4000-8000-000000000001",
            **{f"lot_{Lot.objects.get(number=9).pk}": "many"})  # fmt: skip
        assert "<details open><summary>Other lots (5)</summary>" in self.words(page)

    def test_what_was_found_is_not_less_than_nothing_lost(self):
        self.moved(Place.LOST, Place.STOOK, Amount(beets=3), loss=Loss.MISCOUNTED)
        assert "43 beets in the field, 3 beets found." in self.words(self.get("list"))
        assert "3 beets found" in self.words(self.get("lot", self.lot.pk))

    def test_a_move_names_the_person_that_a_merge_kept(self):
        twice = make_volunteer(demonstration=self.here, name="A. Rush")
        self.moved(Place.STOOK, Place.CART, Amount(beets=5), who=twice)
        twice.merged_into, twice.left_at = self.ann, NOW
        twice.save()
        words = self.words(self.get("lot", self.lot.pk))
        assert "Ann Rush" in words
        assert "A. Rush" not in words
        [row] = move_rows(self.here)
        assert "Ann Rush" in row


class SeedTests(Pages):
    def test_an_organiser_chooses_what_is_done_with_the_seed(self):
        assert "rippled" in self.words(self.get("seed", self.lot.pk))
        self.post("seed", self.lot.pk, rippled="saved")
        words = self.words(self.get("lot", self.lot.pk))
        assert "Rippled, and the seed saved" in words
        page = self.post("seed", self.lot.pk, rippled="eaten")
        assert "rippled" in page.context["form"].errors
