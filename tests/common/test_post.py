"""Mail leaves through one door, a letter to each address."""

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import SimpleTestCase

from heritage.common import post


def send(**changes):
    letter = {"subject": "An evening", "body": "Come.", "to": ["ann@example.org"]}
    post.send(**(letter | changes))
    return mail.outbox


class SendTests(SimpleTestCase):
    def test_each_reader_gets_their_own_letter_once(self):
        to = ["ann@example.org", "bob@example.org", "ann@example.org"]
        assert [letter.to for letter in send(to=to)] == [[to[0]], [to[1]]]

    def test_a_line_break_in_the_subject_becomes_a_space(self):
        (letter,) = send(subject="An evening\r\nBcc: all@example.org")
        assert letter.subject == "An evening Bcc: all@example.org"
        assert letter.recipients() == ["ann@example.org"]

    def test_what_is_no_address_is_refused_before_anything_is_sent_there(self):
        with pytest.raises(ValidationError, match="valid email address"):
            send(to=["ann@example.org\nBcc: all@example.org"])
        assert mail.outbox == []

    def test_plain_words_come_before_marked_up_ones(self):
        (letter,) = send(html="<p>Come.</p>")
        parts = [part.get_content_type() for part in letter.message().get_payload()]
        assert parts == ["text/plain", "text/html"]

    def test_a_calendar_is_another_reading_of_the_letter(self):
        kind = "text/calendar; method=CANCEL"
        part = post.Attachment("gathering.ics", "BEGIN:Ó\r\n".encode(), kind)
        (letter,) = send(attachments=[part])
        message = letter.message()
        assert message.get_content_type() == "multipart/alternative"
        calendar = message.get_payload()[-1]
        assert calendar.get_content_type() == "text/calendar"
        assert calendar.get_param("method") == "CANCEL"
        assert calendar.get_payload(decode=True).decode() == "BEGIN:Ó\r\n"

    def test_anything_else_hangs_on_as_a_file_with_its_bytes(self):
        part = post.Attachment("sheet.pdf", b"%PDF\x00\xff", "application/pdf")
        (letter,) = send(attachments=[part])
        assert letter.attachments == [("sheet.pdf", b"%PDF\x00\xff", "application/pdf")]
