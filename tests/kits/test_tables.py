"""Tables out and in: harmless, bounded, and the same when they come back."""

import csv
import re
import unicodedata
import zipfile
from datetime import date, datetime
from io import BytesIO, StringIO

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from heritage.kits.tables import read as reading
from heritage.kits.tables import write as tables
from heritage.kits.tables.read import TableRow, UnreadableError, Why, read_table
from heritage.kits.tables.write import plain, unplain

HOSTILE = st.text(
    st.sampled_from(
        "=+-@'\"\t\r\n,; \u00a0\u200b\u2060\ufeffA\u00e9\u0661\uff1d\uff0b|\x07"
        "\U0001f33e"
    )
    | st.characters(exclude_categories=["Cs"]),
    max_size=12,
)

# What no reader sees before a word, as the Unicode standard names it.
UNSEEN = "".join(
    sign
    for sign in map(chr, range(0x3001))
    if unicodedata.category(sign) in ("Zs", "Zl", "Zp", "Cc", "Cf")
)


def workbook(*sheets):
    book = Workbook()
    book.remove(book.active)
    for rows in sheets:
        sheet = book.create_sheet()
        for row in rows:
            sheet.append(row)
    made = BytesIO()
    book.save(made)
    return made.getvalue()


def rewritten(data, *changes):
    """Return a workbook with words of its first sheet's XML put otherwise."""
    made = BytesIO()
    with zipfile.ZipFile(BytesIO(data)) as old, zipfile.ZipFile(made, "w") as new:
        for part in old.infolist():
            words = old.read(part)
            if part.filename.endswith("sheet1.xml"):
                for before, after in changes:
                    words, count = re.subn(before, after, words)
                    assert count == 1
            new.writestr(part, words)
    return made.getvalue()


def cells(data):
    return [list(line.cells) for line in read_table(data)]


def why(data):
    with pytest.raises(UnreadableError) as refusal:
        read_table(data)
    return refusal.value.why


def tidy(text):
    return " ".join(tables.UNWRITABLE.sub("", text).split())


class TestPlain:
    @pytest.mark.parametrize(
        "text", ["=1+1", "+353", "-2", "@rushes", "  =x", "\t=x", "\uff1d1", "'=1"]
    )
    def test_what_looks_like_a_formula_gets_an_apostrophe(self, text):
        assert plain(text) == f"'{text}"

    @pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d"])
    @pytest.mark.parametrize(
        "lead",
        [
            "\u00a0", "\u2009", "\u3000", "\u2028", "\u200b", "\u200e", "\u2060",
            "\ufeff", "\u00ad", "\u0085", "\u3164", "\ufe0f", "\t", "\r", "\n", "\r\n",
            " \u00a0\u200b ", "'\u00a0", "''\u200b",
        ],
    )  # fmt: skip
    def test_what_is_not_seen_hides_no_formula(self, lead, sign):
        text = f"{lead}{sign}HYPERLINK(1)"
        assert plain(text) == f"'{text}"
        assert unplain(plain(text)) == text

    @pytest.mark.parametrize("text", ["\uff20a", "\u22122", "\ufe66x", "\t", "\nAnn"])
    def test_other_forms_of_the_signs_and_breaks_are_marked_too(self, text):
        assert plain(text) == f"'{text}"

    @pytest.mark.parametrize("text", ["\u00a0Ann", "\u200bAnn=1", "\u00a0", "\u3000"])
    def test_unseen_signs_alone_are_no_formula(self, text):
        assert plain(text) == text

    @pytest.mark.parametrize("text", ["", "Ann", "O'Hare", "'Tilly'", "a=b", "7"])
    def test_other_text_is_left_alone(self, text):
        assert plain(text) == text == unplain(text)

    @given(HOSTILE)
    @example("''=x")
    def test_nothing_is_a_formula_and_nothing_is_lost(self, text):
        kept = tables.UNWRITABLE.sub("", text)
        made = plain(text)
        assert not made.lstrip(UNSEEN).startswith(("=", "+", "-", "@"))
        assert not made.startswith(("\t", "\r", "\n"))
        assert unplain(made) == kept


class TestRoundTrip:
    @given(st.lists(st.lists(HOSTILE, min_size=3, max_size=3), max_size=6))
    @example([["'=x", "a;b;c", 'say "so"']])
    def test_csv_comes_back_as_it_went(self, rows):
        data = "".join(tables.csv_table(["Name", "E-mail", "Note"], rows)).encode()
        wanted = [[tidy(cell) for cell in row] for row in rows]
        assert cells(data)[1:] == [row for row in wanted if any(row)]

    @given(st.lists(st.lists(HOSTILE, min_size=2, max_size=2), max_size=3))
    def test_xlsx_comes_back_as_it_went(self, rows):
        data = tables.xlsx_book([("People", ["Name", "Note"], rows)])
        wanted = [[tidy(cell) for cell in row] for row in rows]
        assert cells(data)[1:] == [row for row in wanted if any(row)]

    def test_headings_are_made_harmless_too(self):
        data = tables.xlsx_book([("People", ["=1", "Name"], [])])
        (head, _), *_ = load_workbook(BytesIO(data)).active.iter_rows()
        assert (head.value, head.data_type) == ("'=1", "s")
        assert list(tables.csv_table(["\u00a0=1"], []))[1] == "'\u00a0=1\r\n"

    def test_numbers_stay_numbers_in_csv(self):
        assert next(csv.reader(StringIO(tables.csv_line([-2, "-2"])))) == ["-2", "'-2"]


class TestText:
    @pytest.mark.parametrize("delimiter", [",", ";", "\t"])
    @pytest.mark.parametrize(
        "encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"], ids=str
    )
    def test_encodings_and_delimiters_are_recognised(self, delimiter, encoding):
        text = f"Name{delimiter}Note\r\nZo\u00eb{delimiter}tea \u2013 strong\r\n"
        assert cells(text.encode(encoding)) == [
            ["Name", "Note"],
            ["Zo\u00eb", "tea \u2013 strong"],
        ]

    def test_a_comma_in_a_note_is_no_column(self):
        assert cells(b"Name;Note\nAnn;tea, bread, jam\nBob;a, b\n")[1] == [
            "Ann",
            "tea, bread, jam",
        ]

    def test_the_file_may_say_its_delimiter(self):
        assert cells(b"sep=|\nName|Note\nAnn|x\n") == [["Name", "Note"], ["Ann", "x"]]

    def test_one_column_is_a_table_too(self):
        assert cells(b"Name\nAnn\n") == [["Name"], ["Ann"]]

    def test_lines_keep_their_numbers_and_their_width(self):
        assert read_table(b"\nName,Note\n,\n Ann  Rush \n") == [
            TableRow(2, ("Name", "Note")),
            TableRow(4, ("Ann Rush", "")),
        ]

    @pytest.mark.parametrize("data", [b"", b"\n,,\n", b"\xef\xbb\xbf"])
    def test_an_empty_file_is_refused(self, data):
        assert why(data) is Why.EMPTY

    @pytest.mark.parametrize("data", [b"\x89PNG\x00\x01", b"\x81\x8d", b"\xff\xfea"])
    def test_what_is_not_text_is_refused(self, data):
        assert why(data) is Why.NOT_TEXT

    def test_a_cell_without_end_is_refused(self):
        assert why(b'Name,"' + b"x" * 140_000) is Why.CELL_TOO_LONG
        assert why(b"Name\n" + b"x" * 1_001) is Why.CELL_TOO_LONG


class TestBounds:
    def test_two_thousand_rows_and_no_more(self):
        assert len(read_table(b"Name\n" + b"Ann\n" * 2_000)) == 2_001
        assert why(b"Name\n" + b"Ann\n" * 2_001) is Why.TOO_MANY_ROWS

    def test_empty_lines_without_end_are_refused(self):
        assert why(b"Name\n" + b"\n" * 20_000 + b"Ann") is Why.TOO_MANY_ROWS

    def test_columns_and_bytes_are_bounded(self):
        assert why(b"a," * 40 + b"b") is Why.TOO_MANY_COLUMNS
        assert why(b"a" * (reading.BYTES_MOST + 1)) is Why.TOO_BIG
        assert why(workbook([["a"] * 41])) is Why.TOO_MANY_COLUMNS


class TestWorkbook:
    def test_values_come_as_somebody_would_type_them(self):
        row = ["Ann", 7712345, 1.5, True, date(2011, 5, 4), None]
        row += [datetime(2011, 5, 4, 9, 30), "x"]  # noqa: DTZ001
        assert cells(workbook([row])) == [
            ["Ann", "7712345", "1.5", "True", "2011-05-04", "", "2011-05-04 09:30", "x"]
        ]
        assert reading._said(date(2011, 5, 4)) == "2011-05-04"
        # A formula's saved value may come as 7.0 where somebody sees 7.
        assert reading._said(7.0) == "7"

    def test_a_formula_is_never_worked_out(self):
        assert cells(workbook([["Name", "Note"], ["Ann", "=1+1"]]))[1] == ["Ann", ""]

    def test_a_formula_without_its_value_is_told_from_an_empty_cell(self):
        data = workbook([["Name", "Age"], ["=B9", "=C9"], [None, None], ["Ann", "=1"]])
        assert read_table(data) == [
            TableRow(1, ("Name", "Age")),
            TableRow(2, ("", ""), (0, 1)),
            TableRow(4, ("Ann", ""), (1,)),
        ]
        wide = read_table(workbook([["Name"], ["Ann", None, "=1"]]))
        assert wide == [
            TableRow(1, ("Name", "", "")),
            TableRow(2, ("Ann", "", ""), (2,)),
        ]

    def test_what_was_worked_out_counts_and_empty_text_is_empty(self):
        """As spreadsheets save it: with the value, and for no text with its type."""
        data = workbook([["Name"], ["=X1"], ["=X2"], ["Ann"]])
        saved = rewritten(
            data,
            (rb'(<c r="A2")(><f>X1)', rb'\1 t="str"\2'),
            (rb'(<c r="A3")(><f>X2</f>)<v ?/?>(</v>)?', rb'\1 t="str"\2<v>Bob</v>'),
        )
        assert read_table(saved) == [
            TableRow(1, ("Name",)),
            TableRow(3, ("Bob",)),
            TableRow(4, ("Ann",)),
        ]

    def test_a_title_merged_over_the_columns_is_a_line_of_its_own(self):
        book = Workbook()
        sheet = book.active
        sheet["A2"] = "Our people"
        sheet.merge_cells("A2:C2")
        sheet.append(["Name", "E-mail", "Age"])
        sheet.append(["Ann", "ann@example.org", 30])
        made = BytesIO()
        book.save(made)
        assert read_table(made.getvalue())[:2] == [
            TableRow(2, ("Our people", "", "")),
            TableRow(3, ("Name", "E-mail", "Age")),
        ]

    def test_the_first_filled_sheet_is_read(self):
        assert cells(workbook([], [["Name"], ["Ann"]])) == [["Name"], ["Ann"]]
        assert why(workbook([], [])) is Why.EMPTY

    def test_a_hidden_sheet_is_not_read(self):
        data = workbook([["Secret"], ["x"]], [["Name"], ["Ann"]])
        book = load_workbook(BytesIO(data))
        book.worksheets[0].sheet_state = "hidden"
        book.active = 1
        hidden = BytesIO()
        book.save(hidden)
        assert cells(hidden.getvalue()) == [["Name"], ["Ann"]]

    def test_a_bomb_is_refused_before_it_is_unpacked(self, monkeypatch):
        data = workbook([["Name"]])
        monkeypatch.setattr(reading, "UNPACKED_MOST", 100)
        assert why(data) is Why.UNPACKS_TOO_BIG

    def test_a_file_that_unpacks_huge_is_refused(self):
        made = BytesIO()
        with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as parts:
            parts.writestr("xl/worksheets/sheet1.xml", b" " * (31 * 1024 * 1024))
        assert len(made.getvalue()) < reading.BYTES_MOST
        assert why(made.getvalue()) is Why.UNPACKS_TOO_BIG

    def test_too_many_parts_are_refused(self):
        made = BytesIO()
        with zipfile.ZipFile(made, "w") as parts:
            for number in range(201):
                parts.writestr(f"{number}.bin", b"")
        assert why(made.getvalue()) is Why.UNPACKS_TOO_BIG

    @pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
    def test_entities_are_refused(self, encoding):
        bomb = '<!DOCTYPE a [<!ENTITY b "bb">]><a>&b;</a>'.encode(encoding)
        made = BytesIO(workbook([["Name"]]))
        with zipfile.ZipFile(made, "a") as parts:
            parts.writestr("xl/more.xml", bomb)
        assert why(made.getvalue()) is Why.NOT_A_WORKBOOK

    @pytest.mark.parametrize("data", [b"PK\x03\x04 and then nothing"])
    def test_what_is_no_workbook_is_refused(self, data):
        assert why(data) is Why.NOT_A_WORKBOOK

    def test_another_zip_is_no_workbook(self):
        made = BytesIO()
        with zipfile.ZipFile(made, "w") as parts:
            parts.writestr("letter.txt", b"Dear Ann")
        assert why(made.getvalue()) is Why.NOT_A_WORKBOOK

    def test_an_old_or_locked_workbook_is_told_apart(self):
        assert why(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1") is Why.OLD_WORKBOOK
