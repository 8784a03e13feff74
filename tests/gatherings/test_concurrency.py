"""Many at once: every place is given once, and the queue is in order of arrival."""

import threading
from datetime import timedelta
from unittest import mock

from django.db import connection, connections
from django.test import Client, override_settings
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings.ground.services import lock_gathering
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.gatherings.places import services as places
from heritage.people.models import Letter
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_station,
    make_volunteer,
)
from tests.rush import RushCase

PEOPLE, PLACES = 24, 5
CROWD, SPARE, DAY = 200, 20, timedelta(days=1)


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
        places.sign_up(station=self.station, volunteer=person, by=person.user, now=now)

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
        places.give_up(sign_up=entry, by=entry.volunteer.user, now=NOW)

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


@override_settings(
    TASKS={"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}
)
class CrowdTests(RushCase):
    """Two hundred press the button at the same moment, each in a browser of their own.

    Letters are written and wait for their worker, as on a site with many volunteers.
    """

    def make(self):
        now = clock.now()
        where = make_demonstration()
        self.gathering = make_gathering(
            demonstration=where, starts_at=now + DAY, ends_at=now + DAY * 1.1
        )
        station = make_station(gathering=self.gathering, places=PLACES)
        self.pressing = []
        for _ in range(CROWD):
            person, browser = make_volunteer(demonstration=where), Client()
            browser.force_login(person.user)
            said = {"station": station.pk, "volunteer": person.pk}
            self.pressing.append((browser, said))

    def workers(self):
        """Let in as many at a time as a server would: on PostgreSQL all of them.

        SQLite's waiting is first come, last served, so a site on it has few threads.
        """
        self.require_connections()
        return threading.Semaphore(CROWD if connection.vendor != "sqlite" else 40)

    def require_connections(self):
        """Ask PostgreSQL for a connection for each."""
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SHOW max_connections")
                most = int(cursor.fetchone()[0])
            if most < CROWD + SPARE:
                self.fail(
                    f"This PostgreSQL lets {most} connections in and the test takes "
                    f"{CROWD + SPARE}: start it with -c max_connections=300."
                )

    def test_two_hundred_ask_for_five_places(self):
        slug, workers = self.gathering.demonstration.slug, self.workers()
        url = reverse("gatherings:sign_up", args=[slug, self.gathering.pk])
        arrived, answers, names = [], [], {}

        def hold_and_say(gathering):
            held = lock_gathering(gathering)
            # The lock is ours alone from here to the commit.
            arrived.append(threading.get_ident())
            return held

        def press(number):
            browser, said = self.pressing[number]
            names[threading.get_ident()] = said["volunteer"]
            with workers:
                answers.append(browser.post(url, said).status_code)
                connections.close_all()

        with mock.patch.object(places, "lock_gathering", hold_and_say):
            self.together(press, CROWD)
        rows = self.rows_of(SignUp.objects.order_by("pk"))
        assert answers == [302] * CROWD
        assert [row.volunteer_id for row in rows] == [names[one] for one in arrived]
        waiting = [SignUpStatus.WAITING] * (CROWD - PLACES)
        assert [row.status for row in rows] == [SignUpStatus.HELD] * PLACES + waiting
        assert [row.asked_at for row in rows] == sorted(row.asked_at for row in rows)
        told = self.rows_of(Letter.objects.values_list("volunteer", flat=True))
        assert sorted(told) == sorted(names.values())
