"""One letter, made whole: its two forms, its parts, and nothing smuggled in."""

import smtplib
from unittest import mock

import pytest
from django.core import mail
from django.test import SimpleTestCase

from heritage.common import post
from heritage.common.mail_layout import laid_out
from tests.reading_mail import addresses_in, words_of_html

WORDS = """Hello Ann Rush,

“Orr & Sons' <evening>” is CALLED OFF. Please do not come.

When: Thursday 13 August 2026, 18:30 to 20:30
Where: The gate
Torin Rush: Tie (waiting list)

The page, where you can also give a place up:
https://flax.example.org/at/lintholm/gatherings/7/?a=1&b=2

Flax at Lintholm
"""


def send(**changes):
    letter = {"subject": "An evening", "text": "Come.", "to": "ann@example.org"}
    parts = post.pack(changes.pop("parts", ()))
    post.hand_over(post.compose(**(letter | changes), parts=parts))
    return mail.outbox[-1]


class ComposeTests(SimpleTestCase):
    def test_a_line_break_in_the_subject_becomes_a_space(self):
        letter = send(subject="An evening\r\nBcc: all@example.org")
        assert letter.subject == "An evening Bcc: all@example.org"
        assert letter.recipients() == ["ann@example.org"]

    def test_an_address_with_a_line_break_is_refused_before_the_server_hears(self):
        with pytest.raises(post.NotTakenError, match="newline") as refused:
            send(to="ann@example.org\nBcc: all@example.org")
        assert refused.value.for_good
        assert mail.outbox == []

    def test_plain_words_come_before_laid_out_ones(self):
        parts = [part.get_content_type() for part in send().message().get_payload()]
        assert parts == ["text/plain", "text/html"]

    def test_a_layout_of_its_own_is_kept(self):
        assert send(html="<p>Come!</p>").alternatives[0].content == "<p>Come!</p>"

    def test_a_calendar_is_another_reading_of_the_letter(self):
        kind = "text/calendar; method=CANCEL"
        part = post.Attachment("gathering.ics", "BEGIN:Ó\r\n".encode(), kind)
        message = send(parts=[part]).message()
        assert message.get_content_type() == "multipart/alternative"
        calendar = message.get_payload()[-1]
        assert calendar.get_content_type() == "text/calendar"
        assert calendar.get_param("method") == "CANCEL"
        assert calendar.get_payload(decode=True).decode() == "BEGIN:Ó\r\n"

    def test_anything_else_hangs_on_as_a_file_with_its_bytes(self):
        part = post.Attachment("sheet.pdf", b"%PDF\x00\xff", "application/pdf")
        assert send(parts=[part]).attachments == [tuple(part)]


class LayoutTests(SimpleTestCase):
    html = laid_out("Called off\nBcc: all", WORDS)

    def test_it_says_the_same_words(self):
        assert words_of_html(self.html) == WORDS.split()

    def test_it_fetches_nothing_and_leads_only_where_the_words_do(self):
        address = "https://flax.example.org/at/lintholm/gatherings/7/?a=1&amp;b=2"
        assert addresses_in(self.html) == [address]
        for forbidden in ("<img", "<script", "<link", "@import", "url("):
            assert forbidden not in self.html

    def test_it_sets_no_colour_so_that_it_is_clear_on_dark(self):
        assert '<meta name="color-scheme" content="light dark">' in self.html
        assert "color:" not in self.html
        assert "background" not in self.html

    def test_labels_stand_out(self):
        html = " ".join(self.html.split())
        assert "<strong>Where:</strong> The gate" in html
        assert "<strong>Torin Rush:</strong> Tie (waiting list)" in html
        assert "<strong>https:" not in html


class AnswerTests(SimpleTestCase):
    def give(self, error):
        letter = post.compose(subject="A", text="B", to="ann@example.org")
        with mock.patch.object(post, "get_connection") as connection:
            connection().send_messages.side_effect = error
            post.hand_over(letter)

    def test_what_the_server_can_never_take_is_not_tried_again(self):
        with pytest.raises(post.NotTakenError, match="no SMTPUTF8") as refused:
            self.give(smtplib.SMTPNotSupportedError("no SMTPUTF8"))
        assert refused.value.for_good

    def test_an_error_nobody_foresaw_may_have_come_after_the_letter(self):
        with pytest.raises(post.NotKnownError, match="RuntimeError"):
            self.give(RuntimeError())
