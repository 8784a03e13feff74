"""Several moves at once: each looked at again, and nobody told twice."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings.models import SignUpStatus
from heritage.gatherings.places import services as places_services
from heritage.gatherings.rearranging import selectors, services
from heritage.gatherings.rearranging.services import PlannedMove
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_briefing,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)

HOUR = timedelta(hours=1)


class MovesCase(TestCase):
    """Two pull who would tie; Tie needs one and has none; Cat waits for the pulling."""

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.demonstration)
        cls.gathering = make_gathering(demonstration=cls.demonstration)
        here = {"gathering": cls.gathering}
        cls.pull = make_station(title="Pull", places=2, **here)
        cls.tie = make_station(title="Tie", kind="tie", places=1, fewest=1, **here)
        cls.ann = cls.enter(cls.pull, 0, cls.tie, name="Ann Rush")
        cls.bob = cls.enter(cls.pull, 1, cls.tie, name="Bob Carr")
        cls.cat = cls.enter(cls.pull, 2, status="waiting", name="Cat Dow")

    @classmethod
    def enter(cls, station, minutes, *also, status="held", **person):
        who = make_volunteer(demonstration=cls.demonstration, **person)
        entry = make_sign_up(
            station=station,
            volunteer=who,
            status=status,
            asked_at=NOW + timedelta(minutes=minutes),
        )
        entry.also.set(also)
        return entry

    def read(self, now=NOW):
        return selectors.suggestion(self.gathering, now)

    def rearrange(self, *moves, by=None, now=NOW):
        planned = [PlannedMove(e.pk, e.station_id, to.pk) for e, to in moves]
        with self.captureOnCommitCallbacks(execute=True):
            return services.rearrange(
                gathering=self.gathering,
                moves=planned,
                by=(by or self.nora).user,
                now=now,
            )

    def where(self, *entries):
        for entry in entries:
            entry.refresh_from_db()
        return [f"{entry.station.title} {entry.status}" for entry in entries]


class BarredTests(MovesCase):
    def test_who_waits_and_may_not_keeps_nobody_from_being_moved_there(self):
        self.pull.places, self.pull.least_age = 3, "adult"
        self.pull.save()
        self.cat.volunteer.age_band = "from_13"
        self.cat.volunteer.guardian = self.nora
        self.cat.volunteer.save()
        dan = self.enter(self.tie, 3, self.pull, name="Dan Fee")
        done = self.rearrange((dan, self.pull))
        assert done.refused == []
        assert self.where(dan, self.cat) == ["Pull held", "Pull waiting"]

    def test_who_waits_and_may_does(self):
        self.pull.places = 3
        self.pull.save()
        dan = self.enter(self.tie, 3, self.pull, name="Dan Fee")
        [reason] = self.rearrange((dan, self.pull)).refused
        assert "Pull is full" in reason
        assert self.where(dan, self.cat) == ["Tie held", "Pull held"]


class SuggestionTests(MovesCase):
    def test_it_fills_the_gap_and_says_why(self):
        page = self.read()
        (move,) = page.moves
        assert (move.sign_up, move.to) == (self.bob, self.tie)
        assert move.reason == "Tie has fewer than it needs."
        assert not move.waited
        assert page.moved_up == [self.cat]
        assert (page.short_before, page.short_after, page.gaps) == (1, 0, [])

    def test_who_waits_may_be_given_what_they_also_wish(self):
        self.cat.also.add(self.tie)
        (move,) = self.read().moves
        assert (move.sign_up, move.waited) == (self.cat, True)

    def test_it_says_what_a_place_for_who_waits_is_good_for(self):
        self.cat.also.add(self.tie)
        self.tie.fewest = 0
        self.tie.save()
        assert self.read().moves[0].reason == "Pull is full; a place here is free."

    def test_it_says_when_a_move_makes_room_for_somebody(self):
        self.tie.fewest = 0
        self.tie.save()
        (move,) = self.read().moves
        assert move.reason == "It makes room at Pull for somebody else."

    def test_who_may_not_is_named_where_a_station_stays_short(self):
        self.tie.briefing = make_briefing(demonstration=self.demonstration)
        self.tie.save()
        page = self.read()
        (gap,) = page.gaps
        assert (page.moves, gap.station, gap.missing) == ([], self.tie, 1)
        assert gap.not_yet == ["Ann Rush", "Bob Carr"]

    def test_a_child_and_the_adult_beside_it_stay_together(self):
        self.bob.volunteer.guardian = self.ann.volunteer
        self.bob.volunteer.age_band = AgeBand.FROM_13
        self.bob.volunteer.save()
        assert self.read().moves == []

    def test_a_child_apart_from_its_adult_may_move(self):
        nora = self.nora
        self.bob.volunteer.guardian = nora
        self.bob.volunteer.save()
        assert len(self.read().moves) == 1

    def test_who_has_yet_to_answer_is_not_moved_as_well(self):
        self.bob.answer_by = NOW + HOUR
        self.bob.save()
        assert self.read().moves[0].sign_up == self.ann

    def test_it_is_open_until_it_begins(self):
        assert self.read().is_open
        assert not self.read(self.gathering.starts_at).is_open

    def test_it_costs_the_same_for_many_as_for_few(self):
        for count in (0, 30):
            for number in range(count):
                self.enter(self.pull, 9 + number, self.tie, status="waiting")
            with self.assertNumQueries(3):
                self.read()


class RearrangeTests(MovesCase):
    def test_a_move_is_made_the_queue_moves_up_and_each_is_told_once(self):
        found = self.rearrange((self.bob, self.tie))
        assert (found.done, found.refused) == ([self.bob], [])
        assert self.where(self.bob, self.cat) == ["Tie held", "Pull held"]
        assert self.bob.also.count() == 0
        told = {letter.to[0]: letter.subject for letter in mail.outbox}
        assert len(told) == len(mail.outbox) == 2
        assert "Your place" in told[self.bob.volunteer.email]
        assert "come free" in told[self.cat.volunteer.email]

    def test_two_may_change_places_where_all_is_full(self):
        self.cat.delete()
        tier = self.enter(self.tie, 3, self.pull, name="Dan Orr")
        found = self.rearrange((self.bob, self.tie), (tier, self.pull))
        assert found.refused == []
        assert self.where(self.bob, tier) == ["Tie held", "Pull held"]

    def test_who_waited_is_asked_whether_they_come(self):
        self.cat.also.add(self.tie)
        self.rearrange((self.cat, self.tie))
        assert self.where(self.cat) == ["Tie held"]
        assert self.cat.answer_by == NOW + 12 * HOUR
        assert "come free" in mail.outbox[0].subject

    def test_full_since_the_move_is_left_out_and_said(self):
        self.enter(self.tie, 3)
        found = self.rearrange((self.bob, self.tie))
        assert found.done == []
        assert "Tie is full: Bob Carr was left" in found.refused[0]
        assert self.where(self.bob, self.cat) == ["Pull held", "Pull waiting"]

    def test_of_two_for_one_place_the_first_is_moved(self):
        found = self.rearrange((self.ann, self.tie), (self.bob, self.tie))
        assert found.done == [self.ann]
        assert len(found.refused) == 1

    def test_nobody_passes_somebody_who_waits_there(self):
        tier = self.enter(self.tie, 3, self.pull)
        found = self.rearrange((tier, self.pull))
        assert "Pull is full" in found.refused[0]

    def test_a_chain_falls_when_its_first_link_does(self):
        """Ann cannot go, so there is no room for who would come after her."""
        self.cat.delete()
        tier = self.enter(self.tie, 3, self.pull, name="Dan Orr")
        self.ann.also.remove(self.tie)
        found = self.rearrange((self.ann, self.tie), (tier, self.pull))
        assert found.done == []
        assert "would not work at Tie any more" in found.refused[0]
        assert "Pull is full" in found.refused[1]

    def test_moved_since_given_up_since_or_not_allowed_any_more(self):
        bob, ann = self.bob, self.ann
        moves = [(bob, self.tie), (ann, self.tie), (self.cat, self.tie)]
        self.cat.also.add(self.tie)
        self.cat.volunteer.age_band = AgeBand.UNDER_13
        self.cat.volunteer.guardian = self.nora
        self.cat.volunteer.save()
        places_services.give_up(sign_up=ann, by=self.nora.user, now=NOW)
        stand = make_station(gathering=self.gathering, title="Stand")
        planned = [PlannedMove(e.pk, self.pull.pk, to.pk) for e, to in moves]
        places_services.move(sign_up=bob, station=stand, by=self.nora.user, now=NOW)
        found = services.rearrange(
            gathering=self.gathering, moves=planned, by=self.nora.user, now=NOW
        )
        assert found.done == []
        assert "moved since" in found.refused[0]
        assert "given up" in found.refused[1]
        assert len(found.refused) == 3

    def test_a_station_that_is_not_there_is_refused(self):
        elsewhere = make_station()
        assert self.rearrange((self.bob, elsewhere)).done == []

    def test_only_the_lead_moves_people(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.rearrange((self.bob, self.tie), by=self.ann.volunteer)

    def test_not_once_it_has_begun(self):
        with pytest.raises(ValidationError, match="has begun"):
            self.rearrange((self.bob, self.tie), now=self.gathering.starts_at)

    def test_what_is_suggested_can_be_carried_out(self):
        page = self.read()
        found = self.rearrange(*[(move.sign_up, move.to) for move in page.moves])
        assert found.refused == []
        assert self.read().short_after == 0
        assert self.where(self.cat) == ["Pull held"]
        assert self.cat.status == SignUpStatus.HELD
