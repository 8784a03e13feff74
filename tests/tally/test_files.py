"""The book as files: whole, and harmless when a spreadsheet opens them."""

import csv
import uuid
from datetime import date, timedelta
from fractions import Fraction
from io import BytesIO, StringIO

import pytest
from django.test import TestCase
from openpyxl import load_workbook
from pypdf import PdfReader

from heritage.kits.tables.write import plain
from heritage.tally import services, sheets
from heritage.tally.selectors import book_lines, work_lines
from heritage.tally.statements import selectors
from heritage.tally.statements import sheets as statements_sheets
from tests.factories import (
    make_demonstration,
    make_gathering,
    make_organiser,
    make_volunteer,
)
from tests.tally.rows import make_own_log, make_work

FORMULA = '=HYPERLINK("http://example.org","pay")'


@pytest.mark.any_database
class FileTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(
            beets_per_stook=12, token_rate_farthings=48
        )
        here = {"demonstration": cls.demonstration}
        cls.by = make_organiser(**here).user
        cls.gathering = make_gathering(title="First, and best", **here)
        cls.ann = make_volunteer(name=FORMULA, **here)
        cls.bob = make_volunteer(name="Bob Orr", **here)
        cls.now = cls.gathering.starts_at + timedelta(hours=1)
        cls.ann_s, cls.bob_s = services.log_crew(
            sheet=services.Sheet(cls.gathering, uuid.uuid4()),
            beets=25,
            weights={cls.ann: Fraction(1), cls.bob: Fraction(1)},
            by=cls.by,
            now=cls.now,
        )
        services.correct(
            entry=cls.bob_s,
            right_beets=10,
            reason="-2 too many",
            by=cls.by,
            now=cls.now,
        )
        make_work(gathering=cls.gathering, volunteer=cls.bob, note="@rushes\x07")
        make_own_log(gathering=cls.gathering, volunteer=cls.bob, beets=4)

    def test_csv_holds_every_line_and_no_formula(self):
        text = "".join(sheets.book_csv(book_lines(self.demonstration)))
        assert text.startswith("\ufeff")
        heads, *rows = csv.reader(StringIO(text[1:]))
        assert heads[0] == "Line"
        assert [row[6] for row in rows] == ["13", "12", "-2"]
        assert rows[0][3] == f"'{FORMULA}"
        assert rows[2][10] == "'-2 too many"
        assert rows[2][9] == str(self.bob_s.pk)
        assert rows[0][2] == "First, and best"
        assert rows[0][8] == rows[1][8] != ""

    def test_xlsx_holds_lines_work_and_sums_and_no_formula(self):
        made = sheets.book_xlsx(
            book_lines(self.demonstration),
            work_lines(self.demonstration),
            selectors.statements(self.demonstration),
        )
        book = load_workbook(BytesIO(made))
        assert book.sheetnames == ["Book", "Other work", "People"]
        lines = list(book["Book"].values)
        assert [row[6] for row in lines[1:]] == [13, 12, -2]
        assert lines[1][3] == f"'{FORMULA}"
        for sheet in book:
            for row in sheet.iter_rows():
                assert all(cell.data_type != "f" for cell in row)
        assert list(book["Other work"].values)[1][10] == "'@rushes"
        people = {row[0]: row[1:] for row in list(book["People"].values)[1:]}
        assert people["Bob Orr"][:3] == (10, 0, 10)
        assert people["Bob Orr"][-1] == 4
        assert people[f"'{FORMULA}"][4:6] == (48, "1s")

    def test_statements_print_a_page_each_with_what_waits_apart(self):
        pages = selectors.statements(self.demonstration)
        pdf = self.printed(statements_sheets.statement_sheet, pages)
        text = [page.extract_text() for page in pdf.pages]
        assert len(text) == 2
        assert "Bob Orr" in text[1]
        assert "4 beets, not counted or paid above" in text[1]
        assert "not counted" not in text[0]

    def test_one_statement_and_one_thank_you_bear_the_name(self):
        page = selectors.statement(self.bob)
        statement = self.printed(statements_sheets.statement_sheet, [page])
        assert "Statement for Bob Orr" in statement.pages[0].extract_text()
        thanks = self.printed(statements_sheets.thanks_sheet, [page])
        words = " ".join(thanks.pages[0].extract_text().split())
        assert "Thank you, Bob Orr" in words
        assert "10 beets: 0 stooks and 10 over" in words
        assert "bands cut: 20" in words

    def test_one_stook_is_one_stook(self):
        words = self.words_of(statements_sheets.thanks_sheet, self.ann)
        assert "You pulled 13 beets: 1 stook and 1 over." in words
        words = self.words_of(statements_sheets.statement_sheet, self.ann)
        assert "1 (12 beets in each) and 1 beet over" in words

    def test_a_thank_you_is_one_page_for_each_in_both_sizes(self):
        pages = selectors.statements(self.demonstration)
        for large in (False, True):
            made = statements_sheets.thanks_sheet(
                pages,
                self.demonstration,
                printed_on=date(2026, 8, 14),
                large_print=large,
            )
            printed = [one.extract_text() for one in PdfReader(BytesIO(made)).pages]
            assert len(printed) == len(pages) == 2
            assert all("Signed" in text for text in printed)

    def test_a_statement_without_evenings_has_no_empty_table(self):
        new = make_volunteer(demonstration=self.demonstration)
        words = self.words_of(statements_sheets.statement_sheet, new)
        assert "Evening by evening" not in words
        assert "Gathering" not in words
        assert "No evenings in the book yet." in words

    def test_who_pulled_nothing_is_thanked_for_coming(self):
        page = selectors.statement(make_volunteer(demonstration=self.demonstration))
        assert selectors.statements(make_demonstration()) == []
        words = (
            self.printed(statements_sheets.thanks_sheet, [page]).pages[0].extract_text()
        )
        assert "You pulled" not in words

    def test_an_empty_book_prints_that_it_is(self):
        pdf = self.printed(statements_sheets.thanks_sheet, [])
        assert "Nothing is in the book yet" in pdf.pages[0].extract_text()

    def test_the_same_statements_are_the_same_bytes(self):
        pages = selectors.statements(self.demonstration)
        said = {"printed_on": date(2026, 8, 14), "large_print": True}
        one, two = (
            statements_sheets.statement_sheet(pages, self.demonstration, **said)
            for _ in "ab"
        )
        assert one == two

    def test_files_and_statements_cost_the_same_however_many_there_are(self):
        def costs():
            with self.assertNumQueries(6):
                pages = selectors.statements(self.demonstration)
            with self.assertNumQueries(2):
                list(book_lines(self.demonstration))
                list(work_lines(self.demonstration))
            return len(pages)

        before = costs()
        for _ in range(6):
            person = make_volunteer(demonstration=self.demonstration)
            services.log_beets(
                gathering=self.gathering,
                volunteer=person,
                beets=3,
                by=self.by,
                now=self.now,
            )
        assert costs() == before + 6

    def words_of(self, sheet, person):
        pages = self.printed(sheet, [selectors.statement(person)]).pages
        return " ".join(" ".join(page.extract_text() for page in pages).split())

    def printed(self, sheet, pages):
        made = sheet(
            pages, self.demonstration, printed_on=date(2026, 8, 14), large_print=False
        )
        return PdfReader(BytesIO(made))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "  ="])
def test_text_that_starts_like_a_formula_is_made_text(start):
    assert plain(f"{start}1").startswith("'")


def test_other_text_is_left_alone():
    assert [plain(text) for text in ("", "Ann", "3-4", "O'Neill")] == [
        "",
        "Ann",
        "3-4",
        "O'Neill",
    ]
