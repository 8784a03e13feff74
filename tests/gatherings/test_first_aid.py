"""Who reads the notes on health, and when: everybody is tried."""

from datetime import timedelta
from unittest import mock

import pytest
from django.db import connection
from django.test import Client, TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings.asked import selectors
from heritage.gatherings.models import Gathering, SignUpStatus
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_health_note,
    make_organiser,
    make_sign_up,
    make_station,
    make_turnout,
    make_user,
    make_volunteer,
)
from tests.people.test_access import ours, path_to
from tests.people.world import make_keeper, make_world
from tests.responses import finish
from tests.sheets_once import one_sheet_for_all

SECRET = "Bees: the pen is in the left pocket."
CALL = "028 555 0199"
# On a page a number is never broken.
SHOWN = CALL.replace(" ", "\N{NO-BREAK SPACE}")
HALF_DAY = timedelta(hours=12)


class FirstAidCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        cls.nora = make_organiser(name="Nora Bell", **here)
        cls.ann = make_volunteer(
            name="Ann Rush",
            phone="028 555 0102",
            emergency_name="Pa Rush",
            emergency_phone=CALL,
            **here,
        )
        cls.lead, cls.aider, cls.steward, cls.cat, cls.gone = (
            make_volunteer(name=name, **here)
            for name in ("Liam Orr", "Fay Aid", "Stew Ward", "Cat Dow", "Gone Away")
        )
        cls.gone.left_at = NOW
        cls.gone.save(update_fields=["left_at"])
        cls.gathering = make_gathering(lead=cls.lead, first_aider=cls.aider, **here)
        cls.other = make_gathering(lead=cls.cat, first_aider=cls.cat, **here)
        cls.station = make_station(gathering=cls.gathering, places=9)
        gate = make_station(gathering=cls.gathering, kind="steward", least_age="adult")
        make_sign_up(station=cls.station, volunteer=cls.ann)
        make_sign_up(station=gate, volunteer=cls.steward)
        make_health_note(volunteer=cls.ann, text=SECRET)
        cls.strange = make_organiser()

    def at(self, moment):
        patched = mock.patch.object(clock, "now", return_value=moment)
        patched.start()
        self.addCleanup(patched.stop)

    def ask(self, view, person, gathering=None):
        pk = (gathering or self.gathering).pk
        self.client.logout()
        if person:
            self.client.force_login(getattr(person, "user", person))
        return self.client.get(
            reverse(f"gatherings:{view}", args=[self.place.slug, pk])
        )


class WhoTests(FirstAidCase):
    def test_the_first_aider_of_the_day_and_organisers_read_the_notes(self):
        self.at(self.gathering.starts_at)
        for person in (self.aider, self.nora, make_keeper()):
            response = self.ask("first_aid", person)
            self.assertContains(response, SECRET)
            self.assertContains(response, SHOWN)
            assert "no-store" in response["Cache-Control"]

    def test_nobody_else_does_on_any_day(self):
        for moment in (NOW, self.gathering.starts_at, self.gathering.ends_at):
            self.at(moment)
            for person, status in (
                (None, 302),
                (make_user(), 403),
                (self.gone, 403),
                (self.strange, 403),
                (self.ann, 404),
                (self.lead, 404),
                (self.steward, 404),
                (self.cat, 404),
            ):
                response = self.ask("first_aid", person)
                assert response.status_code == status, person
                assert SECRET.encode() not in response.content

    def test_a_lead_and_a_first_aider_read_whom_to_call_and_no_note(self):
        self.at(self.gathering.starts_at)
        for person in (self.lead, self.aider, self.nora):
            response = self.ask("emergency", person)
            self.assertContains(response, SHOWN)
            self.assertNotContains(response, SECRET)
            assert "no-store" in response["Cache-Control"]
        for person in (self.ann, self.steward, self.cat):
            assert self.ask("emergency", person).status_code == 404

    def test_the_pages_open_twelve_hours_before_and_close_twelve_after(self):
        second = timedelta(seconds=1)
        starts, ends = self.gathering.starts_at, self.gathering.ends_at
        for moment, status in (
            (starts - HALF_DAY - second, 404),
            (starts - HALF_DAY, 200),
            (ends + HALF_DAY, 200),
            (ends + HALF_DAY + second, 404),
        ):
            self.at(moment)
            assert self.ask("first_aid", self.aider).status_code == status
            assert self.ask("emergency", self.lead).status_code == status
            assert self.ask("first_aid", self.nora).status_code == 200

    def test_a_gathering_called_off_and_one_of_another_place_are_closed(self):
        self.at(self.gathering.starts_at)
        strange = make_gathering(first_aider=self.aider)
        assert self.ask("first_aid", self.aider, strange).status_code == 404
        Gathering.objects.filter(pk=self.gathering.pk).update(status="called_off")
        assert self.ask("first_aid", self.aider).status_code == 404
        assert self.ask("emergency", self.lead).status_code == 404

    def test_a_first_aider_who_left_reads_nothing(self):
        self.at(self.gathering.starts_at)
        self.aider.left_at = NOW
        self.aider.save(update_fields=["left_at"])
        assert self.ask("first_aid", self.aider).status_code == 403

    def test_the_gathering_leads_there_whoever_may_read_it(self):
        self.at(self.gathering.starts_at)
        for person, words in (
            (self.aider, "For the first-aider"),
            (self.nora, "For the first-aider"),
            (self.lead, "Emergency contacts, for everybody here"),
        ):
            self.assertContains(self.ask("gathering", person), words)
        for person in (None, self.ann, self.steward):
            response = self.ask("gathering", person)
            self.assertNotContains(response, "Emergency contacts")
            self.assertNotContains(response, "For the first-aider")


class WhatTests(FirstAidCase):
    def page(self, now=NOW):
        row = Gathering.objects.for_page().get(pk=self.gathering.pk)
        return selectors.first_aid_page(row, now)

    def test_those_with_a_place_or_who_came_and_nobody_else(self):
        here = {"demonstration": self.place}
        waits, came = make_volunteer(name="Waits", **here), make_volunteer(**here)
        make_sign_up(station=self.station, volunteer=waits, status=SignUpStatus.WAITING)
        make_turnout(gathering=self.gathering, volunteer=came)
        page = self.page()
        found = {one.volunteer: one.has_come for one in page.people}
        assert found == {self.ann: False, self.steward: False, came: True}
        assert [one.volunteer for one in page.with_notes] == [self.ann]

    def test_a_note_is_read_no_longer_than_its_day(self):
        last = self.ann.health_note.delete_on
        start = NOW.replace(year=last.year, month=last.month, day=last.day)
        assert not self.page(start).with_notes
        assert self.page(start - timedelta(days=1)).with_notes

    def test_a_child_is_called_for_by_the_guardian(self):
        joe = make_volunteer(
            demonstration=self.place,
            user=None,
            name="Joe Rush",
            guardian=self.ann,
            age_band="from_13",
        )
        make_turnout(gathering=self.gathering, volunteer=joe)

        def contacts():
            (found,) = [one for one in self.page().people if one.volunteer == joe]
            return found.contacts

        assert contacts() == [("Ann Rush", "028 555 0102")]
        joe.emergency_name, joe.emergency_phone = "Gran", "028 555 0103"
        joe.save(update_fields=["emergency_name", "emergency_phone"])
        assert contacts() == [("Gran", "028 555 0103"), ("Ann Rush", "028 555 0102")]
        joe.emergency_phone, self.ann.phone = "", ""
        joe.save(update_fields=["emergency_phone"])
        self.ann.save(update_fields=["phone"])
        assert contacts() == [("Pa Rush", CALL)]

    def test_four_queries_for_a_few_or_many(self):
        for size in (2, 12):
            while self.gathering.sign_ups.count() < size:
                child = make_volunteer(
                    demonstration=self.place,
                    user=None,
                    guardian=self.ann,
                    age_band="from_13",
                )
                make_sign_up(station=self.station, volunteer=child)
                make_health_note(volunteer=child)
            row = Gathering.objects.for_page().get(pk=self.gathering.pk)
            for act, queries in (
                (lambda row: selectors.first_aid_page(row, NOW), 4),
                (selectors.emergency_page, 3),
            ):
                with self.assertNumQueries(queries):
                    told = [one.contacts for one in act(row).people]
                assert len(told) == size


@pytest.mark.any_database
class EverywhereTests(TestCase):
    """No page, sheet or file shows a note to anybody who may not read it."""

    def test_every_address_asked_by_who_may_much_and_not_this(self):
        """A lead, who is another evening's first aider and has a post at this one."""
        world = make_world()
        lead, ann = world.rows["lead"], world.rows["volunteer"]
        ann.health_note.text = SECRET
        ann.health_note.save(update_fields=["text"])
        make_gathering(demonstration=world.demonstration, first_aider=lead)
        make_sign_up(station=world.rows["station"], volunteer=lead)
        self.enterContext(one_sheet_for_all())
        client = Client(raise_request_exception=False)
        client.force_login(lead.user)
        for address in ours():
            path = path_to(address, world)
            with (
                self.subTest(address=address.name),
                CaptureQueriesContext(connection) as asked,
            ):
                response = client.get(path)
                body = b"".join(response) if response.streaming else response.content
                finish(response)
                assert SECRET.encode() not in body
                if body.startswith(b"%PDF"):
                    # A sheet's words are packed: it must not even look.
                    assert "people_healthnote" not in str(asked.captured_queries)
