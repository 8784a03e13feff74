"""A child under 13 has a place only beside the adult who answers for them."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.gatherings.rearranging import selectors
from heritage.people.models import AgeBand
from heritage.people.services import edit_volunteer
from heritage.privacy.merging.services import merge
from tests.factories import (
    NOW,
    make_gathering,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase

HELD, WAITING = SignUpStatus.HELD, SignUpStatus.WAITING
GIVEN_UP, NOT_COME = SignUpStatus.GIVEN_UP, SignUpStatus.NOT_COME


class ChildCase(EveningCase):
    """Ann, at pulling, answers for Una, under 13; Bob waits for pulling."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        here = {"demonstration": cls.demonstration}
        cls.una = make_volunteer(
            **here,
            name="Una Rush",
            user=None,
            guardian=cls.ann,
            age_band=AgeBand.UNDER_13,
        )
        cls.bands = make_station(
            gathering=cls.gathering,
            title="Lay bands",
            kind="lay_bands",
            places=1,
            least_age=AgeBand.UNDER_13,
        )

    def state(self, person):
        row = SignUp.objects.filter(gathering=self.gathering).by(person).last()
        return row and (row.status, row.station)

    def ask(self, person, station, by=None):
        return self.send(
            "sign_up",
            self.gathering.pk,
            by=by or self.ann,
            station=station.pk,
            volunteer=person.pk,
        )

    def give_up(self, entry, by=None, view="give_up", **data):
        sent = {"sign_up": entry.pk, "sure": "1"} | data
        return self.send(view, self.gathering.pk, by=by or self.ann, **sent)

    def beside(self, status=HELD):
        return make_sign_up(station=self.bands, volunteer=self.una, status=status)


@pytest.mark.any_database
class TakingTests(ChildCase):
    def test_beside_the_adult_s_place_a_child_has_one(self):
        self.ask(self.una, self.bands)
        assert self.state(self.una) == (HELD, self.bands)

    def test_without_the_adult_a_child_has_neither_a_place_nor_a_turn(self):
        self.give_up(self.held)
        for by in (self.ann, self.nora):
            response = self.ask(self.una, self.bands, by=by)
            self.assertContains(response, "Una Rush is under 13 and needs Ann Rush")
            assert self.state(self.una) is None

    def test_the_page_asks_for_the_adult_first_and_offers_one_form_for_both(self):
        self.give_up(self.held)
        page = self.page("gathering", self.gathering.pk, by=self.ann)
        self.assertContains(page, "needs Ann Rush there too", count=1)
        (una,) = [one for one in page.context["page"].mine if one.volunteer == self.una]
        assert una.open == []
        self.assertContains(page, "Take places for all of you")

    def test_from_13_they_may_come_by_themselves(self):
        self.give_up(self.held)
        stook = make_station(gathering=self.gathering, least_age=AgeBand.FROM_13)
        self.ask(self.torin, stook)
        assert self.state(self.torin) == (HELD, stook)

    def test_one_form_signs_both_up_whoever_is_named_first(self):
        self.give_up(self.held)
        row = make_station(gathering=self.gathering, title="Stook")
        asked = {f"station_{self.una.pk}": self.bands.pk}
        self.send("come", self.gathering.pk, by=self.ann, **asked)
        assert self.state(self.una) is None
        asked[f"station_{self.ann.pk}"] = row.pk
        self.send("come", self.gathering.pk, by=self.ann, **asked)
        assert self.state(self.ann) == (HELD, row)
        assert self.state(self.una) == (HELD, self.bands)

    def test_with_an_adult_who_waits_a_child_waits_also_where_there_is_room(self):
        self.give_up(self.held)
        self.ask(self.ann, self.pull)
        self.ask(self.una, self.bands)
        assert self.state(self.ann) == (WAITING, self.pull)
        assert self.state(self.una) == (WAITING, self.bands)
        page = self.page("gathering", self.gathering.pk, by=self.ann)
        self.assertContains(page, "Una Rush waits too")
        # The place goes to nobody meanwhile, so whoever asks for it has it.
        self.ask(self.cat, self.bands, by=self.cat)
        assert self.state(self.cat) == (HELD, self.bands)

    def test_at_the_gate_the_adult_is_given_a_station_first(self):
        self.give_up(self.held)
        start = self.gathering.starts_at
        self.at(start)
        for person in (self.ann, self.una):
            make_turnout(gathering=self.gathering, volunteer=person, arrived_at=start)
        sent = {"by": self.liam, "station": self.bands.pk}
        there = ("gate_station", self.gathering.pk, self.una.pk)
        self.assertContains(self.send(*there, **sent), "needs Ann Rush there too")
        assert self.state(self.una) is None
        other = make_station(gathering=self.gathering, title="Stook")
        self.send(
            "gate_station",
            self.gathering.pk,
            self.ann.pk,
            by=self.liam,
            station=other.pk,
        )
        self.send(*there, **sent)
        assert self.state(self.una) == (HELD, self.bands)


class GivingUpTests(ChildCase):
    def setUp(self):
        super().setUp()
        self.child = self.beside()

    def test_the_volunteer_is_asked_and_nothing_is_done_before(self):
        response = self.give_up(self.held)
        self.assertContains(response, "This child under 13 can't come without you")
        self.assertContains(response, "Una Rush, Lay bands")
        assert self.state(self.ann) == (HELD, self.pull)
        assert self.state(self.una) == (HELD, self.bands)

    def test_said_yes_both_are_given_up_and_the_queues_move(self):
        late = make_sign_up(station=self.bands, volunteer=self.cat, status=WAITING)
        page = self.give_up(self.held, children="too")
        words = "You have given up your place. No longer coming either: Una Rush."
        self.assertContains(page, words)
        assert self.state(self.ann) == (GIVEN_UP, self.pull)
        assert self.state(self.una) == (GIVEN_UP, self.bands)
        assert self.state(self.bob) == (HELD, self.pull)
        late.refresh_from_db()
        assert late.status == HELD

    def test_the_organiser_and_the_lead_are_asked_too(self):
        for by in (self.nora, self.liam):
            page = self.give_up(self.held, by=by)
            self.assertContains(page, "can't come without Ann Rush")
            assert self.state(self.una) == (HELD, self.bands)

    def test_who_answers_that_they_do_not_come_is_asked_too(self):
        SignUp.objects.filter(pk=self.held.pk).update(
            answer_by=NOW + timedelta(hours=1)
        )
        response = self.give_up(self.held, view="answer", comes="no")
        self.assertContains(response, "can't come without you")
        assert self.state(self.ann) == (HELD, self.pull)

    def test_the_child_s_alone_is_given_up_without_a_question(self):
        self.give_up(self.child)
        assert self.state(self.una) == (GIVEN_UP, self.bands)
        assert self.state(self.ann) == (HELD, self.pull)

    def test_an_adult_s_turn_is_not_left_to_a_child_that_waits(self):
        self.give_up(self.held, children="too")
        self.ask(self.ann, self.pull)
        self.ask(self.una, self.bands)
        turn = SignUp.objects.live().by(self.ann).get()
        self.assertContains(self.give_up(turn), "(on the waiting list)")
        self.give_up(turn, children="too")
        assert self.state(self.una) == (GIVEN_UP, self.bands)

    def test_a_place_that_lapses_takes_the_child_s_along(self):
        SignUp.objects.filter(pk=self.held.pk).update(answer_by=NOW)
        with self.captureOnCommitCallbacks(execute=True):
            assert services.lapse_overdue(NOW + timedelta(minutes=1)) == 2
        assert self.state(self.una) == (GIVEN_UP, self.bands)
        assert self.state(self.bob) == (HELD, self.pull)

    def test_moved_to_another_station_the_adult_is_there_still(self):
        stook = make_station(gathering=self.gathering, title="Stook")
        self.give_up(self.held, by=self.liam, view="move", station=stook.pk)
        assert self.state(self.ann) == (HELD, stook)
        assert self.state(self.una) == (HELD, self.bands)

    def test_an_adult_who_has_not_come_leaves_no_child_a_place(self):
        late = self.gathering.starts_at + timedelta(minutes=30)
        make_turnout(
            gathering=self.gathering,
            volunteer=self.una,
            arrived_at=self.gathering.starts_at,
        )
        self.at(late)
        self.send("free_places", self.gathering.pk, by=self.liam)
        assert self.state(self.ann) == (NOT_COME, self.pull)
        assert self.state(self.una) == (NOT_COME, self.bands)
        page = self.page("gathering", self.gathering.pk, by=self.liam)
        (una,) = page.context["on"].gate.here
        assert una.is_alone
        # The adult comes after all: both have theirs back.
        self.send("pass_gate", self.gathering.pk, by=self.liam, volunteer=self.ann.pk)
        assert self.state(self.ann) == (HELD, self.pull)
        assert self.state(self.una) == (HELD, self.bands)

    def test_the_guardian_is_not_changed_to_somebody_who_does_not_come(self):
        said = {"volunteer": self.una, "name": "Una Rush", "age_band": "under_13"}
        with pytest.raises(ValidationError, match="Cat Dow has none there"):
            edit_volunteer(**said, guardian=self.cat, now=NOW)
        self.una.refresh_from_db()
        make_sign_up(station=self.tie, volunteer=self.cat)
        edit_volunteer(**said, guardian=self.cat, now=NOW)
        assert self.una.guardian == self.cat

    def test_two_lines_of_the_adult_become_one_and_the_child_stays(self):
        for gone, kept in ((True, False), (False, True)):
            paper = make_volunteer(
                demonstration=self.demonstration, name="Ann Rush", user=None
            )
            other = make_station(gathering=self.gathering)
            make_sign_up(station=other, volunteer=paper)
            with transaction.atomic():
                both = {True: self.ann, False: paper}
                merge(gone=both[gone], kept=both[kept], by=self.nora.user, now=NOW)
                assert self.state(self.una) == (HELD, self.bands)
                assert not SignUp.objects.alone().exists()
                transaction.set_rollback(True)


class TogetherTests(ChildCase):
    """Ann and Una wait, she for pulling and Una for the bands."""

    def setUp(self):
        super().setUp()
        SignUp.objects.filter(pk__in=[self.held.pk, self.turn.pk]).delete()
        make_sign_up(station=self.pull, volunteer=self.bob)
        make_sign_up(station=self.bands, volunteer=self.cat)
        self.adult = make_sign_up(station=self.pull, volunteer=self.ann, status=WAITING)
        self.child = self.beside(WAITING)

    def leave(self, person):
        self.give_up(SignUp.objects.live().by(person).get(), by=person)

    def test_one_place_moves_neither_and_goes_to_whoever_is_behind(self):
        dan = make_volunteer(demonstration=self.demonstration, name="Dan Low")
        behind = make_sign_up(
            station=self.pull,
            volunteer=dan,
            status=WAITING,
            asked_at=NOW + timedelta(minutes=5),
        )
        self.leave(self.bob)
        assert self.state(self.ann) == (WAITING, self.pull)
        assert self.state(self.una) == (WAITING, self.bands)
        behind.refresh_from_db()
        assert behind.status == HELD

    def test_two_places_move_both(self):
        self.leave(self.cat)
        assert self.state(self.una) == (WAITING, self.bands)
        self.leave(self.bob)
        assert self.state(self.ann) == (HELD, self.pull)
        assert self.state(self.una) == (HELD, self.bands)

    def test_both_at_one_station_wait_for_two_places(self):
        SignUp.objects.filter(pk=self.child.pk).update(station=self.pull)
        self.pull.least_age = AgeBand.UNDER_13
        self.pull.save()
        self.leave(self.bob)
        assert self.state(self.ann) == (WAITING, self.pull)
        self.pull.places = 2
        self.pull.save()
        services.fill_queues(NOW)
        assert self.state(self.ann) == (HELD, self.pull)
        assert self.state(self.una) == (HELD, self.pull)

    def test_a_child_who_may_not_yet_keeps_the_adult_waiting(self):
        self.bands.briefing = self.briefing
        self.bands.save()
        self.leave(self.cat)
        self.leave(self.bob)
        assert self.state(self.ann) == (WAITING, self.pull)

    def test_the_lead_gives_a_child_no_place_before_the_adult(self):
        stook = make_station(
            gathering=self.gathering, title="Stook", least_age=AgeBand.UNDER_13
        )
        response = self.give_up(self.child, by=self.liam, view="move", station=stook.pk)
        self.assertContains(response, "moves up together with Ann Rush")
        assert self.state(self.una) == (WAITING, self.bands)

    def test_no_suggestion_parts_them(self):
        stook = make_station(gathering=self.gathering, title="Stook")
        self.adult.also.add(stook)
        assert selectors.suggestion(self.gathering, NOW).moves == []
        SignUp.objects.filter(pk=self.child.pk).delete()
        (move,) = selectors.suggestion(self.gathering, NOW).moves
        assert (move.sign_up, move.to) == (self.adult, stook)

    def test_nothing_lapses_for_a_party_that_one_place_does_not_serve(self):
        held = SignUp.objects.filter(volunteer=self.bob)
        held.update(answer_by=NOW)
        assert services.lapse_overdue(NOW + timedelta(minutes=1)) == 0
        assert self.state(self.bob) == (HELD, self.pull)


class DatabaseTests(ChildCase):
    """The rule holds whoever writes the row."""

    def refused(self):
        return pytest.raises(IntegrityError, match="sign_up_child_beside_adult")

    def test_no_child_is_entered_alone(self):
        elsewhere = make_gathering(demonstration=self.demonstration)
        station = make_station(gathering=elsewhere, least_age=AgeBand.UNDER_13)
        with self.refused(), transaction.atomic():
            make_sign_up(station=station, volunteer=self.una)
        turn = make_sign_up(station=station, volunteer=self.una, status=WAITING)
        with self.refused(), transaction.atomic():
            SignUp.objects.filter(pk=turn.pk).update(status=HELD)

    def test_no_child_is_left_alone(self):
        self.beside()
        for status in (GIVEN_UP, WAITING, NOT_COME):
            with self.refused(), transaction.atomic():
                SignUp.objects.filter(pk=self.held.pk).update(status=status)
