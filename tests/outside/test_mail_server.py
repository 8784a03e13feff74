"""Letters through a real mail server: what arrives, and what a bad server leaves."""

from datetime import timedelta

import ics
from django.test import TestCase

from heritage.gatherings.call import services
from heritage.gatherings.models import Decision
from heritage.people.letters import services as letters
from heritage.people.letters.services import Outcome
from heritage.people.models import LetterState
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_letter,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)
from tests.mail_server import mail_server, no_mail_server, read_back
from tests.reading_mail import words_of_html
from tests.rush import RushCase


def part_of(letter, kind):
    (part,) = [one for one in letter.walk() if one.get_content_type() == kind]
    return part


class ArrivesTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(name="Flax at Ballinderry, süd")
        here = {"demonstration": cls.demonstration}
        cls.nora = make_organiser(**here)
        cls.gathering = make_gathering(**here, title="Pulling\nBcc: all@example.org")
        station = make_station(gathering=cls.gathering, title="Pull")
        cls.people = [
            make_volunteer(**here, name="Seán Ó Súilleabháin"),
            make_volunteer(**here, name="Živilė Žukauskaitė"),
        ]
        for person in cls.people:
            make_sign_up(station=station, volunteer=person)

    def call_off(self):
        with (
            mail_server() as server,
            self.captureOnCommitCallbacks(execute=True),
        ):
            services.make_call(
                gathering=self.gathering,
                readings={},
                decision=Decision.OFF,
                why_off="wet_crop",
                by=self.nora.user,
                now=NOW,
                note="Tá sé ró-fhliuch ag Áth na gCloch <gate>.",
            )
        return server.taken

    def test_each_reader_has_a_message_alone(self):
        taken = self.call_off()
        readers = sorted([person.email] for person in self.people)
        assert sorted(one.rcpt_tos for one in taken) == readers
        for envelope in taken:
            letter = read_back(envelope)
            assert letter["To"] == envelope.rcpt_tos[0]
            assert letter["Cc"] is letter["Bcc"] is None
            assert envelope.mail_from == "notebook@flax.example.org"
        for mine, other in ((0, 1), (1, 0)):
            words = taken[mine].content.decode("utf-8", "replace")
            assert taken[other].rcpt_tos[0] not in words

    def test_its_three_forms_say_the_same_in_every_alphabet(self):
        for envelope in self.call_off():
            letter = read_back(envelope)
            assert letter.get_content_type() == "multipart/alternative"
            kinds = [part.get_content_type() for part in letter.iter_parts()]
            assert kinds == ["text/plain", "text/html", "text/calendar"]
            text = part_of(letter, "text/plain").get_content()
            name = next(p.name for p in self.people if p.email == letter["To"])
            assert f"Hello {name}," in text
            assert "Tá sé ró-fhliuch ag Áth na gCloch <gate>." in text
            html = part_of(letter, "text/html").get_content()
            assert words_of_html(html) == text.split()

    def test_the_calendar_parts_method_is_its_bodys(self):
        for envelope in self.call_off():
            part = part_of(read_back(envelope), "text/calendar")
            params = part["Content-Type"].params
            assert params["charset"].upper() == "UTF-8"
            body = ics.Calendar(part.get_content())
            assert body.method == params["method"] == "CANCEL"
            (event,) = body.events
            assert event.uid == self.gathering.uid
            assert {guest.email for guest in event.attendees} == {envelope.rcpt_tos[0]}

    def test_what_was_typed_becomes_no_header(self):
        for envelope in self.call_off():
            letter = read_back(envelope)
            assert letter["Subject"] == "Called off: Pulling Bcc: all@example.org"
            assert letter["Bcc"] is None
            assert letter.defects == []

    def test_the_book_keeps_the_name_it_went_under(self):
        names = {read_back(one)["Message-ID"] for one in self.call_off()}
        rows = self.demonstration.letters.all()
        assert {row.message_id for row in rows} == names
        assert {row.state for row in rows} == {LetterState.SENT}
        assert all(name.endswith("@flax.example.org>") for name in names)


class BadServerTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.letter = make_letter(demonstration=make_demonstration())

    def attempt(self, now=NOW):
        outcome = letters.attempt(key=self.letter.pk, now=now)
        self.letter.refresh_from_db()
        return outcome, self.letter.state

    def test_a_reader_refused_for_good_fails_at_once_in_the_servers_words(self):
        with mail_server(at_reader=["550 5.1.1 No such mailbox"]) as server:
            assert self.attempt() == (Outcome.NOT_TAKEN, LetterState.FAILED)
        assert "550 5.1.1 No such mailbox" in self.letter.trouble
        assert server.taken == []

    def test_a_letter_refused_for_good_fails_at_once(self):
        with mail_server(at_end=["554 5.6.0 Not with those words"]):
            assert self.attempt() == (Outcome.NOT_TAKEN, LetterState.FAILED)
        assert "554 5.6.0 Not with those words" in self.letter.trouble

    def test_what_is_put_off_once_is_sent_at_the_next_time(self):
        for where in ("at_sender", "at_reader", "at_end"):
            with self.subTest(where=where):
                self.put_off_once(where)

    def put_off_once(self, where):
        demonstration = self.letter.demonstration
        demonstration.letters.update(state=LetterState.SENT)
        self.letter = make_letter(demonstration=demonstration)
        with mail_server(**{where: ["451 4.7.1 Come back later"]}) as server:
            assert self.attempt() == (Outcome.NOT_TAKEN, LetterState.QUEUED)
            assert "451 4.7.1 Come back later" in self.letter.trouble
            assert letters.send_due(now=NOW) == 0
            assert letters.send_due(now=NOW + timedelta(minutes=1)) == 1
        assert len(server.taken) == 1
        self.letter.refresh_from_db()
        assert (self.letter.state, self.letter.attempts) == (LetterState.SENT, 2)
        assert self.letter.trouble == ""

    def test_a_sender_refused_is_our_fault_and_is_tried_again(self):
        with mail_server(at_sender=["550 5.7.1 Who are you"]):
            assert self.attempt() == (Outcome.NOT_TAKEN, LetterState.QUEUED)

    def test_a_server_that_is_down_is_asked_again_later(self):
        with no_mail_server():
            assert self.attempt() == (Outcome.NO_SERVER, LetterState.QUEUED)
        assert "cannot be reached" in self.letter.trouble
        with mail_server() as server:
            assert letters.send_due(now=NOW + timedelta(minutes=1)) == 1
        assert len(server.taken) == 1

    def test_a_line_that_breaks_before_the_letter_is_a_letter_not_gone(self):
        with mail_server(hangs_up="sender"):
            assert self.attempt() == (Outcome.NOT_TAKEN, LetterState.QUEUED)

    def test_a_line_that_breaks_after_the_last_dot_is_never_sent_again(self):
        with mail_server(hangs_up="end") as server:
            assert self.attempt() == (Outcome.NOT_KNOWN, LetterState.SENDING)
            assert letters.send_due(now=NOW + timedelta(days=3)) == 0
            assert self.attempt()[0] is Outcome.NOT_MINE
        assert len(server.taken) == 1
        assert self.letter.trouble != ""
        assert self.letter.is_unknown(NOW + timedelta(minutes=10))


class ServerRushTests(RushCase):
    def make(self):
        where = make_demonstration()
        self.letters = [make_letter(demonstration=where) for _ in range(3)]

    def test_many_workers_hand_each_letter_to_the_server_once(self):
        with mail_server() as server:
            self.together(lambda _: letters.send_due(now=NOW), 6)
        readers = sorted(envelope.rcpt_tos[0] for envelope in server.taken)
        assert readers == sorted(letter.address for letter in self.letters)
