"""The one command a timer calls: all that is due, each by itself."""

import io
from datetime import timedelta
from unittest import mock

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.test import TransactionTestCase

from heritage.common import clock
from heritage.common.models import LastRun
from heritage.desk.management.commands import tend
from heritage.gatherings.letters.selectors import due_at
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.people.models import Letter
from tests.factories import (
    NOW,
    make_gathering,
    make_letter,
    make_sign_up,
    make_station,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase


class TendTests(EveningCase):
    def tend(self, **options):
        out = io.StringIO()
        with self.captureOnCommitCallbacks(execute=True):
            call_command("tend", stdout=out, **options)
        return out.getvalue().splitlines()

    def test_nothing_due_says_nothing_unless_asked(self):
        self.at(NOW - timedelta(days=5))
        assert self.tend() == []
        assert len(self.tend(verbosity=2)) == len(tend.TASKS)

    def test_letters_that_are_due_are_sent(self):
        make_letter(demonstration=self.demonstration)
        assert self.tend() == ["1 letters sent"]

    def test_run_again_at_once_it_does_nothing_more(self):
        due = due_at(self.gathering)
        SignUp.objects.update(asked_at=due - timedelta(days=2))
        self.at(due)
        self.tend()
        sent = len(mail.outbox)
        assert self.tend() == []
        assert (len(mail.outbox), Letter.objects.count()) == (sent, sent)

    def test_what_fails_does_not_hold_up_the_rest_and_is_told(self):
        make_letter(demonstration=self.demonstration)
        broken = mock.Mock(side_effect=RuntimeError("no such table"))
        with (
            mock.patch.dict(tend.TASKS, {"reminders": broken}),
            self.assertLogs("heritage.desk", "ERROR") as logged,
            pytest.raises(CommandError, match="Failed: reminders"),
        ):
            self.tend()
        assert "no such table" in logged.output[0]
        assert LastRun.objects.get().trouble == "Failed: reminders."
        assert len(mail.outbox) == 1


class RoundTests(TransactionTestCase):
    """A whole round, each change safe in the database before the next task."""

    def test_whoever_moves_up_is_told_so_and_not_reminded_too(self):
        gathering = make_gathering()
        here = {"demonstration": gathering.demonstration}
        station = make_station(gathering=gathering, places=2)
        due = due_at(gathering)
        asked = {"station": station, "asked_at": due - timedelta(days=2)}
        ann, bob, cat = (make_volunteer(**here) for _ in range(3))
        late = due - timedelta(hours=1)
        make_sign_up(**asked, volunteer=ann, answer_by=late, changed_at=late)
        make_sign_up(**asked, volunteer=bob, status=SignUpStatus.WAITING)
        make_sign_up(**asked, volunteer=cat)
        make_letter(**here, address="due@example.org", try_at=due)
        out = io.StringIO()
        with mock.patch.object(clock, "now", return_value=due):
            call_command("tend", stdout=out)
        said = ["1 places passed on", "1 reminders", "1 letters sent"]
        assert out.getvalue().splitlines() == said
        told = {one.to[0]: one.subject.split(":")[0] for one in mail.outbox}
        assert told == {
            ann.email: "Place passed on",
            bob.email: "A place has come free",
            cat.email: "Tomorrow",
            "due@example.org": "Tomorrow evening",
        }
