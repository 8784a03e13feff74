"""Reading what a phone sends, whatever it is."""

import uuid
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from heritage.fieldlog.selectors import Unreadable, read_slip
from tests.fieldlog.slips import said, slip


@pytest.mark.parametrize(
    "letter",
    [
        None,
        [],
        "beets",
        {},
        {"key": "7", "kind": "beets"},
        said("shout"),
        {"key": str(uuid.uuid4()), "kind": ["beets"]},
    ],
)
def test_without_key_or_kind_there_is_nothing_to_answer(letter):
    with pytest.raises(Unreadable):
        read_slip(letter)


def test_a_slip_is_read_whole():
    key = uuid.uuid4()
    letter = said("beets", datetime(2026, 8, 12, 20, tzinfo=UTC), key, count=5)
    read = read_slip(letter, sent_at="2026-08-12T21:00:01.250Z")
    assert (read.key, read.kind, read.data) == (key, "beets", {"count": 5})
    assert read.phone_time == datetime(2026, 8, 12, 20, tzinfo=UTC)
    assert read.sent_at == datetime(2026, 8, 12, 21, 0, 1, 250_000, tzinfo=UTC)


@pytest.mark.parametrize(
    "time",
    [None, "", "soon", "2026-08-12T21:00:00", "0001-01-01T00:00:00+14:00", 17, []],
)
def test_a_moment_that_makes_no_sense_is_no_moment(time):
    letter = said("thunder") | {"at": time}
    assert read_slip(letter, sent_at=time).phone_time is None


def test_data_that_is_no_table_is_empty():
    assert read_slip(said("note") | {"data": [1]}).data == {}


def test_text_loses_what_no_database_can_hold():
    assert slip("note", text=" a\0b\ud800c\n").text("text", 10) == "abc"
    assert slip("note").text("text", 10) == ""


def test_text_that_is_too_long_is_refused():
    with pytest.raises(ValidationError, match="longer than 3 letters"):
        slip("note", text="abcd").text("text", 3)


@pytest.mark.parametrize("count", [None, "", "many", 1.5, True, "9" * 10, "1 2"])
def test_what_is_no_whole_number_is_refused(count):
    with pytest.raises(ValidationError, match="whole number"):
        slip("beets", count=count).whole("count")


def test_whole_numbers_and_temperatures_are_read_as_people_write_them():
    assert slip("beets", count=" 5 ").whole("count") == 5
    assert slip("temperature", temp_c="16,54").decimal("temp_c") == Decimal("16.5")


@pytest.mark.parametrize("warmth", [None, "warm", "NaN", "Infinity", "1e9", "--3"])
def test_what_is_no_temperature_is_refused(warmth):
    with pytest.raises(ValidationError, match=r"like 16\.5"):
        slip("temperature", temp_c=warmth).decimal("temp_c")
