"""Labels for bundles: what stands on them, and that a telephone reads their code."""

from datetime import date, timedelta
from io import BytesIO

import pdfplumber
import pytest
import zxingcpp
from django.conf import settings
from django.test import TestCase
from django.urls import reverse

from heritage.lots.sheets import label_sheet
from tests.factories import NOW, make_gathering, make_lot, make_organiser, make_plot


@pytest.mark.any_database
class LabelTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.here = cls.nora.demonstration
        plot = make_plot(demonstration=cls.here, name="Top plot")
        evening = make_gathering(
            demonstration=cls.here, starts_at=NOW - timedelta(days=1),
            ends_at=NOW - timedelta(hours=22),
        )  # fmt: skip
        cls.lot = make_lot(gathering=evening, plot=plot)

    def printed(self, lots):
        pdf = label_sheet(lots, self.here, printed_on=date(2026, 8, 12))
        return pdfplumber.open(BytesIO(pdf))

    def test_a_label_says_which_lot_from_where_and_when(self):
        with self.printed([self.lot]) as pdf:
            words = pdf.pages[0].extract_text()
        for said in ("Lot 1", "Tue 11 Aug 2026", "Top plot"):
            assert said in words

    def test_a_lot_made_from_others_says_so(self):
        with self.printed([make_lot(demonstration=self.here)]) as pdf:
            assert "made from other lots" in pdf.pages[0].extract_text()

    def test_eight_labels_are_one_sheet_and_nine_are_two(self):
        for count, pages in ((8, 1), (9, 2), (16, 2)):
            with self.printed([self.lot] * count) as pdf:
                assert len(pdf.pages) == pages, count

    def test_a_telephone_reads_each_code_and_it_opens_the_lots_page(self):
        with self.printed([self.lot] * 8) as pdf:
            image = pdf.pages[0].to_image(resolution=150).original.convert("RGB")
        found = [one.text for one in zxingcpp.read_barcodes(image)]
        address = settings.SITE_ADDRESS + self.lot.get_absolute_url()
        assert found == [address] * 8

    def test_pages_print_a_label_for_each_lot_or_a_sheet_for_one(self):
        self.client.force_login(self.nora.user)
        slug = self.here.slug
        for address in (
            reverse("lots:label_sheet", args=[slug]),
            reverse("lots:lot_label_sheet", args=[slug, self.lot.pk]),
        ):
            answer = self.client.get(address)
            assert answer.content.startswith(b"%PDF")
