"""The codes on the sheets, read back from the paper by zxing-cpp, a reader of its own.

Pages are drawn by PDFium at 100 dots an inch, about what a phone sees of a sheet at
arm's length, and once more blurred and in poor light.
"""

from datetime import date

import pypdfium2
import pytest
import zxingcpp
from django.test import TestCase
from PIL import Image, ImageEnhance, ImageFilter

from heritage.common import sheets as paper_sheet
from heritage.gatherings.models import Gathering
from heritage.kits.paper import blocks as paper
from heritage.public import selectors, sheets
from tests.factories import make_gathering

DAY = date(2026, 8, 12)
ADDRESS = "https://carrowlint.example/at/flax-at-carrowlint-2026/gatherings/11/"
POINTS_AN_INCH = 72


def pages(pdf: bytes, dots_an_inch: int = 100) -> list[Image.Image]:
    with pypdfium2.PdfDocument(pdf) as document:
        return [
            page.render(scale=dots_an_inch / POINTS_AN_INCH).to_pil()
            for page in document
        ]


def at_dusk(page: Image.Image) -> Image.Image:
    grey = page.convert("L").filter(ImageFilter.GaussianBlur(0.8))
    return ImageEnhance.Contrast(ImageEnhance.Brightness(grey).enhance(0.5)).enhance(
        0.5
    )


def read(page: Image.Image) -> list[str]:
    found = zxingcpp.read_barcodes(page)
    assert {code.format for code in found} <= {zxingcpp.BarcodeFormat.QRCode}
    return [code.text for code in found]


def sheet_of(address: str) -> bytes:
    blocks = [paper.QR(address, "See more")]
    return paper_sheet.sheet(title="Code", blocks=blocks)


@pytest.mark.parametrize(
    "address", [ADDRESS, "https://carrowlint.example/Ó/їжак", "https://x.example/" * 12]
)
def test_an_address_comes_back_to_the_letter(address):
    [page] = pages(sheet_of(address))
    assert read(page) == [address]


class SheetTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        gathering = make_gathering()
        cls.gathering = Gathering.objects.for_page().get(pk=gathering.pk)

    def poster(self, *, large_print: bool) -> bytes:
        return sheets.poster(
            selectors.poster(self.gathering),
            address=ADDRESS,
            printed_on=DAY,
            large_print=large_print,
        )

    def test_the_poster_leads_to_its_gathering(self):
        for large_print in (False, True):
            with self.subTest(large_print=large_print):
                drawn = pages(self.poster(large_print=large_print))
                assert [text for page in drawn for text in read(page)] == [ADDRESS]

    def test_the_poster_is_read_at_dusk_too(self):
        drawn = pages(self.poster(large_print=False))
        assert [text for page in drawn for text in read(at_dusk(page))] == [ADDRESS]
