"""The evening's sheet, read back."""

from datetime import date
from io import BytesIO

import pdfplumber
import pytest
from pypdf import PdfReader

from heritage.gatherings import selectors, sheets
from heritage.people.models import AgeBand
from tests.factories import NOW, make_sign_up, make_station, make_volunteer
from tests.gatherings.evening import EveningCase

pytestmark = pytest.mark.any_database


def words_of(pdf):
    pages = PdfReader(BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


class SignInSheetTests(EveningCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        # The evening as it is in most tests, printed and read once.
        cls.small, cls.large = cls.sheet(), cls.sheet(large_print=True)
        cls.usual = words_of(cls.small)

    @classmethod
    def sheet(cls, gathering=None, *, large_print=False):
        return sheets.sign_in_sheet(
            selectors.sign_in_sheet(gathering or cls.gathering),
            printed_on=date(2026, 8, 12),
            large_print=large_print,
        )

    def words(self):
        return words_of(self.sheet(self.gathering))

    def test_it_says_what_when_where_and_who_leads(self):
        words = self.usual
        for said in (
            "Pulling by the lane",
            "Thursday 13 August 2026, 18:30 to 20:30",
            "The gate on the lane",
            "Liam Orr",
            "Sunset 21:01, stop at 21:28".lower(),
        ):
            assert said in words.replace("Sunset", "sunset")

    def test_it_says_that_it_moved(self):
        assert "Moved" not in self.usual
        self.gathering.moved_from = NOW
        assert "It was to be on Wednesday 12 August 2026" in self.words()

    def test_it_lists_who_holds_a_place_and_not_who_waits(self):
        words = self.usual
        assert "Ann Rush" in words
        assert "Bob Carr" not in words

    def test_a_childs_family_name_stays_off_the_paper(self):
        child = make_volunteer(
            demonstration=self.demonstration,
            user=None,
            guardian=self.ann,
            age_band=AgeBand.FROM_13,
            name="Tim Ashgrove",
        )
        make_sign_up(station=self.tie, volunteer=child)
        words = self.words()
        assert "Tim" in words
        assert "Ashgrove" not in words

    def test_it_names_the_briefing_with_its_version(self):
        assert "Pulling by hand, version 1" in self.usual

    def test_its_cautions_stand_on_it(self):
        words = self.usual
        for said in (
            "thunder follows lightning within 30 seconds",
            "Count everybody out",
            "whose briefing you have not heard",
            "people licensed for the work, come before this sheet",
        ):
            assert said in words

    def test_machines_and_water_stop_by_sunset(self):
        assert "stop by sunset" not in self.usual
        make_station(gathering=self.gathering, kind="tread", title="Treaders")
        assert "at the water stop by sunset, 21:01" in self.words()

    def test_it_says_when_it_was_printed_and_whose_it_is(self):
        words = self.usual
        assert "printed 12 August 2026" in words
        assert "Flax at Lintholm" in words

    def test_without_a_lead_the_organiser_leads(self):
        self.gathering.lead = None
        assert "the organiser" in self.words()

    def test_where_it_never_gets_dark_the_eye_says_when_to_stop(self):
        self.demonstration.latitude = 68
        self.demonstration.save()
        self.gathering.demonstration = self.demonstration
        june = {"month": 6, "day": 21}
        self.gathering.starts_at = self.gathering.starts_at.replace(**june)
        self.gathering.ends_at = self.gathering.ends_at.replace(**june)
        assert "when you can no longer see well" in self.words()

    def test_the_same_evening_gives_the_same_bytes(self):
        assert self.sheet() == self.small

    def test_it_is_two_sheets_names_first_and_then_the_rest(self):
        """In both sizes, with more than the four rows for people not on the list."""
        for pdf in (self.small, self.large):
            names, rest = (
                page.extract_text() for page in PdfReader(BytesIO(pdf)).pages
            )
            assert "Ann Rush" in names
            assert "briefing before you work at a station" in " ".join(names.split())
            assert "Ann Rush" not in rest
            assert "Count everybody out" in " ".join(rest.split())
            with pdfplumber.open(BytesIO(pdf)) as opened:
                page = opened.pages[0]
                rows = {round(line["top"]) for line in page.lines if not line["height"]}
                foot = max(top for top in rows if top < 0.93 * page.height)
            assert len(rows) > 8
            assert foot > 0.85 * page.height

    def test_large_print_says_the_same(self):
        words = words_of(self.large)
        assert "Ann Rush" in words
        assert "thunder follows lightning within 30 seconds" in words
