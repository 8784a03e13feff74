"""The feed at its largest, opened out by a reader of recurrences nobody here wrote."""

import subprocess
import sys
from datetime import UTC, datetime, timedelta

import icalendar
import ics
import pytest
import recurring_ical_events
from django.test import TestCase
from django.urls import reverse

from heritage.gatherings.models import GatheringStatus
from tests.factories import (
    make_demonstration,
    make_gathering,
    make_sign_up,
    make_station,
    make_volunteer,
)
from tests.kits.strict_ical import read

pytestmark = pytest.mark.any_database

MANY = 500
# Two a day from before the clocks go back in 2026 to after they go on in 2027,
# each hour of the day in turn: the hours that are skipped and doubled among them.
FIRST = datetime(2026, 9, 1, tzinfo=UTC)


class NumbersTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.fill(5)
        cls.url = reverse("diary:public", args=[cls.demonstration.slug])

    @classmethod
    def fill(cls, count):
        have = cls.demonstration.gatherings.count()
        for number in range(have, have + count):
            starts = FIRST + timedelta(days=number // 2, hours=number % 24)
            make_gathering(
                demonstration=cls.demonstration,
                title=f"Evening {number}",
                starts_at=starts,
                ends_at=starts + timedelta(hours=2),
            )

    def feed(self, **headers):
        return self.client.get(self.url, headers=headers)

    def test_five_hundred_cost_what_five_do_and_all_are_there(self):
        with self.assertNumQueries(2):
            self.feed()
        self.fill(MANY - 5)
        with self.assertNumQueries(2):
            answer = self.feed()
        rows = self.demonstration.gatherings.all()
        want = {row.uid: (row.starts_at, row.ends_at) for row in rows}
        assert len(want) == MANY
        self.check_by_our_reader(answer.content, want)
        self.check_by_another_parser(answer.content, want)
        self.check_opened_out(answer.content, want)
        assert self.feed().content == answer.content
        again = self.feed(if_none_match=answer["ETag"])
        assert (again.status_code, again.content) == (304, b"")

    def check_by_our_reader(self, feed, want):
        events = read(feed).named("VEVENT")
        assert {event["UID"].value for event in events} == set(want)

    def check_by_another_parser(self, feed, want):
        events = ics.Calendar(feed.decode()).events
        assert {event.uid for event in events} == set(want)

    def check_opened_out(self, feed, want):
        """Expand to occurrences, by the feed's own zone: each is when it is."""
        whole = icalendar.Calendar.from_ical(feed)
        found = recurring_ical_events.of(whole).between(
            FIRST - timedelta(days=1), FIRST + timedelta(days=400)
        )
        got = {
            str(one["UID"]): (
                one["DTSTART"].dt.astimezone(UTC),
                one["DTEND"].dt.astimezone(UTC),
            )
            for one in found
        }
        assert len(found) == len(want)
        assert got == want

    def test_an_evening_that_is_off_stays_so_when_opened_out(self):
        row = self.demonstration.gatherings.first()
        row.status, row.sequence = GatheringStatus.CALLED_OFF, 1
        row.save()
        whole = icalendar.Calendar.from_ical(self.feed().content)
        found = recurring_ical_events.of(whole).at(row.starts_at.date())
        states = {str(one["UID"]): str(one["STATUS"]) for one in found}
        assert states[row.uid] == "CANCELLED"

    def test_a_private_calendar_is_as_cheap(self):
        ann = make_volunteer(demonstration=self.demonstration)
        url = reverse("diary:private", args=[self.demonstration.slug, ann.calendar_key])
        for row in self.demonstration.gatherings.all():
            make_sign_up(station=make_station(gathering=row), volunteer=ann)
            with self.assertNumQueries(3):
                self.client.get(url)


SCRIPT = """
from datetime import UTC, datetime, timedelta
from heritage.kits.ical import Entry, calendar
start = datetime(2026, 10, 24, 18, tzinfo=UTC)
entries = [
    Entry(uid=f"{n}", stamp=start, starts=start + timedelta(days=n),
          ends=start + timedelta(days=n, hours=2), summary=f"Évening {n}",
          categories=["Pulling", "Retting"], url=f"https://flax.example.org/{n}")
    for n in range(9)
]
import sys
written = calendar(name="Flax", entries=entries, timezone="Europe/London")
sys.stdout.buffer.write(written)
"""


def test_two_processes_write_the_same_bytes():
    """Whatever seed their sets and dictionaries begin with."""
    written = {
        subprocess.run(  # noqa: S603
            [sys.executable, "-c", SCRIPT],
            capture_output=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "PATH": ""},
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(written) == 1
    assert written.pop().count(b"BEGIN:VEVENT") == 9
