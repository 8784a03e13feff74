"""The two buttons of somebody who moved up, and the lead's list of who has not."""

from datetime import timedelta

from heritage.gatherings.models import SignUpStatus
from tests.factories import NOW
from tests.gatherings.evening import EveningCase

HOUR = timedelta(hours=1)


class AnswerTests(EveningCase):
    """Bob moved up; he has until half past seven in the morning."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.held.status = SignUpStatus.GIVEN_UP
        cls.held.save()
        cls.turn.status = SignUpStatus.HELD
        cls.turn.answer_by = NOW + 12 * HOUR
        cls.turn.save()

    def open(self, by):
        return self.page("gathering", self.gathering.pk, by=by)

    def press(self, comes, by=None, **data):
        data = {"sign_up": self.turn.pk, "comes": comes} | data
        return self.send("answer", self.gathering.pk, by=by or self.bob, **data)

    def test_the_page_asks_for_an_answer_by_a_time(self):
        response = self.open(self.bob)
        self.assertContains(response, "I'm coming")
        self.assertContains(response, "Not coming")
        self.assertContains(response, "Thursday 06:40")

    def test_yes_keeps_it(self):
        self.assertContains(self.press("yes"), "the place at Pull is kept")
        self.assertNotContains(self.open(self.bob), "I'm coming")

    def test_no_passes_it_on(self):
        self.assertContains(self.press("no"), "goes to the next")
        self.turn.refresh_from_db()
        assert self.turn.status == SignUpStatus.GIVEN_UP

    def test_too_late_says_how_to_ask_again(self):
        self.turn.status, self.turn.answer_by = SignUpStatus.GIVEN_UP, None
        self.turn.save()
        self.assertContains(self.press("yes"), "The place has gone to the next person")

    def test_what_is_no_answer_is_asked_for_again(self):
        self.assertContains(self.press("perhaps"), "Choose again")

    def test_nobody_answers_for_a_stranger(self):
        self.assertContains(self.press("yes", by=self.cat), "Only the lead")

    def test_the_lead_sees_who_has_not_answered_and_answers_for_them(self):
        response = self.open(self.liam)
        self.assertContains(response, "to answer by")
        self.assertContains(response, "Coming")
        self.assertContains(self.press("yes", by=self.liam), "Bob Carr comes")
        self.assertNotContains(self.open(self.liam), "to answer by")

    def test_whom_no_letter_reaches_is_to_be_telephoned(self):
        self.bob.user, self.bob.email, self.bob.phone = None, "", "028 555 0177"
        self.bob.save()
        response = self.open(self.liam)
        self.assertContains(response, "phone them: they keep the place")
        self.assertContains(response, "tel:0285550177")

    def test_other_volunteers_are_shown_no_buttons(self):
        self.assertNotContains(self.open(self.cat), "Not coming")
