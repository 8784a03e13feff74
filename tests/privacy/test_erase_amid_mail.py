"""Somebody is erased while letters to them are written and sent, from two threads."""

import threading
import time
from datetime import timedelta

from django.core.exceptions import ValidationError

from heritage.people.accounts import services as account_letters
from heritage.people.letters import services as letters
from heritage.people.letters.services import Outcome
from heritage.people.models import AccountLetter, Letter, LetterState, User, Volunteer
from heritage.privacy.erasing import services
from heritage.privacy.models import Erasure
from tests.factories import (
    NOW,
    make_demonstration,
    make_erasure,
    make_letter,
    make_organiser,
    make_volunteer,
)
from tests.mail_server import mail_server
from tests.rush import RushCase

LETTERS = 12


class AmidMailCase(RushCase):
    def make(self):
        where = make_demonstration()
        self.nora = make_organiser(demonstration=where)
        self.eva = make_volunteer(
            demonstration=where, name="Eva Reed", email="eva@example.org"
        )
        self.asked = make_erasure(volunteer=self.eva)
        self.said = []

    def letter(self, **fields):
        to = {"volunteer": self.eva, "address": self.eva.email}
        return make_letter(demonstration=self.eva.demonstration, **to | fields)

    def erase(self, now=NOW):
        """Erase, and say whether it was acknowledged."""
        try:
            services.carry_out_erasure(erasure=self.asked, by=self.nora.user, now=now)
        except ValidationError as refusal:
            self.said.extend(refusal.messages)
            return False
        return True

    def assert_nothing_is_left(self):
        assert self.rows_of(Letter.objects.addressed_to("eva@example.org")) == []
        assert self.rows_of(Letter.objects.filter(text__contains="Eva Reed")) == []
        (row,) = self.rows_of(Volunteer.objects.filter(pk=self.eva.pk))
        assert row.name == services.NOBODY


class InFlightTests(AmidMailCase):
    """The server has the letter in hand when the organiser presses."""

    def make(self):
        super().make()
        self.mine = self.letter(text="Dear Eva Reed")
        self.nobodys = self.letter(volunteer=None, address="EVA@example.org")
        user = User.objects.get(pk=self.eva.user_id)
        self.account = AccountLetter.objects.create(
            key="code", user=user, address=user.email, subject="A code", text="1234",
            queued_at=NOW, try_at=NOW, good_until=NOW + timedelta(minutes=15),
        )  # fmt: skip

    def amid(self, send):
        """Send in one thread, and erase in another while the server holds it."""
        release = threading.Event()
        outcomes, done = [], []

        def act(number):
            if number == 0:
                outcomes.append(send())
                return
            try:
                assert server.has_one.wait(60)
                done.append(self.erase())
            finally:
                release.set()

        with mail_server(held_by=release) as server:
            self.together(act, 2)
            taken = len(server.taken)
            self.together(lambda _: done.append(self.erase()), 1)
            self.together(lambda _: letters.send_due(now=NOW + timedelta(days=2)), 1)
            assert len(server.taken) == taken == 1
        assert outcomes == [Outcome.WENT]
        assert done == [False, True]
        assert self.said == [
            "An e-mail to Eva Reed is on its way. Wait ten minutes, then delete."
        ]

    def test_a_letter_at_the_server_holds_the_erasing_up_and_it_says_so(self):
        self.amid(lambda: letters.attempt(key=self.mine.pk, now=NOW))
        self.assert_nothing_is_left()

    def test_so_does_one_to_nobody_at_their_address(self):
        self.amid(lambda: letters.attempt(key=self.nobodys.pk, now=NOW))
        self.assert_nothing_is_left()

    def test_so_does_one_about_their_account(self):
        self.amid(lambda: account_letters.attempt(key=self.account.pk, now=NOW))
        self.assert_nothing_is_left()
        assert self.rows_of(AccountLetter.objects.all()) == []


class HalfWayTests(AmidMailCase):
    def make(self):
        super().make()
        self.letter(state=LetterState.SENDING, try_at=NOW - timedelta(minutes=10))

    def test_what_was_left_half_way_long_ago_holds_nothing_up(self):
        self.together(lambda _: self.said.append(self.erase()), 1)
        assert self.said == [True]
        self.assert_nothing_is_left()


class RushTests(AmidMailCase):
    """Both at once, from the same moment."""

    def make(self):
        super().make()
        self.waiting = [self.letter(text="Dear Eva Reed") for _ in range(LETTERS)]
        # As it was read by a page or a task before the erasing.
        self.before = Volunteer.objects.get(pk=self.eva.pk)

    def erase_until_acknowledged(self):
        """Press again, as the words ask; not at once, since SQLite queues unfairly."""
        for _ in range(200):
            if self.erase():
                return
            time.sleep(0.1)
        raise AssertionError(self.said[-1])

    def test_nothing_goes_once_it_is_acknowledged(self):
        gone_by_then = []

        def act(number):
            if number == 0:
                self.erase_until_acknowledged()
                gone_by_then.append(len(server.taken))
                return
            for row in self.waiting:
                letters.attempt(key=row.pk, now=NOW)

        with mail_server() as server:
            self.together(act, 2)
            assert gone_by_then == [len(server.taken)]
        self.assert_nothing_is_left()
        assert len(self.rows_of(Erasure.objects.done())) == 1

    def test_nothing_is_written_to_whoever_is_erased_meanwhile(self):
        def act(number):
            if number == 0:
                self.erase_until_acknowledged()
                return
            for turn in range(LETTERS):
                letters.write(
                    demonstration=self.before.demonstration,
                    key=f"late:{turn}",
                    volunteer=self.before,
                    address="eva@example.org",
                    subject="Tomorrow",
                    text="Dear Eva Reed",
                    now=NOW,
                )

        with mail_server() as server:
            self.together(act, 2)
            taken = len(server.taken)
            self.together(lambda _: letters.send_due(now=NOW + timedelta(days=2)), 1)
            assert len(server.taken) == taken
        self.assert_nothing_is_left()
