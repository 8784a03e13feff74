"""The site's own calendars and calendar mail, in the hands of other readers."""

from datetime import UTC, datetime, timedelta
from email import message_from_bytes, policy
from io import StringIO

import ics
from dateutil.tz import tzical
from django.core import mail
from django.test import TestCase
from django.urls import reverse

from heritage.gatherings.call import services
from heritage.gatherings.models import Decision
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
)


class FeedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(name="Flax, flower & fibre; Lintholm")
        here = {"demonstration": cls.demonstration}
        cls.nora = make_organiser(**here)
        cls.evening = make_gathering(
            **here, title="Pulling; with Seán, by the lane", place="Gate\\2, the lane"
        )
        autumn = datetime(2026, 10, 27, 14, tzinfo=UTC)
        cls.after = make_gathering(
            **here,
            title="Scutching",
            starts_at=autumn,
            ends_at=autumn + timedelta(hours=2),
        )
        cls.held = make_sign_up(station=make_station(gathering=cls.evening))

    def feed(self, name="public", *args):
        url = reverse(f"diary:{name}", args=[self.demonstration.slug, *args])
        return self.client.get(url).content.decode()

    def read(self, text):
        return {event.uid: event for event in ics.Calendar(text).events}

    def call_off(self):
        with self.captureOnCommitCallbacks(execute=True):
            services.make_call(
                gathering=self.evening,
                readings={},
                decision=Decision.OFF,
                why_off="wet_crop",
                by=self.nora.user,
                now=NOW,
                note="Too wet.",
            )

    def test_another_parser_reads_both_calendars(self):
        everything = self.read(self.feed())
        mine = self.read(self.feed("private", self.held.volunteer.calendar_key))
        assert set(everything) == {self.evening.uid, self.after.uid}
        assert set(mine) == {self.evening.uid}
        event = everything[self.evening.uid]
        assert event.name == f"{self.evening.title}, {self.demonstration.name}"
        assert event.location == "Gate\\2, the lane, Lintholm"
        assert event.begin.datetime == self.evening.starts_at
        assert event.end.datetime == self.evening.ends_at

    def test_another_parser_sees_what_is_called_off(self):
        self.call_off()
        events = self.read(self.feed())
        assert events[self.evening.uid].status == "CANCELLED"
        assert events[self.after.uid].status == "CONFIRMED"

    def test_another_reader_of_zones_finds_the_hour_before_and_after_the_change(self):
        text = self.feed()
        block = text[text.index("BEGIN:VTIMEZONE") : text.index("BEGIN:VEVENT")]
        zone = tzical(StringIO(block.replace("\r\n", "\n"))).get()
        for row, clock in ((self.evening, "18:30"), (self.after, "14:00")):
            assert f"{row.starts_at.astimezone(zone):%H:%M}" == clock
            local = row.starts_at.astimezone(self.demonstration.zone)
            assert local.replace(tzinfo=zone).astimezone(UTC) == row.starts_at

    def test_the_calendar_in_a_letter_is_read_back(self):
        self.call_off()
        (letter,) = mail.outbox
        sent = letter.message().as_bytes(linesep="\r\n")
        parts = message_from_bytes(sent, policy=policy.default).walk()
        (part,) = [p for p in parts if p.get_content_type() == "text/calendar"]
        read = ics.Calendar(part.get_content())
        assert read.method == part["Content-Type"].params["method"] == "CANCEL"
        (event,) = read.events
        assert (event.uid, event.status) == (self.evening.uid, "CANCELLED")
        assert event.begin.datetime == self.evening.starts_at
        assert {guest.email for guest in event.attendees} == set(letter.to)
