"""Pictures on paper: each sheet has only what is cleared for its use."""

import io
from itertools import pairwise

import pdfplumber
import pytest
from django.core.files.base import ContentFile
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.pictures import services
from heritage.pictures.models import Licence, Picture, Shown
from heritage.pictures.printed import selectors
from heritage.season.models import Stage
from tests.factories import (
    NOW,
    make_organiser,
    make_picture,
    make_volunteer,
)
from tests.pictures.photographs import photograph


def text_of(pdf):
    pages = PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


@pytest.mark.any_database
class Printed(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.organiser = make_organiser()
        cls.here = cls.organiser.demonstration
        cls.press = cls.picture("Beets on the cart", for_press=True)
        cls.shown = cls.picture("Hands tie a band", stage=Stage.RETTING)
        cls.kept = cls.picture("Not asked yet", is_published=False)

    @classmethod
    def picture(cls, caption, **fields):
        data = photograph(shade=len(caption))
        files = {
            name: ContentFile(data, name=f"{name}.jpg") for name in ("large", "small")
        }
        return make_picture(demonstration=cls.here, caption=caption, **files | fields)

    def sheet(self, name, user=None, **asked):
        self.client.force_login(user or self.organiser.user)
        url = reverse(f"pictures:{name}", args=[self.here.slug])
        answer = self.client.get(url, asked)
        assert answer.status_code == 200
        return answer.content

    def captions(self, name, **asked):
        said = text_of(self.sheet(name, **asked))
        rows = (self.press, self.shown, self.kept)
        return [row.caption for row in rows if row.caption in said]

    def test_each_sheet_has_only_what_is_cleared_for_it(self):
        assert self.captions("contact_sheet") == [
            "Beets on the cart",
            "Hands tie a band",
            "Not asked yet",
        ]
        for name in ("album_sheet", "panel_sheets", "label_sheet"):
            assert self.captions(name) == ["Beets on the cart", "Hands tie a band"]
        assert self.captions("press_sheet") == ["Beets on the cart"]

    def test_the_contact_sheet_says_what_each_is_cleared_for_and_can_be_narrowed(self):
        said = text_of(self.sheet("contact_sheet"))
        for words in (
            "[visitors, paper, press]",
            "[visitors, paper]",
            "[members alone]",
        ):
            assert words in said
        assert self.captions("contact_sheet", stage="retting") == ["Hands tie a band"]

    def test_each_has_its_credit_and_its_licence(self):
        said = text_of(self.sheet("album_sheet"))
        assert "Hands tie a band. Orla Fenn, 11 August 2026 (CC-BY-4.0)" in said
        self.shown.licence = Licence.RESERVED
        self.shown.save()
        assert "all rights reserved" in text_of(self.sheet("album_sheet"))

    def test_on_a3_the_same_stands_larger(self):
        for name in ("album_sheet", "panel_sheets", "label_sheet"):
            small, large = self.sheet(name), self.sheet(name, a3="1")
            assert text_of(small) == text_of(large), name
            # ISO 216: 210 x 297 mm and 297 x 420 mm.
            for pdf, size in zip((small, large), ((210, 297), (297, 420)), strict=True):
                box = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
                sides = (float(side) / 72 * 25.4 for side in (box.width, box.height))
                assert all(abs(a - b) < 0.5 for a, b in zip(sides, size, strict=True))

    def test_long_captions_keep_to_their_panel_and_their_label(self):
        """Each stage is one page; in large print four labels go on one, each whole."""
        for number in range(7):
            caption = f"Picture {number}: " + "beets lie in a row along the lane " * 4
            stage = Stage.STOOKING if number < 3 else Stage.CARTING
            self.picture(caption[:130], stage=stage)
        pages = PdfReader(io.BytesIO(self.sheet("panel_sheets"))).pages
        assert len(pages) == len(list(selectors.panels(self.here).chapters)) == 4
        with pdfplumber.open(io.BytesIO(self.sheet("label_sheet", large="1"))) as pdf:
            assert len(pdf.pages) == 3
            for page in pdf.pages:
                tops = sorted({round(word["top"]) for word in page.extract_words()})
                # No source: lines of 16 points are nowhere nearer than half of that.
                lines = [one for one in tops if one < page.height - 60]
                assert all(b - a >= 8 or b - a <= 2 for a, b in pairwise(lines))

    def test_a_picture_the_store_has_lost_is_left_out(self):
        lost = self.picture("Gone from the store", for_press=True)
        lost.large.storage.delete(lost.large.name)
        assert "Gone from the store" not in text_of(self.sheet("press_sheet"))

    def test_nothing_cleared_is_said(self):
        Picture.objects.all().delete()
        for name in ("album_sheet", "press_sheet", "panel_sheets", "label_sheet"):
            assert "No picture is cleared for this yet." in text_of(self.sheet(name))

    def test_each_costs_one_query_and_is_bounded(self):
        for read in (selectors.album, selectors.labels, selectors.press):
            with self.assertNumQueries(1):
                page = read(self.here)
                assert all(one.demonstration.name for one in page.pictures)
            assert page.left_out == 0


class ForPressTests(TestCase):
    def setUp(self):
        self.organiser = make_organiser()
        self.here = self.organiser.demonstration
        self.client.force_login(self.organiser.user)
        self.picture = make_picture(demonstration=self.here)

    def press(self, data):
        args = [self.here.slug, self.picture.pk]
        self.client.post(reverse("pictures:for_press", args=args), data)
        self.picture.refresh_from_db()
        return self.picture.for_press

    def test_an_organiser_clears_it_and_takes_it_back(self):
        assert self.press({"cleared": "1"}) is True
        assert self.press({}) is False
        self.client.force_login(make_volunteer(demonstration=self.here).user)
        assert self.press({"cleared": "1"}) is False

    def test_one_that_visitors_do_not_see_is_not_cleared(self):
        services.withdraw(picture=self.picture)
        assert self.press({"cleared": "1"}) is False

    def test_it_ends_with_being_shown_and_does_not_come_back_by_itself(self):
        self.press({"cleared": "1"})
        services.withdraw(picture=self.picture)
        services.publish(picture=self.picture)
        assert self.press({}) is False

    def test_it_ends_where_who_is_in_it_or_whose_it_is_changes(self):
        for values in ({"credit": "Fintan Quarrie"}, {"licence": Licence.CC0}):
            self.press({"cleared": "1"})
            services.edit_picture(picture=self.picture, values=values, now=NOW)
            self.picture.refresh_from_db()
            assert not self.picture.for_press
            assert self.picture.is_published
        self.press({"cleared": "1"})
        words = {"caption": "Other words", "shown": Shown.NOBODY}
        services.edit_picture(picture=self.picture, values=words, now=NOW)
        self.picture.refresh_from_db()
        assert self.picture.for_press
