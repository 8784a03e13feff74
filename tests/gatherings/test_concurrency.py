"""Many at once: every place is given once, and the queue is in order of arrival."""

import sqlite3
import tempfile
import threading
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from unittest import mock

from django.db import connection, connections
from django.test import TransactionTestCase

from heritage.gatherings import services
from heritage.gatherings.models import SignUp, SignUpStatus
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_station,
    make_volunteer,
)

PEOPLE, PLACES = 24, 5


class RushTests(TransactionTestCase):
    def setUp(self):
        where = make_demonstration()
        gathering = make_gathering(demonstration=where)
        self.station = make_station(gathering=gathering, places=PLACES)
        self.people = [make_volunteer(demonstration=where) for _ in range(PEOPLE)]
        self.errors = []
        if connection.vendor == "sqlite" and connection.is_in_memory_db():
            self.use_a_file()

    def use_a_file(self):
        """Let other threads meet in a file, as the site's own processes do.

        SQLite in memory locks whole tables at once and waits for nobody.
        """
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        path = Path(folder.name) / "rush.sqlite3"
        with closing(sqlite3.connect(path)) as file:
            connection.connection.backup(file)
            file.execute("PRAGMA journal_mode=WAL")
        settings = connection.settings_dict | {"NAME": str(path)}
        patched = mock.patch.dict(connections.settings, default=settings)
        patched.start()
        self.addCleanup(patched.stop)

    def together(self, act, count):
        """Do something in many threads, all from the same moment."""
        start = threading.Barrier(count)

        def one(number):
            try:
                start.wait(60)
                act(number)
            except Exception as error:
                self.errors.append(error)
            finally:
                connections.close_all()

        threads = [threading.Thread(target=one, args=[n]) for n in range(count)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert self.errors == []

    def ask(self, number):
        person = self.people[number]
        now = NOW + timedelta(seconds=number)
        services.sign_up(
            station=self.station, volunteer=person, by=person.user, now=now
        )

    def rows(self):
        """Read what stands in the file, which this thread does not look into."""
        found = []
        related = SignUp.objects.select_related("gathering", "volunteer__user")
        self.together(lambda _: found.extend(related.order_by("pk")), 1)
        return found

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
