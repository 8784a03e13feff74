"""The letter book: written once, sent at most once, and what went wrong said."""

import smtplib
from datetime import timedelta
from unittest import mock

import pytest
from django.core import mail
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.common import clock, post
from heritage.people.letters import services as letters
from heritage.people.letters.services import Outcome
from heritage.people.models import Letter, LetterState, Volunteer
from tests.factories import NOW, make_demonstration, make_letter, make_volunteer


class LetterCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.ann = make_volunteer(demonstration=cls.demonstration)

    def setUp(self):
        patched = mock.patch.object(clock, "now", return_value=NOW)
        patched.start()
        self.addCleanup(patched.stop)

    def facts(self, key):
        return {
            "demonstration": self.demonstration,
            "key": key,
            "volunteer": self.ann,
            "address": self.ann.email,
            "subject": "Tomorrow",
            "text": "Come at seven.",
            "now": NOW,
        }

    def write(self, key="hello:1", **changes):
        with self.captureOnCommitCallbacks(execute=True):
            return letters.write(**(self.facts(key) | changes))

    def refusing(self, error):
        return mock.patch.object(post, "hand_over", side_effect=error)

    def state(self, letter):
        letter.refresh_from_db()
        return letter.state


class WriteTests(LetterCase):
    def test_a_letter_is_written_down_and_sent(self):
        letter = self.write()
        assert self.state(letter) == LetterState.SENT
        assert (letter.attempts, letter.sent_at) == (1, NOW)
        (sent,) = mail.outbox
        assert (sent.to, sent.body) == ([self.ann.email], "Come at seven.")
        assert sent.extra_headers["Message-ID"] == letter.message_id
        assert sent.extra_headers["Auto-Submitted"] == "auto-generated"

    def test_the_same_key_twice_writes_and_sends_once(self):
        first, again = self.write(), self.write(text="Come at eight.")
        assert first == again
        assert len(mail.outbox) == 1
        assert Letter.objects.get().text == "Come at seven."

    def waiting(self, key, *matters):
        """Write a letter about some matters, which waits to be sent."""
        with self.captureOnCommitCallbacks():
            return letters.write(**self.facts(key), about=matters[0], also=matters[1:])

    def test_a_letter_about_several_overtakes_what_says_nothing_else(self):
        one, two = self.waiting("a", "g 1"), self.waiting("b", "g 1", "g 2")
        more, other = self.waiting("c", "g 2", "g 4"), self.waiting("d", "g 12")
        news = {"about": "g 1", "also": ["g 2", "g 3"], "overtakes": [self.ann]}
        self.write("e", **news)
        assert self.state(one) == self.state(two) == LetterState.OVERTAKEN
        assert self.state(more) == self.state(other) == LetterState.QUEUED

    def test_a_letter_about_one_leaves_what_says_more(self):
        both = self.waiting("a", "g 1", "g 2")
        self.write("b", about="g 1", overtakes=[self.ann])
        assert self.state(both) == LetterState.QUEUED

    def test_a_letter_is_found_under_each_of_its_matters(self):
        both, one = self.waiting("a", "g 1", "g 2", "g 3"), self.waiting("b", "g 22")
        assert both.matters == {"g 1", "g 2", "g 3"}
        for matter in both.matters:
            assert list(Letter.objects.on(matter)) == [both]
        assert list(Letter.objects.on("g 22")) == [one]

    def test_another_demonstration_may_use_the_same_key(self):
        self.write()
        self.write(demonstration=make_demonstration())
        assert len(mail.outbox) == 2

    def test_nothing_is_sent_if_the_change_is_taken_back(self):
        with (
            self.captureOnCommitCallbacks(execute=True),
            pytest.raises(RuntimeError, match="changed my mind"),
        ):
            self.write_and_fail()
        assert (mail.outbox, Letter.objects.count()) == ([], 0)

    def write_and_fail(self):
        with transaction.atomic():
            letters.write(
                demonstration=self.demonstration,
                key="hello:1",
                volunteer=self.ann,
                address=self.ann.email,
                subject="Tomorrow",
                text="Come.",
                now=NOW,
            )
            raise RuntimeError("changed my mind")

    def test_without_an_address_it_is_kept_for_somebody_to_tell_them(self):
        letter = self.write(address="")
        assert self.state(letter) == LetterState.NO_ADDRESS
        assert (letter.trouble, mail.outbox) == ("", [])

    def test_nothing_is_written_to_somebody_who_was_erased(self):
        # As another process does it: the row in hand was read before.
        Volunteer.objects.filter(pk=self.ann.pk).update(erased_at=NOW, left_at=NOW)
        for address in (self.ann.email, ""):
            assert self.write(key=f"gave-up:{address}", address=address) is None
        assert not Letter.objects.exists()
        assert mail.outbox == []

    def test_what_is_no_address_is_shown_with_what_is_wrong(self):
        letter = self.write(address="ann@example.org\nBcc: all@example.org")
        assert self.state(letter) == LetterState.NO_ADDRESS
        assert "an e-mail address" in letter.trouble
        assert mail.outbox == []

    def test_a_line_break_in_a_subject_breaks_no_header(self):
        self.write(subject="Tomorrow\r\nBcc: all@example.org")
        assert mail.outbox[0].subject == "Tomorrow Bcc: all@example.org"
        assert mail.outbox[0].recipients() == [self.ann.email]

    def test_a_subject_of_any_length_fits(self):
        assert len(self.write(subject="long " * 99).subject) == 200

    def test_attachments_come_through_the_book_with_their_bytes(self):
        part = post.Attachment("sheet.pdf", b"%PDF\x00\xff", "application/pdf")
        self.write(parts=[part])
        assert mail.outbox[0].attachments == [tuple(part)]

    def test_a_letter_to_nobody_on_the_list_is_written_too(self):
        letter = self.write(volunteer=None, address="new@example.org")
        assert self.state(letter) == LetterState.SENT

    def test_a_name_of_its_own_is_kept_for_each(self):
        names = {self.write(key=f"hello:{number}").message_id for number in range(3)}
        assert len(names) == 3
        assert all(name.endswith("@localhost>") for name in names)


class OvertakenTests(LetterCase):
    def older(self, **fields):
        fields = {"about": "gathering 1", "volunteer": self.ann} | fields
        return make_letter(demonstration=self.demonstration, **fields)

    def newer(self):
        return self.write(about="gathering 1", overtakes=[self.ann])

    def test_a_newer_letter_keeps_older_ones_from_going(self):
        waiting = self.older()
        failed = self.older(state=LetterState.FAILED)
        newer = self.newer()
        assert self.state(waiting) == self.state(failed) == LetterState.OVERTAKEN
        assert self.state(newer) == LetterState.SENT
        assert letters.attempt(key=waiting.pk, now=NOW) is Outcome.NOT_MINE
        assert len(mail.outbox) == 1

    def test_what_went_or_came_back_stays_as_it_is(self):
        kept = [LetterState.SENT, LetterState.SENDING, LetterState.BOUNCED]
        rows = [self.older(state=state) for state in kept]
        self.newer()
        assert [self.state(row) for row in rows] == kept

    def test_other_matters_and_other_people_are_left_alone(self):
        bob = make_volunteer(demonstration=self.demonstration)
        rows = [self.older(about="gathering 2"), self.older(volunteer=bob)]
        self.newer()
        assert {self.state(row) for row in rows} == {LetterState.QUEUED}

    def test_the_same_key_again_does_not_overtake_itself(self):
        with self.refusing(post.NotTakenError("busy")):
            letter = self.newer()
        self.newer()
        assert self.state(letter) == LetterState.QUEUED


class AttemptTests(LetterCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.letter = make_letter(demonstration=cls.demonstration)

    def attempt(self, error=None, now=NOW):
        if error is None:
            return letters.attempt(key=self.letter.pk, now=now)
        with self.refusing(error):
            return letters.attempt(key=self.letter.pk, now=now)

    def test_it_waits_longer_after_each_failure_and_is_then_given_up(self):
        waits, now = [], NOW
        while self.state(self.letter) == LetterState.QUEUED:
            assert self.attempt(post.NotTakenError("busy"), now) is Outcome.NOT_TAKEN
            self.letter.refresh_from_db()
            waits.append(self.letter.try_at - now)
            now = self.letter.try_at
        minutes = [wait / timedelta(minutes=1) for wait in waits]
        assert minutes == [1, 5, 30, 120, 720, 0]
        assert self.state(self.letter) == LetterState.FAILED
        assert (self.letter.attempts, self.letter.trouble) == (6, "busy")

    def test_what_fails_and_then_goes_leaves_no_trouble(self):
        self.attempt(post.NotTakenError("busy"))
        assert self.attempt() is Outcome.WENT
        assert self.state(self.letter) == LetterState.SENT
        assert (self.letter.attempts, self.letter.trouble) == (2, "")

    def test_what_is_refused_for_good_is_not_tried_again(self):
        self.attempt(post.NotTakenError("550 No such person", for_good=True))
        assert self.state(self.letter) == LetterState.FAILED
        assert self.letter.trouble == "550 No such person"
        assert self.attempt() is Outcome.NOT_MINE

    def test_what_may_have_gone_is_never_sent_again_by_itself(self):
        assert self.attempt(post.NotKnownError("line broke")) is Outcome.NOT_KNOWN
        later = NOW + timedelta(days=2)
        assert self.attempt(now=later) is Outcome.NOT_MINE
        assert letters.send_due(now=later) == 0
        assert self.state(self.letter) == LetterState.SENDING
        assert self.letter.is_unknown(later)
        assert mail.outbox == []

    def test_a_crash_while_sending_leaves_it_half_way(self):
        with pytest.raises(KeyboardInterrupt):
            self.attempt(KeyboardInterrupt())
        assert self.state(self.letter) == LetterState.SENDING
        assert not self.letter.is_unknown(NOW + timedelta(minutes=1))
        assert self.letter.is_unknown(NOW + timedelta(minutes=10))

    def test_what_has_gone_is_not_sent_twice(self):
        assert self.attempt() is Outcome.WENT
        assert self.attempt() is Outcome.NOT_MINE
        assert len(mail.outbox) == 1

    def test_a_header_that_cannot_be_written_fails_in_plain_words(self):
        Letter.objects.update(message_id="<a@b>\nBcc: all@example.org")
        assert self.attempt() is Outcome.NOT_TAKEN
        assert self.state(self.letter) == LetterState.FAILED
        assert "newline" in self.letter.trouble


class DueTests(LetterCase):
    def test_the_due_are_sent_and_the_others_wait(self):
        due = make_letter(demonstration=self.demonstration)
        later = make_letter(
            demonstration=self.demonstration, try_at=NOW + timedelta(minutes=1)
        )
        assert letters.send_due(now=NOW) == 1
        assert self.state(due) == LetterState.SENT
        assert self.state(later) == LetterState.QUEUED

    def test_where_no_server_answers_the_rest_is_not_worn_out(self):
        rows = [make_letter(demonstration=self.demonstration) for _ in range(3)]
        error = post.NotTakenError("no route", unreachable=True)
        with self.refusing(error):
            assert letters.send_due(now=NOW) == 0
        for row in rows:
            row.refresh_from_db()
        assert [row.attempts for row in rows] == [1, 0, 0]

    def test_one_reader_refused_does_not_hold_up_the_next(self):
        for _ in range(2):
            make_letter(demonstration=self.demonstration)
        error = post.NotTakenError("550", for_good=True)
        with mock.patch.object(post, "hand_over", side_effect=[error, None]):
            assert letters.send_due(now=NOW) == 1


class ModelTests(LetterCase):
    def refuse(self, name, **fields):
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            make_letter(demonstration=self.demonstration, **fields)

    def test_a_key_is_used_once(self):
        make_letter(demonstration=self.demonstration, key="hello:1")
        with pytest.raises(IntegrityError), transaction.atomic():
            make_letter(demonstration=self.demonstration, key="hello:1")

    def test_a_state_is_one_that_is_known(self):
        self.refuse("letter_state_known", state="lost")

    def test_a_letter_goes_somewhere_or_nowhere_by_name(self):
        self.refuse("letter_goes_somewhere", address="")
        for state in (
            LetterState.NO_ADDRESS,
            LetterState.TOLD,
            LetterState.OVERTAKEN,
        ):
            row = make_letter(demonstration=self.demonstration, address="", state=state)
            assert row.stands is state


def test_what_a_server_says_is_one_line_of_words():
    error = smtplib.SMTPDataError(451, b"4.7.1 Try\r\nlater \xff")
    with mock.patch.object(post, "get_connection") as connection:
        connection().send_messages.side_effect = error
        with pytest.raises(post.NotTakenError, match=r"451 4\.7\.1 Try later"):
            post.hand_over(post.compose(subject="A", text="B", to="a@example.org"))
