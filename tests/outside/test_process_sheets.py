"""The process sheets against plain English, printed figures, and two PDF readers."""

import re
from datetime import date
from fractions import Fraction
from io import BytesIO

import pdfplumber
import pypdfium2
import pytest
import zxingcpp
from defusedxml.ElementTree import parse
from django.test import TestCase
from pypdf import PdfReader
from reportlab.lib.units import mm

from heritage.briefings.selectors import stop_rules
from heritage.calc.measures import ACRE_M2
from heritage.common.sheets import paper_words
from heritage.kits.paper.booklet import LARGER
from heritage.kits.paper.front import SIZES, Front
from heritage.kits.paper.leaf import Press
from heritage.kits.signs import sign
from heritage.public.process import sheets
from heritage.public.process.selectors import process_page
from heritage.public.process.words import names, process_texts, text_of
from heritage.season.models import Stage
from tests.factories import NOW, make_demonstration

TEXTS = {name: text_of(name) for name in names()}
STAGES = list(Stage)
DAY = date(2026, 8, 12)
FRAME = "0 0 240 180"
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
        assert list(process_texts()) == [stage.value for stage in STAGES]
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

    def test_every_sheet_has_three_to_six_drawn_steps(self):
        """Each drawing is a file of ours, weighs little, and says what it shows."""
        for name, text in TEXTS.items():
            assert 3 <= len(text.steps) <= 6, name
            for step in text.steps:
                assert step.file.stat().st_size <= 30_000, step.file
                assert parse(step.file).getroot().get("viewBox") == FRAME
                assert len(step.shows.split()) >= 6, step
                assert 1 <= len(step.child.split()) <= 5, step
            assert text.child, name

    def test_every_work_that_can_hurt_has_its_cautions(self):
        assert all(text.cautions for text in TEXTS.values())
        for stage in ("filling_the_dam", "lifting"):
            words = " ".join(words for _, words in TEXTS[stage].cautions)
            assert "alone, tired, after sunset or without a briefing" in words
        for stage in ("retting", "lifting"):
            words = " ".join(words for _, words in TEXTS[stage].cautions)
            assert "Don't let the water out" in words
        for stage in ("breaking", "scutching"):
            words = " ".join(words for _, words in TEXTS[stage].cautions)
            assert "no safe figure" in words
            assert "No smoking" in words

    def test_every_mark_is_known(self):
        for text in TEXTS.values():
            assert all(sign(kind) for kind, _ in text.cautions)

    def test_no_figure_stands_without_a_source(self):
        """A claim with no source says that none was found."""
        for text in TEXTS.values():
            for claim, source in text.figures:
                honest = re.search(r"no printed (figure|weight)", claim)
                assert source or honest, claim

    def test_what_only_the_trade_knows_says_so(self):
        for text in TEXTS.values():
            assert PRACTICE in text.steps_from, text.name

    def test_nothing_gives_a_day_to_lift_or_a_leave_to_drain(self):
        for text in TEXTS.values():
            assert not [words for words in NEVER if words in claims(text).lower()]

    def test_what_sources_dispute_is_told_as_disputed(self):
        disputed = {stage: " ".join(text.disputed) for stage, text in TEXTS.items()}
        assert "twelve" in disputed["stooking"]
        assert "six" in disputed["stooking"]
        assert [way for way, _ in TEXTS["filling_the_dam"].ways] == [
            "Roots down",
            "Roots up",
        ]
        assert [way for way, _ in TEXTS["retting"].ways] == [
            "Under water",
            "In the dew",
        ]


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
        assert f"{by_money} by the wages" in claim_of("pulling", "Beginners")

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
    """Each sheet as a reader of PDFs, a scanner and a printer's eye find it."""

    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(name="Carrowlint flax", beets_per_stook=9)

    def page(self, name):
        return process_page(self.place, name, NOW)

    def printed(self, name, way=sheets.process_sheet, **how):
        return way(self.page(name), address=ADDRESS, printed_on=DAY, **how)

    def test_every_sheet_is_one_leaf_with_all_its_words(self):
        for name in TEXTS:
            pdf, text = self.printed(name), self.page(name).text
            reader = PdfReader(BytesIO(pdf), strict=True)
            assert reader.metadata.title == text.heading
            assert reader.trailer["/Root"]["/Lang"] == "en-GB"
            sides = [
                [round(side) for side in page.mediabox[2:]] for page in reader.pages
            ]
            assert sides == [[595, 842]] * 2, name
            assert faces_left_out(reader) == set(), name
            with pdfplumber.open(BytesIO(pdf)) as opened:
                front, back = (squeezed(page.extract_text()) for page in opened.pages)
            for words in (*text.how, *(said for _, said in text.cautions)):
                assert squeezed(words)[:15] in front, (name, words)
            assert squeezed(ADDRESS) in back

    def test_a_panel_has_no_back_so_its_front_says_when_the_work_stops(self):
        """Its words as pdfium reads them, and the room left for its drawings."""
        for name in TEXTS:
            page = self.page(name)
            pdf = pypdfium2.PdfDocument(self.printed(name, sheets.process_panel))
            (front,) = pdf
            assert [round(side) for side in front.get_size()] == [842, 1191], name
            found = squeezed(front.get_textpage().get_text_range())
            outdoors = not page.stage.kind.indoors
            assert outdoors == ("Whenwestop" in found), name
            for rule in stop_rules():
                assert outdoors == (squeezed(rule) in found), (name, rule)
            for words in (*page.text.how, *(said for _, said in page.text.cautions)):
                assert squeezed(words) in found, (name, words)
            # No source: 3 cm high and 4 wide is seen from two metres.
            drawn = Front(*self.laid_out(page), SIZES[-1], panel=True).drawn
            assert drawn * LARGER >= 30 * mm, name
            pdf.close()

    def laid_out(self, page):
        leaf = sheets.process_leaf(page, address=ADDRESS, printed_on=DAY)
        return Press(leaf.title, leaf.foot[0], "en-GB", paper_words()), leaf

    def test_its_code_is_read_back_and_a_panels_and_a_cards_too(self):
        """By ZXing, from the page as pdfium draws it."""
        for way in (sheets.process_sheet, sheets.process_panel, sheets.process_card):
            pdf = pypdfium2.PdfDocument(self.printed("retting", way))
            drawn = pdf[len(pdf) - 1].render(scale=3).to_pil()
            assert [code.text for code in zxingcpp.read_barcodes(drawn)] == [ADDRESS]
            pdf.close()

    def test_the_booklet_holds_every_sheet_where_its_contents_say(self):
        leaves = [
            sheets.process_leaf(self.page(name), address=ADDRESS, printed_on=DAY)
            for name in TEXTS
        ]
        pdf = sheets.booklet(leaves)
        with pdfplumber.open(BytesIO(pdf)) as opened:
            found = [page.extract_text() for page in opened.pages]
        assert len(found) == 2 + 2 * len(TEXTS)
        for leaf in leaves:
            (number,) = re.findall(
                rf"^{leaf.title} page (\d+)$", found[0], re.MULTILINE
            )
            assert squeezed(leaf.title) in squeezed(found[int(number) - 1]), leaf.title
        cards = PdfReader(BytesIO(sheets.all_cards(leaves)))
        assert len(cards.pages) == -(-len(TEXTS) // 4)

    def test_large_print_says_the_same_in_larger_letters(self):
        pdf = self.printed("filling_the_dam", large_print=True)
        with pdfplumber.open(BytesIO(pdf)) as opened:
            sizes = {round(one["size"]) for page in opened.pages for one in page.chars}
            found = squeezed(" ".join(page.extract_text() for page in opened.pages))
        assert 18 in sizes
        for step in self.page("filling_the_dam").text.how:
            assert squeezed(step) in found

    def test_the_measure_of_the_place_is_printed(self):
        with pdfplumber.open(BytesIO(self.printed("stooking"))) as pdf:
            assert "stook to 9 beets" in pdf.pages[0].extract_text()

    def test_the_same_day_gives_the_same_bytes(self):
        assert self.printed("pulling") == self.printed("pulling")


def faces_left_out(reader) -> set[str]:
    """Return the fonts that a file names but does not hold."""
    fonts = [
        font.get_object()
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    ]
    return {font["/BaseFont"] for font in fonts if "/FontDescriptor" not in font}


def squeezed(text: str) -> str:
    return "".join(text.split())
