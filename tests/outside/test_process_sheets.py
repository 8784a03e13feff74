"""The process sheets against plain English, printed figures, and two PDF readers."""

import re
from datetime import date
from fractions import Fraction
from io import BytesIO

import pdfplumber
import pytest
from django.test import TestCase
from pypdf import PdfReader

from heritage.calc.measures import ACRE_M2
from heritage.kits.signs import sign
from heritage.public.sheets import DRAWINGS, process_sheet
from heritage.public.shelf.selectors import process_page, process_texts
from heritage.season.models import Stage
from tests.factories import make_demonstration

TEXTS = process_texts()
STAGES = list(Stage)
DAY = date(2026, 8, 12)
ADDRESS = "https://carrowlint.example/at/flax/"
PRACTICE = "common practice, no source"
VOWELS = re.compile(r"[aeiouy]+")
# Printed by nobody that was found: a sheet that claims one of these is wrong.
NEVER = ("lift on", "lift after", "safe weight", "may be let go", "release the water")


def syllables(word: str) -> int:
    """Count a word's syllables by its groups of vowels, less a silent ending."""
    word = word.lower().replace("'", "")
    count = len(VOWELS.findall(word))
    silent = re.search(r"[^aeiouyl]e$|[^aeiouytd]ed$|[^aeiouycgshxz]es$", word)
    return max(1, count - bool(silent))


def grade(text: str) -> float:
    """Return the Flesch-Kincaid grade: 0.39 ASL + 11.8 ASW - 15.59."""
    sentences = [part for part in re.split(r"[.!?]+\s|[.!?]$", text) if part]
    words = re.findall(r"[A-Za-z']+", text)
    per_sentence = len(words) / len(sentences)
    per_word = sum(map(syllables, words)) / len(words)
    return 0.39 * per_sentence + 11.8 * per_word - 15.59


def read_aloud(text) -> str:
    """Return what a visitor reads: not the names of the sources."""
    parts = [text.what, text.why, *text.how]
    return " ".join([*parts, *(words for _, words in text.cautions)])


def claims(text) -> str:
    figures = [f"{claim} {source}" for claim, source in text.figures]
    return " ".join([read_aloud(text), *figures, *text.disputed])


class TestCounter:
    """The counter itself, by words whose syllables a dictionary marks."""

    @pytest.mark.parametrize(
        ("word", "count"),
        [
            ("flax", 1),
            ("beet", 1),
            ("the", 1),
            ("take", 1),
            ("pulled", 1),
            ("spreads", 1),
            ("table", 2),
            ("water", 2),
            ("planted", 2),
            ("pieces", 2),
            ("gathering", 3),
            ("agriculture", 4),
        ],
    )
    def test_syllables(self, word, count):
        assert syllables(word) == count

    def test_a_line_worked_by_hand(self):
        """Two sentences, seven words, seven syllables: 0.39 · 3.5 + 11.8 - 15.59."""
        assert grade("Pull the flax. Do not cut it.") == pytest.approx(-2.425)


class TestWords:
    def test_every_stage_has_its_words(self):
        assert list(TEXTS) == [stage.value for stage in STAGES]
        for text in TEXTS.values():
            assert all((text.what, text.why, text.how, text.words, text.steps_from))

    def test_they_read_at_about_ten_years_of_age(self):
        grades = {stage: grade(read_aloud(text)) for stage, text in TEXTS.items()}
        assert sum(grades.values()) / len(grades) < 5, grades
        assert max(grades.values()) < 8, grades

    def test_no_sentence_is_over_twenty_five_words(self):
        """The Plain English Campaign's limit."""
        for stage, text in TEXTS.items():
            for sentence in re.split(r"[.!?]\s", read_aloud(text)):
                assert len(sentence.split()) <= 25, (stage, sentence)

    def test_no_card_has_more_than_seven_steps(self):
        assert all(len(text.how) <= 7 for text in TEXTS.values())

    def test_every_work_that_can_hurt_has_its_cautions(self):
        assert all(text.cautions for text in TEXTS.values())
        for stage in ("filling_the_dam", "lifting"):
            words = " ".join(words for _, words in TEXTS[stage].cautions)
            assert "alone, tired, unbriefed or after dark" in words
        for stage in ("retting", "lifting"):
            words = " ".join(words for _, words in TEXTS[stage].cautions)
            assert "Do not let the water go" in words
        for stage in ("breaking", "scutching"):
            words = " ".join(words for _, words in TEXTS[stage].cautions)
            assert "no safe figure" in words
            assert "No smoking" in words

    def test_every_mark_and_drawing_is_known(self):
        for text in TEXTS.values():
            assert all(sign(kind) for kind, _ in text.cautions)
            assert text.drawing in {"", *DRAWINGS}

    def test_no_figure_stands_without_a_source(self):
        """A claim with no source says that none was found."""
        for text in TEXTS.values():
            for claim, source in text.figures:
                honest = re.search(r"no printed weight", claim)
                assert source or honest, claim

    def test_what_only_the_trade_knows_says_so(self):
        for text in TEXTS.values():
            assert PRACTICE in text.steps_from

    def test_nothing_gives_a_day_to_lift_or_a_leave_to_drain(self):
        for text in TEXTS.values():
            assert not [words for words in NEVER if words in claims(text).lower()]

    def test_what_sources_dispute_is_told_as_disputed(self):
        disputed = {stage: " ".join(text.disputed) for stage, text in TEXTS.items()}
        assert "twelve" in disputed["stooking"]
        assert "six" in disputed["stooking"]
        assert "Roots down" in disputed["filling_the_dam"]
        assert "Roots up" in disputed["filling_the_dam"]


def numbers(claim: str) -> list[int]:
    return [int(found.replace(",", "")) for found in re.findall(r"\d[\d,]*", claim)]


def claim_of(stage: str, beginning: str) -> str:
    claims = [claim for claim, _ in TEXTS[stage].figures]
    return next(claim for claim in claims if claim.startswith(beginning))


class TestFigures:
    """The sums behind figures that are printed, done again from their sources."""

    def test_the_pace_of_a_good_puller(self):
        """Schools' Collection 0799 p. 295: 12 to 14 pull an acre in a day."""
        slow, fast = (round(float(ACRE_M2) / pullers / 8) for pullers in (14, 12))
        assert f"{slow} to {fast} square metres" in claim_of("pulling", "Twelve")

    def test_the_novices_hours(self):
        """152 hours on an acre and a quarter; the print says 132 to the acre."""
        by_money = round(Fraction(152) / Fraction("1.25"))
        assert f"{by_money} by the money" in claim_of("pulling", "Beginners")

    def test_the_fibre_of_hodges(self):
        """Encyclopaedia Britannica, 9th ed.: 5,824 lb of straw, 702 lb of fibre."""
        straw, fibre, percent, whole = numbers(claim_of("scutching", "5,824"))
        assert (straw, fibre, whole) == (5824, 702, 100)
        assert round(100 * fibre / straw) == percent

    def test_the_hackling_of_the_american_report(self):
        """Line, tow and waste add up to the 40 pounds that went in."""
        whole, *parts = numbers(claim_of("hackling", "Of 40"))
        assert sum(parts) == whole

    def test_the_flowers_and_the_pulling(self):
        """Northern Standard, 16 August 2015: flowers 8 July, pulled 6 August."""
        days = (date(2015, 8, 6) - date(2015, 7, 8)).days
        assert f"{days} in County Monaghan" in TEXTS["flowering"].disputed[0]


@pytest.mark.any_database
class PrintedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(name="Carrowlint flax", beets_per_stook=9)
        cls.prints: dict[Stage, bytes] = {}

    def kept(self, stage):
        """Print a sheet unless another test has it already."""
        if stage not in self.prints:
            self.prints[stage] = self.printed(stage)
        return self.prints[stage]

    def printed(self, stage, *, large_print=False):
        page = process_page(self.place, stage)
        return process_sheet(
            page, address=ADDRESS, printed_on=DAY, large_print=large_print
        )

    def test_every_sheet_is_a4_with_title_and_language(self):
        for stage in STAGES:
            reader = PdfReader(BytesIO(self.kept(stage)), strict=True)
            assert reader.metadata.title == stage.label.capitalize()
            assert reader.trailer["/Root"]["/Lang"] == "en-GB"
            for page in reader.pages:
                assert [round(side) for side in page.mediabox[2:]] == [595, 842]

    def test_every_sheet_carries_all_its_words(self):
        for stage in STAGES:
            with pdfplumber.open(BytesIO(self.kept(stage))) as pdf:
                found = squeezed(" ".join(page.extract_text() for page in pdf.pages))
            text = process_page(self.place, stage).text
            for words in (text.what, *text.how, ADDRESS, *text.disputed):
                assert squeezed(words) in found, (stage, words)
            for _, words in text.cautions:
                assert squeezed(words) in found, (stage, words)

    def test_large_print_says_the_same_in_larger_letters(self):
        for stage in (Stage.PULLING, Stage.FILLING_THE_DAM):
            with pdfplumber.open(BytesIO(self.printed(stage, large_print=True))) as pdf:
                sizes = {round(one["size"]) for page in pdf.pages for one in page.chars}
                found = squeezed(" ".join(page.extract_text() for page in pdf.pages))
            # A drawing's own labels are set smaller; the running text is not.
            assert 18 in sizes
            for step in process_page(self.place, stage).text.how:
                assert squeezed(step) in found

    def test_the_measure_of_the_place_is_printed(self):
        with pdfplumber.open(BytesIO(self.printed(Stage.STOOKING))) as pdf:
            found = pdf.pages[0].extract_text()
        assert "Make up each stook to 9 beets" in found

    def test_the_same_day_gives_the_same_bytes(self):
        assert self.printed(Stage.PULLING) == self.printed(Stage.PULLING)


def squeezed(text: str) -> str:
    return "".join(text.split())
