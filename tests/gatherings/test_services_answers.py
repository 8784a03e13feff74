"""Moving up with a time to answer, answering, and what lapses."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.gatherings import models as gatherings_models
from heritage.gatherings.call import services as call_services
from heritage.gatherings.models import GatheringStatus, SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.gatherings.selectors import gathering_page
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)

HOUR = timedelta(hours=1)
HELD, WAITING, GIVEN_UP = "held", "waiting", "given_up"


class QueueCase(TestCase):
    """Ann holds the one place; Bob waits for it, and Cat after him."""

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(answer_hours=12)
        cls.nora = make_organiser(demonstration=cls.demonstration)
        cls.gathering = make_gathering(demonstration=cls.demonstration)
        cls.start = cls.gathering.starts_at
        cls.pull = make_station(gathering=cls.gathering, places=1)
        cls.ann, cls.bob, cls.cat = (cls.volunteer() for _ in range(3))
        cls.held = make_sign_up(station=cls.pull, volunteer=cls.ann)
        cls.turn = cls.wait(cls.bob, 1)
        cls.later = cls.wait(cls.cat, 2)

    @classmethod
    def volunteer(cls, **fields):
        return make_volunteer(demonstration=cls.demonstration, **fields)

    @classmethod
    def wait(cls, volunteer, minutes):
        asked = NOW + timedelta(minutes=minutes)
        return make_sign_up(
            station=cls.pull, volunteer=volunteer, status=WAITING, asked_at=asked
        )

    def free(self, now=NOW):
        """Ann gives her place up, and Bob moves up."""
        services.give_up(sign_up=self.held, by=self.ann.user, now=now)
        self.turn.refresh_from_db()

    def states(self):
        """Return how Ann, Bob and Cat stand."""
        rows = (self.held, self.turn, self.later)
        for row in rows:
            row.refresh_from_db()
        return [row.status for row in rows]

    def answer(self, comes, *, by=None, now=NOW, entry=None):
        return services.answer(
            sign_up=entry or self.turn,
            comes=comes,
            by=(by or self.bob).user,
            now=now,
        )


class BarredTests(QueueCase):
    """Bob may no longer work at the station that he waits for."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.briefing = make_briefing(demonstration=cls.demonstration)
        version = make_briefing_version(briefing=cls.briefing)
        cls.pull.briefing = cls.briefing
        cls.pull.save()
        for person in (cls.ann, cls.cat):
            make_acknowledgement(version=version, volunteer=person)

    def hear(self):
        version = self.briefing.versions.latest("number")
        make_acknowledgement(version=version, volunteer=self.bob)

    def test_a_place_goes_past_them_and_they_keep_their_turn(self):
        self.free()
        assert self.states() == [GIVEN_UP, WAITING, HELD]

    def test_they_do_not_keep_a_newcomer_from_a_place(self):
        self.later.delete()
        self.free()
        services.sign_up(
            station=self.pull, volunteer=self.ann, by=self.ann.user, now=NOW
        )
        assert SignUp.objects.get(volunteer=self.ann, status=HELD)

    def test_once_they_have_heard_the_next_place_is_theirs_before_a_newcomers(self):
        self.later.delete()
        self.free()
        self.hear()
        back = services.sign_up(
            station=self.pull, volunteer=self.ann, by=self.ann.user, now=NOW
        )
        self.turn.refresh_from_db()
        assert (self.turn.status, back.status) == (HELD, WAITING)

    def test_once_they_have_heard_the_next_round_gives_it_to_them(self):
        self.later.delete()
        self.free()
        assert services.fill_queues(NOW) == 0
        self.hear()
        with self.captureOnCommitCallbacks(execute=True):
            assert services.fill_queues(NOW) == 1
        self.turn.refresh_from_db()
        assert (self.turn.status, self.turn.answer_by) == (HELD, NOW + 12 * HOUR)
        assert [letter.to for letter in mail.outbox] == [[self.bob.email]]

    def test_nobody_loses_a_place_to_somebody_who_could_not_have_it(self):
        self.later.delete()
        SignUp.objects.filter(pk=self.held.pk).update(answer_by=NOW)
        assert services.lapse_overdue(NOW + HOUR) == 0
        self.hear()
        assert services.lapse_overdue(NOW + HOUR) == 1
        self.turn.refresh_from_db()
        assert self.turn.status == HELD

    def test_somebody_is_moved_past_them(self):
        self.later.delete()
        self.free()
        other = make_station(gathering=self.gathering)
        dan = make_sign_up(station=other, volunteer=self.cat)
        services.move(sign_up=dan, station=self.pull, by=self.nora.user, now=NOW)
        dan.refresh_from_db()
        assert (dan.station, dan.status) == (self.pull, HELD)

    def test_they_read_themselves_why_it_goes_past_them(self):
        self.client.force_login(self.bob.user)
        here = [self.demonstration.slug, self.gathering.pk]
        page = self.client.get(reverse("gatherings:gathering", args=here))
        assert "Until then, free places go to the next person" in (
            page.content.decode()
        )

    def test_the_lead_reads_why_and_the_page_shows_the_place_as_free(self):
        self.later.delete()
        self.free()
        page = gathering_page(self.gathering, now=NOW, is_led=True)
        [unfit] = page.unfit
        assert (unfit.place.volunteer, unfit.waits) == (self.bob, True)
        assert "has not heard the briefing" in unfit.reason
        assert page.stations[0].free == 1


class DeadlineTests(QueueCase):
    def test_it_is_so_many_hours_ahead(self):
        self.free()
        assert self.turn.answer_by == NOW + 12 * HOUR

    def test_it_is_never_later_than_two_hours_before_the_start(self):
        now = self.start - 6 * HOUR
        assert services.deadline(self.gathering, now) == self.start - 2 * HOUR

    def test_with_an_hour_left_somebody_is_still_asked(self):
        now = self.start - 3 * HOUR
        assert services.deadline(self.gathering, now) == self.start - 2 * HOUR

    def test_with_less_than_an_hour_left_the_place_is_simply_theirs(self):
        self.free(self.start - 3 * HOUR + timedelta(minutes=1))
        assert (self.turn.status, self.turn.answer_by) == (HELD, None)

    def test_whoever_takes_a_free_place_need_not_answer(self):
        free = make_station(gathering=self.gathering)
        who = self.volunteer()
        entry = services.sign_up(station=free, volunteer=who, by=who.user, now=NOW)
        assert (entry.status, entry.answer_by) == (HELD, None)


class AnswerTests(QueueCase):
    def test_yes_keeps_the_place(self):
        self.free()
        self.answer(True)
        assert self.states() == [GIVEN_UP, HELD, WAITING]
        assert self.turn.answer_by is None

    def test_no_gives_it_to_the_next_who_is_asked_in_turn(self):
        self.free()
        self.answer(False)
        assert self.states() == [GIVEN_UP, GIVEN_UP, HELD]
        assert self.later.answer_by == NOW + 12 * HOUR

    def test_yes_twice_changes_nothing(self):
        self.free()
        first = self.answer(True)
        again = self.answer(True, now=NOW + HOUR)
        assert again.changed_at == first.changed_at

    def test_a_late_yes_counts_while_the_place_is_still_theirs(self):
        services.give_up(sign_up=self.later, by=self.cat.user, now=NOW)
        self.free()
        self.answer(True, now=NOW + 13 * HOUR)
        assert (self.turn.status, self.states()[1]) == (HELD, HELD)

    def test_yes_after_it_went_says_how_to_ask_again(self):
        self.free()
        services.lapse_overdue(NOW + 12 * HOUR)
        with pytest.raises(ValidationError, match="gone to the next"):
            self.answer(True, now=NOW + 13 * HOUR)

    def test_the_lead_answers_for_people_and_nobody_else_does(self):
        self.free()
        with pytest.raises(ValidationError, match="Only the lead"):
            self.answer(True, by=self.cat)
        assert self.answer(True, by=self.nora).answer_by is None

    def test_a_yes_lets_other_places_lapse(self):
        self.free()
        tie = make_station(gathering=self.gathering, places=1)
        slow = make_sign_up(station=tie, volunteer=self.volunteer(), answer_by=NOW)
        make_sign_up(station=tie, volunteer=self.volunteer(), status=WAITING)
        self.answer(True, now=NOW + HOUR)
        slow.refresh_from_db()
        assert slow.status == GIVEN_UP


class LapseTests(QueueCase):
    def setUp(self):
        self.free()

    def lapse(self, hours):
        with self.captureOnCommitCallbacks(execute=True):
            return services.lapse_overdue(NOW + hours * HOUR)

    def test_an_unanswered_place_goes_to_the_next_and_both_are_told(self):
        assert self.lapse(12) == 1
        assert self.states() == [GIVEN_UP, GIVEN_UP, HELD]
        assert self.later.answer_by == min(NOW + 24 * HOUR, self.start - 2 * HOUR)
        subjects = {letter.to[0]: letter.subject for letter in mail.outbox}
        assert "Place passed on" in subjects[self.bob.email]
        assert "place has come free" in subjects[self.cat.email]

    def test_not_a_minute_before(self):
        assert services.lapse_overdue(NOW + 12 * HOUR - timedelta(minutes=1)) == 0
        assert self.states()[1] == HELD

    def test_who_answered_keeps_the_place(self):
        self.answer(True)
        assert self.lapse(13) == 0

    def test_a_place_nobody_else_wants_does_not_lapse(self):
        services.give_up(sign_up=self.later, by=self.cat.user, now=NOW)
        assert self.lapse(13) == 0
        assert self.states()[1] == HELD

    def test_a_newcomer_is_given_the_place_that_was_not_answered_for(self):
        services.give_up(sign_up=self.later, by=self.cat.user, now=NOW)
        new = self.volunteer()
        entry = services.sign_up(
            station=self.pull, volunteer=new, by=new.user, now=NOW + 13 * HOUR
        )
        assert (entry.status, entry.answer_by) == (HELD, None)
        assert self.states()[1] == GIVEN_UP

    def test_a_free_place_elsewhere_in_the_station_is_taken_first(self):
        services.give_up(sign_up=self.later, by=self.cat.user, now=NOW)
        self.pull.places = 2
        self.pull.save()
        new = self.volunteer()
        services.sign_up(
            station=self.pull, volunteer=new, by=new.user, now=NOW + 13 * HOUR
        )
        assert self.states()[1] == HELD

    def test_only_as_many_lapse_as_are_wanted_the_longest_overdue_first(self):
        self.pull.places = 2
        self.pull.save()
        who = self.volunteer()
        slower = make_sign_up(
            station=self.pull, volunteer=who, answer_by=NOW + 11 * HOUR
        )
        assert self.lapse(13) == 1
        slower.refresh_from_db()
        assert (slower.status, self.states()[1]) == (GIVEN_UP, HELD)

    def test_nobody_whom_no_letter_reaches_loses_a_place(self):
        self.bob.email, self.bob.user = "", None
        self.bob.save()
        assert self.lapse(13) == 0
        assert self.states()[1] == HELD
        assert self.turn.answer_by is not None, "the lead still has to ask"

    def test_a_child_is_reached_by_the_guardian(self):
        self.bob.email, self.bob.user, self.bob.guardian = "", None, self.ann
        self.bob.save()
        assert self.lapse(12) == 1

    def test_in_the_last_hour_nobody_loses_a_place(self):
        last = self.start - HOUR
        with self.captureOnCommitCallbacks(execute=True):
            assert services.lapse_overdue(last) == 0
            assert services.settle(self.gathering, last) == 0

    def test_called_off_nothing_lapses_and_on_again_the_time_starts_anew(self):
        self.gathering.status = GatheringStatus.CALLED_OFF
        self.gathering.save()
        assert self.lapse(13) == 0
        later = NOW + 13 * HOUR
        services.give_time_again(self.gathering, later)
        self.turn.refresh_from_db()
        assert self.turn.answer_by == self.start - 2 * HOUR

    def test_called_on_again_shortly_before_the_place_is_theirs(self):
        services.give_time_again(self.gathering, self.start - HOUR)
        assert not SignUp.objects.unanswered().exists()

    def test_given_up_places_wait_for_no_answer(self):
        services.give_up(sign_up=self.turn, by=self.bob.user, now=NOW)
        self.turn.refresh_from_db()
        assert self.turn.answer_by is None

    def test_moving_somebody_to_a_station_makes_way_there_alone(self):
        tie = make_station(gathering=self.gathering, places=1)
        slow = make_sign_up(station=tie, volunteer=self.volunteer(), answer_by=NOW)
        services.move(
            sign_up=self.turn, station=tie, by=self.nora.user, now=NOW + 13 * HOUR
        )
        slow.refresh_from_db()
        assert slow.status == GIVEN_UP
        assert self.states() == [GIVEN_UP, HELD, HELD]
        assert self.turn.station == tie
        assert self.turn.answer_by is not None, "being moved is no answer"


class CallTests(QueueCase):
    def test_a_call_that_puts_it_on_again_gives_time_again(self):
        self.free()
        for decision, hours in (("off", 1), ("go", 2)):
            call_services.make_call(
                gathering=self.gathering,
                readings={},
                decision=gatherings_models.Decision(decision),
                why_off="other" if decision == "off" else None,
                by=self.nora.user,
                now=NOW + hours * HOUR,
                note="The road was closed.",
            )
        self.turn.refresh_from_db()
        assert self.turn.answer_by == NOW + 14 * HOUR
        assert self.turn.status == SignUpStatus.HELD
