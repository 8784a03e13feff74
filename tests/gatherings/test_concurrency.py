"""Many at once: every place is given once, and the queue is in order of arrival."""

from datetime import timedelta

from heritage.gatherings import services
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


class RushTests(RushCase):
    def make(self):
        where = make_demonstration()
        gathering = make_gathering(demonstration=where)
        self.station = make_station(gathering=gathering, places=PLACES)
        self.people = [make_volunteer(demonstration=where) for _ in range(PEOPLE)]

    def ask(self, number):
        person = self.people[number]
        now = NOW + timedelta(seconds=number)
        services.sign_up(
            station=self.station, volunteer=person, by=person.user, now=now
        )

    def rows(self):
        related = SignUp.objects.select_related("gathering", "volunteer__user")
        return self.rows_of(related.order_by("pk"))

    def give_up(self, entry):
        services.give_up(sign_up=entry, by=entry.volunteer.user, now=NOW)

    def test_five_places_go_to_the_first_five_of_twenty_four(self):
        self.together(self.ask, PEOPLE)
        states = [row.status for row in self.rows()]
        waiting = [SignUpStatus.WAITING] * (PEOPLE - PLACES)
        assert states == [SignUpStatus.HELD] * PLACES + waiting

    def test_places_given_up_at_once_go_to_the_longest_waiting(self):
        self.together(self.ask, PEOPLE)
        before = self.rows()
        held = before[:PLACES]
        queue = sorted(before[PLACES:], key=lambda row: row.asked_at)
        self.together(lambda number: self.give_up(held[number]), PLACES)
        now_held = {row.pk for row in self.rows() if row.status == SignUpStatus.HELD}
        assert now_held == {row.pk for row in queue[:PLACES]}
