"""Taking, giving up and moving places."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings.models import GatheringStatus, SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.people.models import AgeBand
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
    make_user,
    make_volunteer,
)
from tests.reading_mail import calendar_methods


def ask(station, volunteer, *, by=None, now=NOW):
    by = by or volunteer.user
    return services.sign_up(station=station, volunteer=volunteer, by=by, now=now)


class SignUpTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.organiser = make_organiser(demonstration=cls.demonstration)
        cls.gathering = make_gathering(demonstration=cls.demonstration)
        cls.station = make_station(gathering=cls.gathering, places=1)
        cls.ann, cls.bob, cls.cat = (
            make_volunteer(demonstration=cls.demonstration) for _ in range(3)
        )

    def test_places_fill_before_the_queue_starts(self):
        statuses = [ask(self.station, one).status for one in (self.ann, self.bob)]
        assert statuses == [SignUpStatus.HELD, SignUpStatus.WAITING]

    def test_nobody_overtakes_the_queue(self):
        """A place made free behind the queue's back still belongs to the queue."""
        make_sign_up(
            station=self.station, volunteer=self.ann, status=SignUpStatus.WAITING
        )
        assert ask(self.station, self.bob).status == SignUpStatus.WAITING

    def test_a_place_comes_with_a_letter_and_its_calendar_entry(self):
        with self.captureOnCommitCallbacks(execute=True):
            ask(self.station, self.ann)
        (letter,) = mail.outbox
        assert letter.to == [self.ann.email]
        assert "You have a place at" in letter.body
        assert calendar_methods(letter) == ["REQUEST"]

    def test_a_turn_comes_with_a_letter_without_a_calendar_entry(self):
        ask(self.station, self.ann)
        with self.captureOnCommitCallbacks(execute=True):
            ask(self.station, self.bob)
        (letter,) = mail.outbox
        assert "waiting list" in letter.body
        assert calendar_methods(letter) == []

    def test_nobody_signs_up_twice(self):
        ask(self.station, self.ann)
        with pytest.raises(ValidationError, match="signed up already"):
            ask(make_station(gathering=self.gathering), self.ann)

    def test_who_gave_up_may_ask_again(self):
        entry = ask(self.station, self.ann)
        services.give_up(sign_up=entry, by=self.ann.user, now=NOW)
        assert ask(self.station, self.ann).status == SignUpStatus.HELD

    def test_refused_once_it_has_begun(self):
        with pytest.raises(ValidationError, match="has begun"):
            ask(self.station, self.ann, now=self.gathering.starts_at)

    def test_refused_when_called_off(self):
        self._set_status(GatheringStatus.CALLED_OFF)
        with pytest.raises(ValidationError, match="called off"):
            ask(self.station, self.ann)

    def test_refused_as_a_draft(self):
        self._set_status(GatheringStatus.DRAFT)
        with pytest.raises(ValidationError, match="This gathering isn't posted yet"):
            ask(self.station, self.ann)

    def test_refused_for_somebody_else(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            ask(self.station, self.ann, by=self.bob.user)

    def test_refused_for_a_volunteer_of_another_place(self):
        stranger = make_volunteer()
        with pytest.raises(ValidationError, match="Choose somebody on the list"):
            ask(self.station, stranger)

    def test_refused_for_who_has_left(self):
        self.ann.left_at = NOW
        with pytest.raises(ValidationError, match="Choose somebody on the list"):
            ask(self.station, self.ann)

    def test_a_guardian_asks_for_a_child(self):
        child = self._child(AgeBand.FROM_13)
        assert ask(self.station, child, by=self.ann.user).status == SignUpStatus.HELD

    def test_the_organiser_and_the_lead_ask_for_people_on_paper(self):
        paper = make_volunteer(demonstration=self.demonstration, user=None)
        assert ask(self.station, paper, by=self.organiser.user)
        self.gathering.lead = self.bob
        self.gathering.save()
        other = make_volunteer(demonstration=self.demonstration, user=None)
        assert ask(self.station, other, by=self.bob.user)

    def test_a_stranger_may_not_ask(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            ask(self.station, self.ann, by=make_user())

    def test_the_organisers_least_age_holds(self):
        station = make_station(
            gathering=self.gathering, least_age=AgeBand.ADULT, title="Carters"
        )
        with pytest.raises(ValidationError, match="Carters is for those of 18"):
            ask(station, self._child(AgeBand.FROM_16), by=self.ann.user)

    def test_the_rules_least_age_holds_whatever_the_organiser_asks(self):
        station = make_station(
            gathering=self.gathering, kind="feed", least_age=AgeBand.UNDER_13
        )
        with pytest.raises(ValidationError, match="Nobody under 16"):
            ask(station, self._child(AgeBand.FROM_13), by=self.ann.user)

    def test_the_briefing_comes_first(self):
        version = make_briefing_version(
            briefing=make_briefing(demonstration=self.demonstration)
        )
        station = make_station(gathering=self.gathering, briefing=version.briefing)
        with pytest.raises(ValidationError, match=version.briefing.title) as refused:
            ask(station, self.ann)
        assert refused.value.code == "briefing"
        make_acknowledgement(version=version, volunteer=self.ann)
        assert ask(station, self.ann).status == SignUpStatus.HELD

    def _child(self, age_band):
        return make_volunteer(
            demonstration=self.demonstration,
            user=None,
            guardian=self.ann,
            age_band=age_band,
            name="Torin Lorne",
        )

    def _set_status(self, status):
        self.gathering.status = status
        self.gathering.save()


class GiveUpTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.gathering = make_gathering(demonstration=cls.demonstration)
        cls.station = make_station(gathering=cls.gathering, places=1)
        cls.people = [make_volunteer(demonstration=cls.demonstration) for _ in range(3)]
        cls.entries = [
            make_sign_up(
                station=cls.station,
                volunteer=person,
                status=SignUpStatus.WAITING if turn else SignUpStatus.HELD,
                asked_at=NOW + timedelta(minutes=turn),
            )
            for turn, person in enumerate(cls.people)
        ]

    def give_up(self, turn, *, by=None, now=NOW):
        by = by or self.people[turn].user
        return services.give_up(sign_up=self.entries[turn], by=by, now=now)

    def statuses(self):
        rows = SignUp.objects.filter(station=self.station).order_by("asked_at")
        return [row.status for row in rows]

    def test_the_first_in_the_queue_moves_up_and_is_told(self):
        with self.captureOnCommitCallbacks(execute=True):
            self.give_up(0)
        assert self.statuses() == ["given_up", "held", "waiting"]
        assert [letter.to for letter in mail.outbox] == [
            [self.people[0].email],
            [self.people[1].email],
        ]
        assert calendar_methods(mail.outbox[0]) == ["CANCEL"]
        assert "come free" in mail.outbox[1].subject

    def test_leaving_the_queue_moves_nobody(self):
        with self.captureOnCommitCallbacks(execute=True):
            self.give_up(1)
        assert self.statuses() == ["held", "given_up", "waiting"]
        assert mail.outbox == []

    def test_giving_up_twice_is_giving_up_once(self):
        self.give_up(0)
        self.give_up(0)
        assert self.statuses() == ["given_up", "held", "waiting"]

    def test_refused_for_somebody_else(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.give_up(0, by=self.people[1].user)

    def test_refused_when_it_is_over(self):
        with pytest.raises(ValidationError, match="is over"):
            self.give_up(0, now=self.gathering.ends_at)

    def test_nobody_moves_up_while_it_is_called_off(self):
        self.gathering.status = GatheringStatus.CALLED_OFF
        self.gathering.save()
        self.give_up(0)
        assert self.statuses() == ["given_up", "waiting", "waiting"]

    def test_a_shared_calendar_keeps_the_entry_while_somebody_comes(self):
        child = make_volunteer(
            demonstration=self.demonstration,
            user=None,
            guardian=self.people[0],
            age_band=AgeBand.FROM_13,
            name="Torin Lorne",
        )
        make_sign_up(station=make_station(gathering=self.gathering), volunteer=child)
        with self.captureOnCommitCallbacks(execute=True):
            self.give_up(0)
        assert calendar_methods(mail.outbox[0]) == []


class MoveTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.lead = make_volunteer(demonstration=cls.demonstration)
        cls.gathering = make_gathering(demonstration=cls.demonstration, lead=cls.lead)
        cls.pull = make_station(gathering=cls.gathering, places=1)
        cls.tie = make_station(gathering=cls.gathering, places=1)
        cls.held = make_sign_up(station=cls.pull)
        cls.waiting = make_sign_up(
            station=cls.pull,
            status=SignUpStatus.WAITING,
            asked_at=NOW + timedelta(minutes=1),
        )

    def move(self, entry, station, *, by=None, now=NOW):
        by = by or self.lead.user
        return services.move(sign_up=entry, station=station, by=by, now=now)

    def test_moving_frees_a_place_for_the_queue(self):
        self.move(self.held, self.tie)
        self.waiting.refresh_from_db()
        assert self.waiting.status == SignUpStatus.HELD

    def test_the_lead_may_take_somebody_out_of_the_queue(self):
        with self.captureOnCommitCallbacks(execute=True):
            moved = self.move(self.waiting, self.tie)
        assert (moved.station, moved.status) == (self.tie, SignUpStatus.HELD)
        assert self.tie.title in mail.outbox[0].body

    def test_a_full_station_takes_nobody(self):
        make_sign_up(station=self.tie)
        with pytest.raises(ValidationError, match="is full"):
            self.move(self.held, self.tie)

    def test_moving_to_the_same_station_changes_nothing(self):
        assert self.move(self.held, self.pull) == self.held

    def test_only_the_lead_moves_people(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.move(self.held, self.tie, by=self.held.volunteer.user)

    def test_who_has_given_up_is_not_moved(self):
        self.held.status = SignUpStatus.GIVEN_UP
        self.held.save()
        with pytest.raises(ValidationError, match="given up"):
            self.move(self.held, self.tie)

    def test_a_station_of_another_gathering_is_refused(self):
        with pytest.raises(ValidationError, match="another gathering"):
            self.move(self.held, make_station())
