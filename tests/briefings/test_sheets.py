from datetime import date
from io import BytesIO

import pytest
from django.test import TestCase
from pypdf import PdfReader

from heritage.briefings import selectors, services
from heritage.briefings.sheets import briefing_sheet
from tests.factories import NOW, make_briefing_version, make_demonstration, make_user

pytestmark = pytest.mark.any_database


def pages_of(pdf: bytes) -> list[str]:
    pages = PdfReader(BytesIO(pdf)).pages
    return [" ".join(page.extract_text().split()) for page in pages]


def text_of(pdf: bytes) -> str:
    return " ".join(pages_of(pdf))


class SheetTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        place = make_demonstration(name="Carrowlint flax")
        services.load_starting_briefings(
            demonstration=place, in_charge="Nora Bell", user=make_user(), now=NOW
        )
        dam = place.briefings.get(title="Working at the dam")
        cls.sheet = selectors.briefing_sheet(dam.versions.get())
        # Printed and read once for all that ask.
        cls.small, cls.large = cls.printed(), cls.printed(large_print=True)
        cls.pages, cls.large_pages = pages_of(cls.small), pages_of(cls.large)
        cls.text = " ".join(cls.pages)

    @classmethod
    def printed(cls, *, large_print=False):
        return briefing_sheet(
            cls.sheet, printed_on=date(2026, 8, 12), large_print=large_print
        )

    def test_the_sheet_says_it_all_with_its_version(self):
        for words in (
            "Working at the dam",
            "Version 1, published 12 August 2026",
            "In charge Nora Bell",
            "Do not go into the water alone",
            "Keep a throw line and a long pole",
            "30 minutes after the last thunder",
            "Only adults go into or work at the edge of the water",
            "Check that the right place is set",
            "does not replace a competent person",
            "Follow local codes and people licensed for the work",
            "Questions? Ask now",
            "Slide, roll or lever a stone",
            "Reading grade ",
            "go to the meeting point and stay there to be counted",
            "Signature",
            "Carrowlint flax",
            "Where: the edge, the planks and the stones.",
        ):
            assert words in self.text

    def test_what_nobody_wrote_is_said_to_be_missing(self):
        missing = self.text.partition("Not written here. Ask before you begin:")[2]
        for part in ("Today's plan", "First aid", "Nearest hospital", "Meeting point"):
            assert part in missing
        assert "Stop signal" not in missing.partition(".")[0]

    def test_the_first_page_is_read_out_with_every_caution_on_it(self):
        """In large print the cautions have the second page to themselves."""
        lines = selectors.short_of(self.sheet.words)
        cautions = [one["text"] for one in self.sheet.words["cautions"]]
        assert len(lines) == 12
        assert cautions
        for pages, beside in ((self.pages, 0), (self.large_pages, 1)):
            assert all(line in pages[0] for line in lines)
            assert all(text in pages[beside] for text in cautions)
            assert "The whole briefing is behind it" in pages[0]

    def test_large_print_says_the_same_on_more_pages(self):
        assert len(self.large_pages) > len(self.pages)
        assert "Keep a throw line" in " ".join(self.large_pages)

    def test_the_same_version_gives_the_same_bytes(self):
        assert self.printed() == self.small

    def test_a_bare_version_still_prints(self):
        sheet = selectors.briefing_sheet(make_briefing_version())
        pdf = briefing_sheet(sheet, printed_on=date(2026, 8, 12), large_print=False)
        assert "Signature" in text_of(pdf)
