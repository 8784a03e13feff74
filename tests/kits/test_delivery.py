"""Reading delivery reports: what failed for good, and nothing that breaks."""

from unittest import mock

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.kits import delivery
from heritage.kits.delivery import LONGEST, Trouble, read_failure
from tests.kits.reports import report


def test_a_failure_names_the_letter_the_reader_and_why():
    found = read_failure(report())
    assert found.message_ids == ("<letter.1@flax.example.org>",)
    assert found.address == "ann@example.org"
    assert found.subject == "Tomorrow evening"
    assert found.trouble is Trouble.NO_MAILBOX
    assert found.said == "550 5.1.1 User unknown"


def test_headers_alone_name_the_letter_too():
    found = read_failure(report(original="text/rfc822-headers"))
    assert found.message_ids == ("<letter.1@flax.example.org>",)


def test_the_address_that_was_written_to_goes_before_where_it_was_sent_on():
    found = read_failure(report(reader="Original-Recipient: rfc822;ann@example.org"))
    assert found.address == "ann@example.org"


def test_a_report_that_carries_nothing_back_still_names_the_reader():
    found = read_failure(report(original=""))
    assert (found.message_ids, found.subject) == ((), "")
    assert found.address == "ann@example.org"


def test_encoded_subjects_are_read():
    found = read_failure(report(subject="=?utf-8?b?w4F0aCBuYSBnQ2xvY2g=?="))
    assert found.subject == "Áth na gCloch"


@pytest.mark.parametrize("action", ["delayed", "delivered", "relayed", "expanded"])
def test_what_is_no_failure_is_none(action):
    assert read_failure(report(action=action, status="4.4.1")) is None


def test_a_server_that_gave_up_has_failed_whatever_its_status():
    """RFC 3464, 2.3.3: the action is final; 4.4.7 only says why it gave up."""
    found = read_failure(report(status="4.4.7", said="smtp; 451 try later"))
    assert (found.trouble, found.said) == (Trouble.GAVE_UP, "451 try later")


def test_without_an_action_the_status_has_to_say_it():
    assert read_failure(report(action="", status="5.2.2")) is not None
    assert read_failure(report(action="", status="4.2.2")) is None
    assert read_failure(report(action="", status="")) is None


def test_of_several_readers_the_one_that_failed_is_told_of():
    good = "Final-Recipient: rfc822;bob@example.org\nAction: relayed\nStatus: 2.0.0"
    assert read_failure(report(first=good)).address == "ann@example.org"


def test_the_reason_is_what_is_known():
    unsaid = read_failure(report(said=""))
    assert (unsaid.trouble, unsaid.said) == (Trouble.NO_MAILBOX, "5.1.1")
    unknown = read_failure(report(status="", said="x-local; gone away"))
    assert (unknown.trouble, unknown.said) == (None, "gone away")
    assert read_failure(report(status="", said="plain words")).said == "plain words"
    assert read_failure(report(status="5.9.9")).trouble is None


def test_an_ordinary_letter_is_no_report():
    assert read_failure(b"Subject: Hello\n\nI am away until Monday.\n") is None


@given(st.binary(max_size=300))
def test_any_bytes_give_an_answer_or_none(noise):
    read_failure(noise)


@given(st.integers(0, 1200), st.binary(max_size=12))
def test_a_report_broken_anywhere_gives_an_answer_or_none(at, noise):
    whole = report()
    read_failure(whole[:at] + noise + whole[at:])
    read_failure(whole[:at] + noise)


def test_what_is_far_too_long_is_read_to_a_point():
    assert read_failure(report() + b"x" * LONGEST) is not None


def test_what_the_librarys_reader_stumbles_over_is_none():
    with mock.patch.object(delivery, "message_from_bytes", side_effect=ValueError):
        assert read_failure(report()) is None


def test_an_encoding_nobody_knows_is_left_as_it_is():
    assert read_failure(report(subject="=?nope?b?w4E=?=")).subject == "=?nope?b?w4E=?="
