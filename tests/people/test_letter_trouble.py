"""What went wrong with letters: what came back, and what is done about it."""

import io
from datetime import timedelta
from unittest import mock

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import OperationalError
from django.test import override_settings

from heritage.kits.delivery import Failure, Trouble
from heritage.people.letters import services as letter_trouble
from heritage.people.letters.services import new_message_id
from heritage.people.models import LetterState
from tests.factories import (
    NOW,
    make_account_letter,
    make_letter,
    make_organiser,
    make_volunteer,
)
from tests.kits.reports import report
from tests.people.test_letters import LetterCase as BookCase

UNKNOWN = "No letter of ours, or not known which."
TROUBLED = [LetterState.FAILED, LetterState.BOUNCED, LetterState.NO_ADDRESS]


class TroubleCase(BookCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.nora = make_organiser(demonstration=cls.demonstration)

    def letter(self, **fields):
        fields = {
            "state": LetterState.FAILED,
            "attempts": 6,
            "message_id": "<letter.1@flax.example.org>",
        } | fields
        return make_letter(demonstration=self.demonstration, **fields)

    def again(self, letter, by=None, now=NOW):
        with self.captureOnCommitCallbacks(execute=True):
            return letter_trouble.send_again(
                letter=letter, by=by or self.nora.user, now=now
            )


class SendAgainTests(TroubleCase):
    def test_a_letter_that_failed_goes_from_the_beginning(self):
        letter = self.letter(trouble="550 No such mailbox")
        self.again(letter)
        assert self.state(letter) == LetterState.SENT
        assert (letter.attempts, letter.trouble) == (1, "")
        assert letter.message_id == "<letter.1@flax.example.org>"

    def test_it_goes_to_where_the_reader_is_reached_now(self):
        letter = self.letter(volunteer=self.ann, address="old@example.org")
        self.again(letter)
        assert mail.outbox[0].to == [self.ann.email]

    def test_what_came_back_goes_under_a_new_name(self):
        """A late report on the first must not mark the second."""
        letter = self.letter(state=LetterState.BOUNCED)
        self.again(letter)
        assert self.state(letter) == LetterState.SENT
        assert letter.message_id != "<letter.1@flax.example.org>"

    def test_what_may_have_gone_is_sent_again_by_hand_alone(self):
        letter = self.letter(state=LetterState.SENDING)
        with pytest.raises(
            ValidationError, match="This e-mail has gone, or is on its way"
        ):
            self.again(letter)
        self.again(letter, now=NOW + timedelta(minutes=10))
        assert self.state(letter) == LetterState.SENT

    def test_pressed_twice_it_goes_once(self):
        letter = self.letter()
        self.again(letter)
        with pytest.raises(ValidationError, match="has gone"):
            self.again(letter)
        assert len(mail.outbox) == 1

    def test_without_an_address_it_says_how_to_mend_it(self):
        paper = make_volunteer(demonstration=self.demonstration, user=None, email="")
        letter = self.letter(volunteer=paper, address="", state=LetterState.NO_ADDRESS)
        with pytest.raises(ValidationError, match=f"address for {paper}. Enter"):
            self.again(letter)
        nobody = self.letter(address="", state=LetterState.NO_ADDRESS)
        with pytest.raises(ValidationError, match="address for the reader"):
            self.again(nobody)

    def test_once_an_address_is_entered_it_goes(self):
        paper = make_volunteer(demonstration=self.demonstration, user=None, email="")
        letter = self.letter(volunteer=paper, address="", state=LetterState.NO_ADDRESS)
        paper.email = "new@example.org"
        paper.save()
        self.again(letter)
        assert mail.outbox[0].to == ["new@example.org"]

    def test_only_an_organiser_of_the_place_may(self):
        elsewhere = make_organiser()
        for stranger in (self.ann, elsewhere):
            with pytest.raises(ValidationError, match="Only an organiser"):
                self.again(self.letter(), by=stranger.user)
        assert mail.outbox == []


class ToldTests(TroubleCase):
    def told(self, letter, by=None):
        by = by or self.nora.user
        return letter_trouble.note_told(letter=letter, by=by, now=NOW)

    def test_somebody_told_in_another_way_is_trouble_no_more(self):
        for state in TROUBLED:
            letter = self.letter(state=state)
            self.told(letter)
            assert self.state(letter) == LetterState.TOLD
        assert not self.demonstration.letters.trouble(NOW).exists()

    def test_what_is_no_trouble_is_left(self):
        for state in (LetterState.SENT, LetterState.QUEUED, LetterState.TOLD):
            with pytest.raises(ValidationError, match="has gone"):
                self.told(self.letter(state=state))

    def test_only_an_organiser_may(self):
        with pytest.raises(ValidationError, match="Only an organiser"):
            self.told(self.letter(), by=self.ann.user)


class CameBackTests(TroubleCase):
    def failure(self, **changes):
        facts = {
            "message_ids": ("<letter.1@flax.example.org>",),
            "address": "",
            "subject": "",
            "trouble": Trouble.NO_MAILBOX,
            "said": "",
        }
        changes.pop("now", None)
        return Failure(**(facts | changes))

    def note(self, **changes):
        failure, now = self.failure(**changes), changes.pop("now", NOW)
        return letter_trouble.note_failure(failure=failure, now=now)

    def test_the_letter_is_marked_with_the_reason(self):
        letter = self.letter(state=LetterState.SENT)
        assert self.note() == letter
        assert self.state(letter) == LetterState.BOUNCED
        assert letter.trouble == "There's no such mailbox."

    def test_what_was_not_known_to_have_gone_had_gone(self):
        letter = self.letter(state=LetterState.SENDING)
        self.note()
        assert self.state(letter) == LetterState.BOUNCED

    def alike(self, **changes):
        """Note a report that carries no name, or one that a relay gave the letter."""
        told = {"address": "Ann@Example.org", "subject": "Tomorrow evening"}
        facts = {"message_ids": ()} | told | changes
        return self.note(**facts)

    def sent(self, **fields):
        fields = {
            "state": LetterState.SENT,
            "address": "ann@example.org",
            "message_id": "",
        } | fields
        return self.letter(**fields)

    def test_without_its_name_it_is_the_only_one_to_there_with_that_subject(self):
        letter = self.sent()
        others = [
            self.sent(subject="Another"),
            self.sent(address="bob@example.org"),
            self.sent(state=LetterState.QUEUED),
            self.sent(state=LetterState.FAILED),
        ]
        assert self.alike(message_ids=("<relay.1@example.net>",)) == letter
        assert self.state(letter) == LetterState.BOUNCED
        assert LetterState.BOUNCED not in map(self.state, others)

    def test_of_several_alike_none_is_marked(self):
        elsewhere = make_letter(
            state=LetterState.SENT, address="ann@example.org", subject="Wet fields"
        )
        for subject, other in (("Tomorrow evening", None), ("Wet fields", elsewhere)):
            first = self.sent(subject=subject)
            other = other or self.sent(subject=subject)
            assert self.alike(subject=subject) is None
            assert self.state(first) == self.state(other) == LetterState.SENT

    def test_a_letter_of_last_month_is_not_what_came_back_today(self):
        letter = self.sent()
        assert self.alike(now=NOW + timedelta(days=6, seconds=1)) is None
        assert self.alike(now=NOW + timedelta(days=5)) == letter

    @override_settings(DEFAULT_FROM_EMAIL="Carrowlint <post@flax.example.org>")
    def test_a_late_report_on_the_first_does_not_mark_the_one_sent_again(self):
        """By its name it is about the first, however alike the two are."""
        letter = self.sent(message_id=new_message_id())
        first = letter.message_id
        self.alike(message_ids=(first,))
        self.again(letter)
        self.state(letter)
        assert letter.message_id != first
        assert self.alike(message_ids=(first,)) is None
        assert self.state(letter) == LetterState.SENT

    def test_a_letter_of_somebody_else_is_none_of_ours(self):
        letter = self.letter(state=LetterState.SENT)
        assert self.note(message_ids=("<other@example.net>",)) is None
        assert self.note(message_ids=(), address="ann@example.org") is None
        assert self.state(letter) == LetterState.SENT

    def test_an_unnamed_letter_is_not_found_by_an_empty_name(self):
        letter = self.letter(state=LetterState.SENT, message_id="")
        assert self.note(message_ids=()) is None
        assert self.state(letter) == LetterState.SENT

    def test_what_was_told_or_sent_again_is_left(self):
        letter = self.letter(state=LetterState.TOLD)
        assert self.note() is None
        assert self.state(letter) == LetterState.TOLD

    def test_a_long_reason_is_cut(self):
        letter = self.letter(state=LetterState.SENT)
        self.note(said="long " * 99)
        assert self.state(letter) == LetterState.BOUNCED
        assert len(letter.trouble) == 300


class AccountTests(TroubleCase):
    """Mail about accounts: a book of its own, and the same reports."""

    def sent(self, **fields):
        fields = {"state": LetterState.SENT, "user": self.ann.user} | fields
        return make_account_letter(**fields)

    def note(self, **changes):
        facts = {"message_ids": (), "address": "", "subject": ""}
        why = {"trouble": None, "said": "Full."}
        failure = Failure(**facts | why | changes)
        return letter_trouble.note_failure(failure=failure, now=NOW)

    def test_it_is_found_by_its_name(self):
        letter, other = self.sent(), self.sent()
        assert self.note(message_ids=(letter.message_id,)) == letter
        assert self.state(letter) == LetterState.BOUNCED
        assert letter.trouble == "Full."
        assert self.state(other) == LetterState.SENT

    def test_half_way_it_had_gone_and_its_words_go_too(self):
        letter = self.sent(state=LetterState.SENDING, text="Your code: 123456")
        self.note(message_ids=(letter.message_id,))
        assert (self.state(letter), letter.text) == (LetterState.BOUNCED, "")

    def test_without_a_name_the_only_one_is_found_and_of_several_none(self):
        letter = self.sent()
        report = {"address": letter.address, "subject": letter.subject}
        self.letter(state=LetterState.SENT, address=letter.address, subject="Your code")
        assert self.note(**report) == letter
        again = [self.sent(), self.sent()]
        assert self.note(**report) is None
        assert {self.state(one) for one in again} == {LetterState.SENT}

    def test_alike_in_both_books_it_is_not_known_which(self):
        letter = self.sent()
        self.letter(
            state=LetterState.SENT, address=letter.address, subject=letter.subject
        )
        assert self.note(address=letter.address, subject=letter.subject) is None

    def told(self, letter, by=None):
        letter_trouble.note_account_told(
            letter=letter, by=by or self.nora.user, now=NOW
        )

    def test_an_organiser_settles_it_by_telling_them(self):
        for state in (LetterState.BOUNCED, LetterState.FAILED):
            letter = self.sent(state=state)
            self.told(letter)
            assert self.state(letter) == LetterState.TOLD
            with pytest.raises(ValidationError, match="has gone"):
                self.told(letter)

    def test_only_an_organiser_where_they_are_may(self):
        letter = self.sent(state=LetterState.FAILED)
        nobodys = self.sent(state=LetterState.FAILED, user=None)
        for row, by in (
            (letter, self.ann.user),
            (letter, make_organiser().user),
            (nobodys, self.nora.user),
        ):
            with pytest.raises(
                ValidationError, match="Only their organiser can say so"
            ):
                self.told(row, by)
        assert self.state(letter) == self.state(nobodys) == LetterState.FAILED


class CommandTests(TroubleCase):
    def feed(self, data):
        out, given = io.StringIO(), mock.Mock(buffer=io.BytesIO(data))
        with mock.patch("sys.stdin", given):
            call_command("bounced", stdout=out)
        return out.getvalue().strip()

    def test_a_report_from_the_mail_server_marks_its_letter(self):
        letter = self.letter(state=LetterState.SENT)
        assert self.feed(report()) == f"Letter {letter.pk} came back."
        assert self.state(letter) == LetterState.BOUNCED
        assert letter.trouble == "There's no such mailbox. 550 5.1.1 User unknown"

    def test_a_report_on_mail_about_an_account_marks_it(self):
        letter = make_account_letter(
            state=LetterState.SENT, message_id="<letter.1@flax.example.org>"
        )
        assert self.feed(report()) == f"Account letter {letter.pk} came back."
        assert self.state(letter) == LetterState.BOUNCED

    def test_a_delay_marks_nothing(self):
        letter = self.letter(state=LetterState.SENT)
        said = self.feed(report(action="delayed", status="4.4.1"))
        assert said == "No failure is reported here."
        assert self.state(letter) == LetterState.SENT

    def test_a_report_on_another_letter_is_let_pass(self):
        assert self.feed(report(message_id="<x@example.net>")) == UNKNOWN

    def test_nonsense_is_let_pass(self):
        for nonsense in (b"", b"\xff\x00" * 99, report()[:250]):
            assert self.feed(nonsense) == "No failure is reported here."

    def test_without_the_database_the_mail_server_is_asked_to_try_later(self):
        down = mock.patch.object(
            letter_trouble, "note_failure", side_effect=OperationalError
        )
        with down, pytest.raises(SystemExit) as left:
            self.feed(report())
        assert left.value.code == 75
