"""The day before: who is reminded, of what, and that it is once."""

from datetime import UTC, datetime, timedelta

from django.core import mail

from heritage.gatherings.letters import selectors as letters_selectors
from heritage.gatherings.letters import services
from heritage.gatherings.models import GatheringStatus, SignUpStatus
from heritage.people.models import Letter, LetterState
from tests.factories import (
    make_acknowledgement,
    make_gathering,
    make_letter,
    make_sign_up,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase
from tests.reading_mail import calendar_methods, words_of_html

# The evening is on Thursday 13 August, half past six; nine by summer time before it.
DUE = datetime(2026, 8, 12, 8, 0, tzinfo=UTC)
EARLIER = DUE - timedelta(days=3)


class ReminderCase(EveningCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        for entry in (cls.held, cls.turn):
            entry.asked_at = entry.changed_at = EARLIER
            entry.save()

    def setUp(self):
        self.at(DUE)

    def remind(self, now=DUE):
        mail.outbox.clear()
        with self.captureOnCommitCallbacks(execute=True):
            count = services.remind(now=now)
        assert count >= len(mail.outbox)
        return [letter.to[0] for letter in mail.outbox]

    def sign_up(self, station, volunteer, asked_at=EARLIER, **fields):
        return make_sign_up(
            station=station, volunteer=volunteer, asked_at=asked_at, **fields
        )


class WhenTests(ReminderCase):
    def test_it_goes_at_nine_there_on_the_day_before(self):
        assert letters_selectors.due_at(self.gathering) == DUE
        assert self.remind(DUE - timedelta(seconds=1)) == []
        assert self.remind(DUE) == [self.ann.email]

    def test_in_winter_nine_is_nine_too(self):
        starts = datetime(2026, 12, 10, 14, tzinfo=UTC)
        winter = make_gathering(
            demonstration=self.demonstration,
            starts_at=starts,
            ends_at=starts + timedelta(hours=2),
        )
        assert letters_selectors.due_at(winter) == datetime(2026, 12, 9, 9, tzinfo=UTC)

    def test_asked_again_nobody_is_reminded_twice(self):
        self.remind()
        assert self.remind() == []
        assert self.remind(DUE + timedelta(minutes=5)) == []
        assert Letter.objects.count() == 1

    def test_a_late_round_reminds_on_the_day_itself_and_says_so(self):
        assert self.remind(DUE + timedelta(hours=30)) == [self.ann.email]
        assert mail.outbox[0].subject == "Today: Pulling by the lane"
        assert "is today, and we're expecting you" in mail.outbox[0].body

    def test_nobody_is_reminded_who_may_have_set_out(self):
        assert self.remind(self.gathering.starts_at - timedelta(hours=2)) == []


class WhoTests(ReminderCase):
    def test_who_waits_is_not_reminded_nor_who_gave_up(self):
        self.sign_up(self.tie, self.cat, status=SignUpStatus.GIVEN_UP)
        assert self.remind() == [self.ann.email]

    def test_who_signed_up_since_needs_none(self):
        self.sign_up(self.tie, self.cat, asked_at=DUE)
        assert self.remind(DUE + timedelta(hours=1)) == [self.ann.email]

    def test_who_was_written_to_since_needs_none(self):
        make_letter(
            demonstration=self.demonstration,
            volunteer=self.ann,
            about=f"gathering {self.gathering.pk}",
            queued_at=DUE,
        )
        assert self.remind(DUE + timedelta(hours=1)) == []

    def test_nobody_is_reminded_of_what_is_called_off(self):
        self.gathering.status = GatheringStatus.CALLED_OFF
        self.gathering.save()
        assert self.remind() == []

    def test_a_household_gets_one_letter(self):
        self.sign_up(self.tie, self.torin)
        assert self.remind() == [self.ann.email]
        assert "Ann Rush: Pull" in mail.outbox[0].body
        assert "Torin Rush: Tie" in mail.outbox[0].body

    def test_a_household_is_not_reminded_again_when_its_adult_gives_up(self):
        self.sign_up(self.tie, self.torin)
        self.remind()
        self.held.status = SignUpStatus.GIVEN_UP
        self.held.save()
        assert self.remind() == []

    def test_two_on_paper_are_each_left_to_be_told(self):
        for name in ("Pat Moss", "Una Glen"):
            paper = make_volunteer(
                demonstration=self.demonstration, user=None, name=name
            )
            self.sign_up(self.tie, paper)
        assert self.remind() == [self.ann.email]
        rows = Letter.objects.in_states([LetterState.NO_ADDRESS])
        assert sorted(row.volunteer.name for row in rows) == ["Pat Moss", "Una Glen"]
        self.remind()
        assert rows.count() == 2


class WordsTests(ReminderCase):
    def test_it_says_what_is_needed_to_come(self):
        self.gathering.first_aider = self.cat
        self.gathering.save()
        self.remind()
        (letter,) = mail.outbox
        assert letter.subject == "Tomorrow: Pulling by the lane"
        for words in (
            "Hello Ann Rush,",
            "is tomorrow, and we're expecting you",
            "When: Thursday 13 August 2026, 18:30 to 20:30",
            "Where: The gate on the lane",
            "Ann Rush: Pull",
            "Bring: Gloves",
            "The light: sunset",
            "Lead: Liam Orr",
            "First-aider: Cat Dow",
            self.gathering.get_absolute_url(),
        ):
            assert words in letter.body
        assert "still to hear" not in letter.body
        assert words_of_html(letter.alternatives[0].content) == letter.body.split()
        assert calendar_methods(letter) == []

    def test_it_names_the_briefing_still_to_be_heard(self):
        self.sign_up(self.tie, self.torin)
        self.remind()
        assert "still to hear:\nTorin Rush: Pulling by hand" in mail.outbox[0].body

    def test_what_was_heard_is_not_asked_again(self):
        self.sign_up(self.tie, self.torin)
        make_acknowledgement(version=self.briefing.versions.get(), volunteer=self.torin)
        self.remind()
        assert "still to hear" not in mail.outbox[0].body


class CountTests(ReminderCase):
    def test_looking_again_costs_the_same_however_many_come(self):
        for more in (0, 8):
            for _ in range(more):
                person = make_volunteer(demonstration=self.demonstration)
                self.sign_up(self.tie, person)
            self.remind()
            with self.assertNumQueries(3):
                services.remind(now=DUE)
