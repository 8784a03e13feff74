"""Many at once: every place is given once, and the queue is in order of arrival."""

import threading
from datetime import timedelta
from unittest import mock

from heritage.gatherings import mail, services
from heritage.gatherings.models import SignUp, SignUpStatus
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_station,
    make_volunteer,
)
from tests.rush import RushCase

PEOPLE, PLACES = 24, 5
# Forty at a time, as a site's workers are: PostgreSQL lets a hundred in by default.
CROWD, WORKERS = 200, 40


class AtOnceCase(RushCase):
    """A station of five places, and more people than that who ask at once."""

    count = PEOPLE

    def make(self):
        where = make_demonstration()
        gathering = make_gathering(demonstration=where)
        self.station = make_station(gathering=gathering, places=PLACES)
        self.people = [make_volunteer(demonstration=where) for _ in range(self.count)]

    def ask(self, number):
        """Ask for a place; who pressed when is no guide to who came first."""
        person = self.people[number]
        now = NOW + timedelta(seconds=number * 7 % 11)
        services.sign_up(
            station=self.station, volunteer=person, by=person.user, now=now
        )

    def rows(self):
        related = SignUp.objects.select_related("gathering", "volunteer__user")
        return self.rows_of(related.order_by("pk"))

    def require_order(self):
        """Five hold a place, and the rest wait in the order they were let in."""
        rows = self.rows()
        waiting = [SignUpStatus.WAITING] * (self.count - PLACES)
        assert [row.status for row in rows] == [SignUpStatus.HELD] * PLACES + waiting
        asked = [row.asked_at for row in rows]
        assert asked == sorted(asked)
        assert len({row.volunteer_id for row in rows}) == self.count


class FewPlacesTests(AtOnceCase):
    def give_up(self, entry):
        services.give_up(sign_up=entry, by=entry.volunteer.user, now=NOW)

    def test_five_places_go_to_the_first_five_of_twenty_four(self):
        self.together(self.ask, PEOPLE)
        self.require_order()

    def test_places_given_up_at_once_go_to_the_longest_waiting(self):
        self.together(self.ask, PEOPLE)
        before = self.rows()
        held = before[:PLACES]
        queue = sorted(before[PLACES:], key=lambda row: row.asked_at)
        self.together(lambda number: self.give_up(held[number]), PLACES)
        now_held = {row.pk for row in self.rows() if row.status == SignUpStatus.HELD}
        assert now_held == {row.pk for row in queue[:PLACES]}


class CrowdTests(AtOnceCase):
    """Two hundred who press at the same moment, forty of them let in at a time."""

    count = CROWD

    def test_two_hundred_ask_for_five_places(self):
        asking, turn = iter(range(CROWD)), threading.Lock()

        def work(_):
            while True:
                with turn:
                    number = next(asking, None)
                if number is None:
                    return
                self.ask(number)

        # What a letter takes is its own queue's business: people/test_letters_rush.py.
        with mock.patch.object(mail, "signed_up") as told:
            self.together(work, WORKERS)
        self.require_order()
        assert told.call_count == CROWD
