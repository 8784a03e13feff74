"""Many workers, one letter: it is written once and goes once."""

from django.core import mail

from heritage.people.letters import services as letters
from heritage.people.letters.services import Outcome
from heritage.people.models import Letter, LetterState
from tests.factories import NOW, make_demonstration, make_letter, make_volunteer
from tests.rush import RushCase

WORKERS = 12


class LetterRushTests(RushCase):
    def make(self):
        self.demonstration = make_demonstration()
        self.ann = make_volunteer(demonstration=self.demonstration)
        self.waiting = make_letter(demonstration=self.demonstration)
        self.outcomes = []

    def write(self, _):
        letters.write(
            demonstration=self.demonstration,
            key="hello:1",
            volunteer=self.ann,
            address=self.ann.email,
            subject="Tomorrow",
            text="Come at seven.",
            now=NOW,
        )

    def attempt(self, _):
        self.outcomes.append(letters.attempt(key=self.waiting.pk, now=NOW))

    def test_the_same_key_from_many_hands_is_one_letter_sent_once(self):
        self.together(self.write, WORKERS)
        (row,) = self.rows_of(Letter.objects.keyed("hello:"))
        assert row.state == LetterState.SENT
        assert [letter.to for letter in mail.outbox] == [[self.ann.email]]

    def test_of_many_workers_one_sends(self):
        self.together(self.attempt, WORKERS)
        assert self.outcomes.count(Outcome.WENT) == 1
        assert self.outcomes.count(Outcome.NOT_MINE) == WORKERS - 1
        assert len(mail.outbox) == 1
        (row,) = self.rows_of(Letter.objects.filter(pk=self.waiting.pk))
        assert (row.state, row.attempts) == (LetterState.SENT, 1)

    def test_rounds_that_overlap_send_each_letter_once(self):
        self.together(lambda _: letters.send_due(now=NOW), WORKERS)
        assert len(mail.outbox) == 1
