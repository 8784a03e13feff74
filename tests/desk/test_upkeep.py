"""Today says when the site's own work stands still, and what people have asked."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import TestCase

from heritage.common.chores import note_done
from heritage.common.models import Chore, LastRun
from heritage.desk.today import selectors
from heritage.gatherings.letters.selectors import due_at
from heritage.gatherings.models import SignUpStatus
from heritage.people.models import LetterState
from heritage.privacy.models import ACKNOWLEDGE_WITHIN
from tests.factories import (
    NOW,
    make_complaint,
    make_erasure,
    make_gathering,
    make_letter,
    make_sign_up,
    make_station,
)
from tests.gatherings.evening import EveningCase

LONG_AGO = NOW - timedelta(days=400)
STILL = "E-mails and answers are stuck"
LIES = "What is due to be deleted is still here"
FAILS = "Part of the site's own work is failing"


class UpkeepCase(EveningCase):
    def setUp(self):
        super().setUp()
        # Far from its reminder: nothing waits yet.
        self.gathering.starts_at += timedelta(days=9)
        self.gathering.ends_at += timedelta(days=9)
        self.gathering.save()

    def lines(self, now=NOW):
        found = selectors.today(self.demonstration, self.nora.user, now)
        return {todo.words: todo for todo in found.todos}

    def done(self, chore, ago, **said):
        note_done(chore=chore, now=NOW - ago, **said)


class TidyTests(UpkeepCase):
    def old_letter(self):
        return make_letter(
            demonstration=self.demonstration,
            queued_at=LONG_AGO,
            state=LetterState.SENT,
        )

    def test_nothing_due_says_nothing_though_it_never_ran(self):
        assert LIES not in self.lines()

    def test_what_is_due_is_told_where_it_never_ran(self):
        self.old_letter()
        line = self.lines()[LIES]
        assert line.why.startswith("The nightly deleting has never been done. Look at")
        assert line.is_due
        assert line.url.endswith("/privacy/due/")

    def test_it_is_told_after_two_days_and_not_before(self):
        self.old_letter()
        self.done(Chore.TIDY, timedelta(days=2))
        assert LIES not in self.lines()
        self.done(Chore.TIDY, timedelta(days=2, minutes=1))
        assert "was last done on 10 August 2026 at 18:39." in self.lines()[LIES].why

    def test_the_report_alone_counts_for_nothing_and_the_deleting_does(self):
        self.old_letter()
        call_command("tidy", stdout=StringIO())
        assert not LastRun.objects.exists()
        assert LIES in self.lines()
        call_command("tidy", carry_out=True, stdout=StringIO())
        assert LastRun.objects.get(chore=Chore.TIDY).at == NOW
        assert LIES not in self.lines()

    def test_another_demonstration_s_rows_are_not_ours(self):
        make_letter(queued_at=LONG_AGO, state=LetterState.SENT)
        assert LIES not in self.lines()


@pytest.mark.any_database
class TendTests(UpkeepCase):
    def test_nothing_waiting_says_nothing_though_it_never_ran(self):
        assert STILL not in self.lines()

    def waiting_letter(self):
        make_letter(
            demonstration=self.demonstration, try_at=NOW - timedelta(minutes=11)
        )

    def test_a_waiting_letter_is_told_after_an_hour_and_not_before(self):
        self.waiting_letter()
        self.done(Chore.TEND, timedelta(hours=1))
        assert STILL not in self.lines()
        self.done(Chore.TEND, timedelta(hours=1, minutes=1))
        line = self.lines()[STILL]
        assert (
            "was last done on 12 August 2026 at 17:39. 1 e-mail is waiting." in line.why
        )
        assert "“manage.py tend” run every few minutes" in line.why
        assert line.is_due

    def test_a_letter_written_just_now_goes_by_itself(self):
        make_letter(demonstration=self.demonstration, try_at=NOW)
        assert STILL not in self.lines()

    def test_an_answer_that_is_overdue_is_told_where_somebody_waits(self):
        self.held.answer_by = NOW - timedelta(minutes=1)
        self.held.save()
        why = self.lines()[STILL].why
        assert "has never been done. Places that nobody answered for are not" in why
        self.turn.status = SignUpStatus.GIVEN_UP
        self.turn.save()
        assert STILL not in self.lines()

    def test_a_reminder_that_was_never_written_is_told(self):
        due = due_at(self.gathering)
        assert STILL not in self.lines(due - timedelta(minutes=1))
        assert "have not been reminded" in self.lines(due)[STILL].why
        make_letter(
            demonstration=self.demonstration,
            volunteer=self.ann,
            about=f"gathering {self.gathering.pk}",
            queued_at=due,
            state=LetterState.SENT,
        )
        assert STILL not in self.lines(due)

    def test_a_letter_about_another_evening_reminds_nobody(self):
        due = due_at(self.gathering)
        other = make_gathering(
            demonstration=self.demonstration,
            starts_at=self.gathering.starts_at,
            ends_at=self.gathering.ends_at,
        )
        late = make_sign_up(station=make_station(gathering=other), volunteer=self.cat)
        late.asked_at = due + timedelta(hours=1)
        late.save()
        for about, found in ((other, True), (self.gathering, False)):
            make_letter(
                demonstration=self.demonstration,
                volunteer=self.ann,
                about=f"gathering {about.pk}",
                queued_at=due,
                state=LetterState.SENT,
            )
            assert (STILL in self.lines(due + timedelta(hours=2))) is found

    def test_the_round_writes_down_that_it_was_made(self):
        self.waiting_letter()
        assert STILL in self.lines()
        call_command("tend", stdout=StringIO())
        assert LastRun.objects.get(chore=Chore.TEND).at == NOW
        assert STILL not in self.lines()

    def test_what_fails_in_it_is_told(self):
        self.done(Chore.TEND, timedelta(minutes=4), trouble="Failed: reminders.")
        line = self.lines()[FAILS]
        assert line.why.startswith("Failed: reminders. The reason is")


@pytest.mark.any_database
class AskedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.complaint = make_complaint(made_at=NOW - timedelta(days=10))
        cls.home = cls.complaint.demonstration

    def lines(self, now=NOW):
        found = selectors.today(self.home, self.complaint.made_by, now)
        return {todo.words: todo.why for todo in found.todos}

    def test_a_complaint_counts_its_days_down(self):
        assert self.lines()["Acknowledge the complaint"] == "20 days are left."
        late = NOW + ACKNOWLEDGE_WITHIN
        assert self.lines(late)["Acknowledge the complaint"] == (
            "The days for it are past."
        )

    def test_who_asks_to_be_erased_is_told(self):
        words = "Answer requests for deletion"
        assert words not in self.lines()
        make_erasure(demonstration=self.home)
        assert self.lines()[words].startswith("1 person is waiting")
