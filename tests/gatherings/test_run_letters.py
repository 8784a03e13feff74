"""Letters about a run: one to each household, read back from a real mail server."""

from datetime import date, time
from unittest import mock

import ics
import pytest
from django.core import mail
from django.core.exceptions import ValidationError

from heritage.gatherings.call import services as call_services
from heritage.gatherings.ground.selectors import letters_about
from heritage.gatherings.letters import mail as gathering_mail
from heritage.gatherings.models import Decision, Gathering, SignUpStatus
from heritage.gatherings.places import services as places_services
from heritage.gatherings.runs import services
from heritage.people.letters import services as letters
from heritage.people.models import Letter, LetterState
from tests.factories import NOW, make_sign_up, make_volunteer
from tests.gatherings.test_runs import RunCase, run_plan
from tests.gatherings.test_services_posting import plan
from tests.mail_server import mail_server, read_back
from tests.reading_mail import words_of_html

LATER = {"starts": time(19), "ends": time(21)}


def calendars(letter):
    """Return the calendar parts of a letter, as another library reads them."""
    found = []
    for part in letter.walk():
        if part.get_content_type() == "text/calendar":
            made = ics.Calendar(part.get_content())
            assert made.method == part["Content-Type"].params["method"]
            found.append((part.get_filename(), made))
    return found


def events(letter):
    """Return each event of a letter with the method it comes under."""
    return [
        (made.method, event) for _, made in calendars(letter) for event in made.events
    ]


class RunLetterCase(RunCase):
    def setUp(self):
        super().setUp()
        self.run_ = self.post(
            plan(places=2),
            plan(kind="tie", title="Tie", places=1),
            of=run_plan(last_day=date(2026, 8, 20)),
        )
        self.rows = list(self.run_.gatherings.in_order())
        for row in self.rows[:3]:
            make_sign_up(station=row.stations.first(), volunteer=self.ann)
        make_sign_up(station=self.rows[1].stations.last(), volunteer=self.torin)
        make_sign_up(
            station=self.rows[1].stations.last(),
            volunteer=self.bob,
            status=SignUpStatus.WAITING,
        )

    def read(self, act):
        """Do something, and return what the server took, by reader."""
        with mail_server() as server, self.captureOnCommitCallbacks(execute=True):
            act()
        found = {one.rcpt_tos[0]: read_back(one) for one in server.taken}
        assert len(found) == len(server.taken)
        return found

    def end(self, **said):
        services.end_run(run=self.run_, by=self.nora.user, now=NOW, **said)

    def edit(self, **changes):
        services.edit_run(run=self.run_, changes=changes, stations=None, now=NOW)


class EndedTests(RunLetterCase):
    def test_each_household_has_one_letter_with_all_its_evenings(self):
        found = self.read(self.end)
        assert set(found) == {self.ann.email, self.bob.email}
        letter = found[self.ann.email]
        assert letter["Subject"] == "Called off: Pulling by the lane"
        words = letter.get_body(["plain"]).get_content()
        assert "Hello Ann Rush," in words
        assert "3 evenings of “Pulling by the lane” are CALLED OFF" in words
        assert "The field is done" in words
        for day in ("Monday 17", "Tuesday 18", "Wednesday 19"):
            assert words.count(f"{day} August 2026, 18:30 to 20:15") == 1
        assert "Thursday" not in words
        assert "Bob" not in words

    def test_text_and_html_say_the_same(self):
        for letter in self.read(self.end).values():
            html = letter.get_body(["html"]).get_content()
            plain = letter.get_body(["plain"]).get_content()
            assert words_of_html(html) == plain.split()

    def test_each_evening_has_a_cancellation_of_its_own(self):
        letter = self.read(self.end)[self.ann.email]
        assert letter.get_content_type() == "multipart/mixed"
        names = [name for name, _ in calendars(letter)]
        assert names == [f"gathering-2026-08-{day}.ics" for day in (17, 18, 19)]
        assert [len(made.events) for _, made in calendars(letter)] == [1, 1, 1]
        told = events(letter)
        assert [event.uid for _, event in told] == [row.uid for row in self.rows[:3]]
        for method, event in told:
            assert (method, event.status) == ("CANCEL", "CANCELLED")
            assert {guest.email for guest in event.attendees} == {self.ann.email}
        with_sequence = letter.as_string().replace("=3D", "=")
        assert with_sequence.count("SEQUENCE:1") == 3

    def test_one_evening_alone_keeps_its_calendar_in_the_letter(self):
        letter = self.read(self.end)[self.bob.email]
        assert letter.get_content_type() == "multipart/alternative"
        words = letter.get_body(["plain"]).get_content()
        assert "“Pulling by the lane” is CALLED OFF. Please don't come" in words
        assert "attached" not in words
        assert [method for method, _ in events(letter)] == ["CANCEL"]

    def test_told_again_of_the_same_nobody_gets_a_second_letter(self):
        self.read(self.end)
        rows = [row.pk for row in self.rows]

        def tell():
            gathering_mail.run_called_off(self.run_.pk, rows, "Done.", NOW)

        assert self.read(tell) == {}
        assert self.read(self.end) == {}

    def test_an_evening_on_again_and_ended_again_is_told_alone(self):
        self.read(self.end)
        on = {"readings": {}, "decision": Decision.GO, "by": self.nora.user}
        with self.captureOnCommitCallbacks(execute=True):
            row = Gathering.objects.get(pk=self.rows[0].pk)
            call_services.make_call(
                gathering=row, now=NOW, note="A corner is left.", **on
            )
        found = self.read(lambda: self.end(note="Now it is done."))
        assert set(found) == {self.ann.email}
        words = found[self.ann.email].get_body(["plain"]).get_content()
        assert "Now it is done." in words
        assert [event.uid for _, event in events(found[self.ann.email])] == [
            self.rows[0].uid
        ]

    def test_somebody_without_an_address_stands_in_the_book_once(self):
        paper = make_volunteer(
            demonstration=self.demonstration, user=None, email="", name="Eva Mann"
        )
        for row in self.rows[:2]:
            make_sign_up(station=row.stations.last(), volunteer=paper)
        self.read(self.end)
        (row,) = Letter.objects.filter(volunteer=paper)
        assert (row.state, row.parts) == (LetterState.NO_ADDRESS, [])
        for gathering in self.rows[:2]:
            found = [line.letter for line in letters_about(gathering, NOW)]
            assert found == [row]
        assert letters_about(self.rows[2], NOW) == ()

    def test_it_costs_each_household_the_same_however_many_evenings(self):
        def cost(evenings):
            for row in evenings:
                for place in row.sign_ups.all():
                    place.delete()
                make_sign_up(station=row.stations.first(), volunteer=self.ann)
            Letter.objects.all().delete()
            keys = [row.pk for row in evenings]
            with (
                self.captureOnCommitCallbacks(),
                self.assertNumQueries(11),
            ):
                gathering_mail.run_called_off(self.run_.pk, keys, "Done.", NOW)

        Gathering.objects.filter(run=self.run_).update(status="called_off", sequence=1)
        self.rows = list(self.run_.gatherings.for_page())
        cost(self.rows[:1])
        cost(self.rows)


class ChangedTests(RunLetterCase):
    def test_each_household_has_one_letter_with_what_was_and_is(self):
        found = self.read(lambda: self.edit(place="The low gate", **LATER))
        letter = found[self.ann.email]
        assert letter["Subject"] == "Changed: Pulling by the lane"
        words = letter.get_body(["plain"]).get_content()
        assert "3 evenings of “Pulling by the lane” have changed" in words
        for day in ("Monday 17", "Tuesday 18", "Wednesday 19"):
            assert f"When: {day} August 2026, 19:00 to 21:00" in words
            assert f"It was: {day} August 2026, 18:30 to 20:15, at " in words
        assert words.count("Where: The low gate") == 3
        assert words.count("Bring: Gloves") == 3
        html = letter.get_body(["html"]).get_content()
        assert words_of_html(html) == words.split()

    def test_each_evening_is_asked_for_anew_under_a_higher_sequence(self):
        found = self.read(lambda: self.edit(**LATER))
        told = events(found[self.ann.email])
        assert [(method, event.uid) for method, event in told] == [
            ("REQUEST", row.uid) for row in self.rows[:3]
        ]
        assert {event.begin.format("HH:mm") for _, event in told} == {"19:00"}
        assert found[self.ann.email].as_string().count("SEQUENCE:1") == 3

    def test_who_only_waits_is_told_and_has_no_calendar(self):
        letter = self.read(lambda: self.edit(**LATER))[self.bob.email]
        assert events(letter) == []
        words = letter.get_body(["plain"]).get_content()
        assert "You're still on the waiting list" in words
        assert "kept" not in words

    def test_only_the_evenings_that_moved_are_told(self):
        there = self.rows[1]
        there.place = "The low gate"
        there.save(update_fields=["place"])
        found = self.read(lambda: self.edit(place="The low gate"))
        assert set(found) == {self.ann.email}
        words = found[self.ann.email].get_body(["plain"]).get_content()
        assert "2 evenings" in words
        assert "Tuesday" not in words

    def test_words_put_right_tell_nobody(self):
        assert self.read(lambda: self.edit(bring="Boots", note="Come early.")) == {}

    def test_a_refused_change_tells_nobody(self):
        def refused():
            with pytest.raises(ValidationError, match="The end is before the start"):
                self.edit(starts=time(22))

        assert self.read(refused) == {}

    def test_an_evening_called_off_meanwhile_is_left_to_its_own_letter(self):
        with self.captureOnCommitCallbacks() as held_back:
            self.edit(**LATER)
        Gathering.objects.filter(pk=self.rows[0].pk).update(status="called_off")

        def told():
            for callback in held_back:
                callback()

        words = self.read(told)[self.ann.email].get_body(["plain"]).get_content()
        assert "2 evenings" in words
        assert "Monday" not in words

    def test_an_end_overtakes_a_change_that_waits_and_a_letter_on_one_of_them(self):
        with self.captureOnCommitCallbacks(), mock.patch.object(letters, "deliver"):
            places_services.move(
                sign_up=self.rows[0].sign_ups.get(),
                station=self.rows[0].stations.last(),
                by=self.nora.user,
                now=NOW,
            )
        with mock.patch.object(letters, "deliver"):
            with self.captureOnCommitCallbacks(execute=True):
                self.edit(**LATER)
            waiting = list(Letter.objects.queued())
            with self.captureOnCommitCallbacks(execute=True):
                self.end()
        assert len(waiting) == 2
        for row in waiting:
            row.refresh_from_db()
            assert row.state == LetterState.OVERTAKEN
        assert mail.outbox == []

    def test_whoever_moves_up_by_the_change_has_that_letter_last(self):
        more = [plan(places=2), plan(kind="tie", title="Tie", places=2)]
        with (
            mock.patch.object(letters, "deliver"),
            self.captureOnCommitCallbacks(execute=True),
        ):
            services.edit_run(run=self.run_, changes=LATER, stations=more, now=NOW)
        mine = Letter.objects.filter(volunteer=self.bob).order_by("pk")
        assert [(row.subject, row.state) for row in mine] == [
            ("Changed: Pulling by the lane", LetterState.OVERTAKEN),
            ("A place has come free: Pulling by the lane", LetterState.QUEUED),
        ]
