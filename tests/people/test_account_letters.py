"""Letters about accounts: once for their key, tried again, and their words gone."""

from datetime import timedelta
from unittest.mock import patch

import pytest
from django.core import mail
from django.db import IntegrityError, connection
from django.test import TestCase, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django_tasks import task_backends

from heritage.common import clock, post
from heritage.kits.delivery import Failure, Trouble
from heritage.people.accounts import services as account_letters
from heritage.people.letters import selectors
from heritage.people.letters import services as letter_trouble
from heritage.people.letters.services import Outcome, is_our_message_id
from heritage.people.models import AccountLetter, LetterState
from tests.factories import NOW, make_demonstration, make_organiser, make_volunteer

GOOD_FOR = timedelta(minutes=15)
NOT_TAKEN = post.NotTakenError("The mail server answered: 451 later")
REFUSED = post.NotTakenError("The mail server answered: 550 nobody", for_good=True)
UNREACHABLE = post.NotTakenError("No server", unreachable=True)


class AccountLetterCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        cls.ann = make_volunteer(demonstration=cls.home, name="Ann Rush")

    def write(self, text="Your code: 123456", **fields):
        told = {
            "address": self.ann.user.email,
            "subject": "Sign-in code",
            "text": text,
            "now": NOW,
            "good_for": GOOD_FOR,
        }
        return account_letters.write(**(told | fields))

    def attempt(self, letter, error=None, now=NOW):
        with patch.object(post, "hand_over", side_effect=error) as handed:
            outcome = account_letters.attempt(key=letter.pk, now=now)
        letter.refresh_from_db()
        return outcome, handed.call_count


class SendingTests(AccountLetterCase):
    def test_it_goes_once_and_its_words_are_gone(self):
        with self.captureOnCommitCallbacks(execute=True):
            letter = self.write(now=clock.now())
        letter.refresh_from_db()
        assert (letter.state, letter.text) == (LetterState.SENT, "")
        assert letter.user == self.ann.user
        assert "123456" in mail.outbox[0].body
        assert mail.outbox[0].message()["Message-ID"] == letter.message_id
        assert is_our_message_id(letter.message_id)
        assert self.attempt(letter) == (Outcome.NOT_MINE, 0)
        assert len(mail.outbox) == 1

    def test_the_same_words_within_a_minute_are_one_letter(self):
        first = self.write()
        assert self.write(now=NOW + timedelta(seconds=5)) == first
        assert self.write("Your code: 654321") != first
        assert self.write(now=NOW + timedelta(minutes=2)) != first

    def test_to_whom_has_no_account_it_is_nobodys(self):
        assert self.write(address="nobody@example.org").user is None

    def test_what_was_not_taken_is_tried_again_until_it_is_of_no_use(self):
        for good_for, most in ((GOOD_FOR, 5), (timedelta(days=1), 8)):
            with self.subTest(most):
                letter = self.write(f"For {good_for}", good_for=good_for)
                self.try_to_the_end(letter, most)

    def try_to_the_end(self, letter, most):
        now, tries = NOW, 0
        while letter.state == LetterState.QUEUED:
            outcome, handed = self.attempt(letter, NOT_TAKEN, now)
            assert (outcome, handed) == (Outcome.NOT_TAKEN, 1)
            now, tries = letter.try_at, tries + 1
        assert tries == most
        assert (letter.state, letter.text) == (LetterState.FAILED, "")
        assert letter.trouble == "The mail server answered: 451 later"

    def test_a_short_lived_letter_is_given_up_earlier(self):
        letter = self.write(good_for=timedelta(seconds=10))
        assert self.attempt(letter, UNREACHABLE)[0] is Outcome.NO_SERVER
        assert (letter.state, letter.text) == (LetterState.FAILED, "")

    def test_what_is_refused_for_good_is_not_tried_again(self):
        letter = self.write()
        self.attempt(letter, REFUSED)
        assert letter.state == LetterState.FAILED

    def test_what_may_have_gone_is_not_sent_again(self):
        letter = self.write()
        outcome, _ = self.attempt(letter, post.NotKnownError("broke off"))
        assert outcome is Outcome.NOT_KNOWN
        assert (letter.state, letter.text) == (LetterState.SENDING, "")
        assert self.attempt(letter) == (Outcome.NOT_MINE, 0)

    def test_a_code_that_has_run_out_is_not_sent(self):
        letter = self.write()
        assert self.attempt(letter, now=NOW + GOOD_FOR) == (Outcome.NOT_TAKEN, 0)
        assert letter.trouble == "It came too late to be of use."

    def test_a_code_is_not_left_behind_by_a_worker_that_stopped(self):
        letter = self.write()
        AccountLetter.objects.update(state=LetterState.SENDING)
        for now, text in ((NOW, letter.text), (NOW + GOOD_FOR, "")):
            account_letters.send_due(now=now)
            letter.refresh_from_db()
            assert letter.text == text

    def test_the_timer_sends_what_is_due(self):
        letter = self.write()
        self.attempt(letter, NOT_TAKEN)
        assert account_letters.send_due(now=NOW) == 0
        assert account_letters.send_due(now=letter.try_at) == 1

    @override_settings(
        TASKS={"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}
    )
    def test_a_worker_is_asked_to_try_again_in_time(self):
        letter = self.write()
        self.attempt(letter, NOT_TAKEN)
        (again,) = task_backends["default"].results
        assert again.task.run_after == letter.try_at


class ConstraintTests(AccountLetterCase):
    def test_words_are_not_kept_once_it_has_gone(self):
        with pytest.raises(IntegrityError, match="accountletter_words_go_with_it"):
            AccountLetter.objects.filter(pk=self.write().pk).update(state="sent")

    def test_it_stands_where_a_letter_about_an_account_can(self):
        with pytest.raises(IntegrityError, match="accountletter_state_known"):
            AccountLetter.objects.filter(pk=self.write().pk).update(
                state="nowhere", text=""
            )


class ShownTests(AccountLetterCase):
    def astray(self, home=None, now=NOW):
        page = selectors.letters_page(
            home or self.home, now, only_trouble=True, number=""
        )
        return [line.letter for line in page.astray]

    def test_organisers_see_that_it_did_not_arrive_and_not_what_it_said(self):
        now = clock.now()
        letter = self.write(now=now)
        assert self.astray(now=now) == []
        self.attempt(letter, REFUSED, now)
        assert self.astray(now=now) == [letter]
        assert self.astray(home=make_demonstration(), now=now) == []
        assert len(selectors.to_look_at(self.home, now).astray) == 1
        nora = make_organiser(demonstration=self.home)
        self.client.force_login(nora.user)
        page = self.client.get(reverse("people:letters", args=[self.home.slug]))
        self.assertContains(page, "550 nobody")
        self.assertNotContains(page, "123456")

    def test_one_that_came_back_is_shown_with_why_and_their_telephone(self):
        now = clock.now()
        self.ann.phone = "028 555 0144"
        self.ann.save()
        letter = self.write(now=now)
        self.attempt(letter, now=now)
        assert selectors.unreached(self.home, now) == frozenset()
        report = Failure((letter.message_id,), "", "", Trouble.MAILBOX_FULL, "")
        letter_trouble.note_failure(failure=report, now=now)
        assert self.astray(now=now) == [letter]
        assert selectors.unreached(self.home, now) == {self.ann.pk}
        assert selectors.unreached(make_demonstration(), now) == frozenset()
        nora = make_organiser(demonstration=self.home)
        self.client.force_login(nora.user)
        url = reverse("people:letters", args=[self.home.slug])
        page = self.client.get(url)
        for words in ("came back", "The mailbox is full", "tel:0285550144"):
            self.assertContains(page, words)
        people = self.client.get(reverse("people:list", args=[self.home.slug]))
        self.assertContains(people, "e-mails come back")
        told = reverse("people:account_letter_told", args=[self.home.slug, letter.pk])
        self.assertContains(page, told)
        self.assertRedirects(self.client.post(told), url)
        assert self.astray(now=now) == []
        assert selectors.to_look_at(self.home, now) == (frozenset(), frozenset(), 0)
        stranger = make_organiser()
        elsewhere = [stranger.demonstration.slug, letter.pk]
        self.client.force_login(stranger.user)
        answer = self.client.post(reverse("people:account_letter_told", args=elsewhere))
        assert answer.status_code == 404

    def test_the_page_costs_the_same_for_one_and_for_many(self):
        costs = []
        for number in (1, 7):
            for _ in range(number):
                person = make_volunteer(demonstration=self.home)
                self.attempt(self.write(address=person.user.email), REFUSED)
            with CaptureQueriesContext(connection) as spent:
                assert len(self.astray()) >= number
            costs.append(len(spent))
        assert costs[0] == costs[1]

    def test_one_that_went_later_settles_it(self):
        self.attempt(self.write(), REFUSED)
        self.attempt(self.write("Your code: 654321"))
        assert self.astray() == []

    def test_half_way_for_too_long_is_not_known_to_have_gone(self):
        letter = self.write()
        self.attempt(letter, post.NotKnownError("broke off"))
        assert self.astray() == []
        assert self.astray(now=NOW + timedelta(minutes=11)) == [letter]
        assert self.astray(now=NOW + timedelta(days=31)) == []
