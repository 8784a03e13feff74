"""A logger's file is read as it stands: every dialect, and never a guess."""

from datetime import UTC, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError

from heritage.dam.logger.selectors import MAX_BYTES, MAX_ROWS, Look, read_file

ZONE = ZoneInfo("Europe/London")
EIGHT = datetime(2026, 8, 10, 7, 0, tzinfo=UTC)  # eight by the clock in summer


def file_of(text, encoding="utf-8", **asked):
    return read_file(text.encode(encoding), zone=ZONE, look=Look(**asked))


def read(text, encoding="utf-8", **asked):
    return file_of(text, encoding, **asked).lines


def only(text, encoding="utf-8", **asked):
    (line,) = read(text, encoding, **asked)
    return line


@pytest.mark.parametrize(
    "text",
    [
        "2026-08-10 08:00,16.5",
        "2026-08-10T08:00:00,16.5",
        "2026-08-10T07:00:00Z,16.5",
        "2026-08-10T09:00:00+02:00,16.5",
        "2026/08/10 08:00;16,5",
        "10/08/2026 08:00\t16,5",
        "10.08.2026 08:00:00;16,5 °C",
        "10-08-26 8:00,16.5",
        "2026-08-10 08:00|16.5|97",
        "2026-08-10 08:00   16.5",
        "2026-08-10 08:00 16.5",
        "10.08.2026 08:00 16,5",
        "# logger; number 3\nDate  Time  Temp °C\n10/08/2026  08:00  16.5",
        "10/08/2026 08:00,61.7 °F",
        "time,water temp (F)\n2026-08-10 08:00,61.7",
        "time,water\n2026-08-10 08:00,16.5,\n",
        "10/08/2026 08:00:00 AM,16.54",
        "1,10/08/2026 08:00,16.5,97",
        "10/08/2026,08:00,16.5",
        '"10/08/2026 08:00","16,5"',
        "Date,Time,Temp °C,Battery\n10/08/2026,08:00,16.5,97",
        "Datum;Zeit;Temp\n10.08.2026;08:00;16,5",
        'Plot title: dam 1\n#,"Date Time, GMT+01:00","Temp, °C"\n1,10/08/26 08:00,16.5',
        "time utc,water\n2026-08-10 07:00,16.5",
        "\n\nmoment,temperature\n2026-08-10 08:00,16.5\n\n",
    ],
)
def test_each_dialect_says_the_same(text):
    line = only(text)
    assert line.why_not == ""
    assert (line.at, line.temp_c) == (EIGHT, Decimal("16.5"))


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"]
)
def test_each_encoding_says_the_same(encoding):
    line = only("time;water °C\n2026-08-10 08:00;16,5", encoding)
    assert (line.at, line.temp_c) == (EIGHT, Decimal("16.5"))


@pytest.mark.parametrize(
    ("row", "why_not"),
    [
        ("2026-08-10 08:00,err", "“err” isn't a number"),
        ("2026-08-10 08:00,nan", "“nan” isn't a number"),
        ("2026-08-10 08:00,", "no temperature"),
        ("2026-08-10 08:00", "no temperature"),
        ("2026-08-10 08:00,60.1", "60.1 °C: dam water"),
        ("2026-08-10 08:00,-5.1", "-5.1 °C: dam water"),
        ("2026-08-10 08:00,\N{MINUS SIGN}5.1", "-5.1 °C: dam water"),
        (",16.5", "no time"),
        ("2026-08-10,16.5", "no time of day"),
        ("2026-08-10 later,16.5", "no time of day"),
        ("Monday 08:00,16.5", "“Monday 08:00” isn't a date"),
        ("08/25/2026 08:00,16.5", "no such day"),
        ("2026-08-10 25:00,16.5", "no such day or hour"),
        ("2026-08-10 13:00 PM,16.5", "no such day or hour"),
        ("1066-08-10 08:00,16.5", "no such day"),
        ("2026-10-25 01:30,16.5", "the clocks changed"),
        ("2026-03-29 01:30,16.5", "the clocks changed"),
        ("2026-08-10 08:00,16,5", "more columns than the rows above"),
    ],
)
def test_a_bad_row_says_why(row, why_not):
    line = only(f"time,water\n{row}")
    assert why_not in line.why_not
    assert not line.is_good


def test_an_hour_that_came_twice_is_told_by_its_offset():
    line = only("time,water\n2026-10-25T01:30:00+01:00,16.5")
    assert line.at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_evening_by_the_twelve_hour_clock():
    line = only("10/08/2026 08:00 p.m.,16.5")
    assert line.at == datetime(2026, 8, 10, 19, 0, tzinfo=UTC)


def test_a_number_cut_in_two_is_not_guessed_at():
    assert "decimal comma" in only("2026-08-10 08:00,16,5").why_not


def test_lines_keep_their_numbers_in_the_file():
    lines = read("log of the dam\ntime,water\n2026-08-10 08:00,16\n\nx,y\n")
    assert [line.number for line in lines] == [3, 5]


def test_a_long_line_is_shown_short():
    assert len(only("time,water\n" + "x" * 500 + ",16").text) == 80


@pytest.mark.parametrize(
    ("data", "why_not"),
    [
        (b"x" * (MAX_BYTES + 1), "larger than 4 MB"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\r", "not a text file"),
        (b"\xff\xfea", "not a text file"),
        (b"", "We couldn't find the times or the temperatures"),
        (b"2026-08-10\n", "We couldn't find the times or the temperatures"),
        (b"name,beets\nAnn,4\n", "We couldn't find the times or the temperatures"),
        (b"time,water\n", "nothing below the headings"),
        (b"time,water\n" + b"2026-08-10 08:00,16\n" * (MAX_ROWS + 1), "60,000 rows"),
        (b'"' + b"x" * 140_000, "rows and columns"),
    ],
)
def test_a_file_that_cannot_be_taken_says_why(data, why_not):
    with pytest.raises(ValidationError, match=why_not):
        read_file(data, zone=ZONE)


def test_the_logger_s_clock_may_be_another():
    """A logger on UTC all year: an hour that the wall's clock repeats is its own."""
    text = "time,water\n2026-10-25 01:30,16.5"
    assert only(text, clock="+00:00").at == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert only(text, clock="-05:00").at == datetime(2026, 10, 25, 6, 30, tzinfo=UTC)


def test_a_unit_may_be_told_but_a_cell_s_own_is_believed():
    text = "time,water\n2026-08-10 08:00,50\n2026-08-10 09:00,16.5 C"
    assert [line.temp_c for line in read(text, unit="f")] == [
        Decimal(10),
        Decimal("16.5"),
    ]


class TestTwoProbes:
    TEXT = (
        "time,air temp,probe 20 cm,probe 80 cm\n"
        "2026-08-10 08:00,25.0,17.0,15.0\n"
        "2026-08-10 09:00,26.0,17.0,\n"
    )

    def test_which_is_the_water_is_asked(self):
        file = file_of(self.TEXT)
        assert file.is_asking
        assert file.lines == ()
        assert [one[1:] for one in file.columns][1] == ("probe 20 cm", "17.0")

    def test_of_two_depths_the_mean_is_taken(self):
        good, bad = read(self.TEXT, columns=(2, 3))
        assert (good.temp_c, good.apart) == (Decimal(16), 2.0)
        assert bad.why_not == "no temperature"

    def test_one_may_be_chosen(self):
        assert [line.temp_c for line in read(self.TEXT, columns=(2,))] == [17, 17]

    def test_without_headings_the_first_is_taken_and_another_may_be(self):
        text = "2026-08-10 08:00;16,5;14,5"
        assert only(text).temp_c == Decimal("16.5")
        assert only(text, columns=(2,)).temp_c == Decimal("14.5")
