"""Letters: who gets one, and what their calendars are told."""

from datetime import timedelta
from email import message_from_bytes, policy

from django.core import mail

from heritage.gatherings import services as gatherings_services
from heritage.gatherings.call import services
from heritage.gatherings.ground.selectors import calendar_entry
from heritage.gatherings.letters import mail as gathering_mail
from heritage.gatherings.models import Decision, GatheringStatus, SignUpStatus
from heritage.gatherings.places import services as places_services
from heritage.gatherings.services import StationPlan
from heritage.people.models import LetterState
from tests.factories import (
    NOW,
    make_letter,
    make_plot,
    make_sign_up,
    make_station,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase
from tests.kits.strict_ical import read
from tests.reading_mail import arrived, words_of_html


def calendar_part(letter):
    """Return a letter's calendar part as it arrives, and its parameters."""
    whole = message_from_bytes(
        letter.message().as_bytes(linesep="\r\n"), policy=policy.default
    )
    found = [p for p in whole.walk() if p.get_content_type() == "text/calendar"]
    if not found:
        return None, {}
    (part,) = found
    return read(part.get_payload(decode=True)), dict(part["Content-Type"].params)


def part_text(letter):
    """Return a letter's calendar part as text, its folded lines joined."""
    (part,) = [
        part
        for part in arrived(letter).walk()
        if part.get_content_type() == "text/calendar"
    ]
    return part.get_content().replace("\r\n", "\n").replace("\n ", "")


class LetterCase(EveningCase):
    def call(self, decision=Decision.OFF, note="Too wet."):
        with self.captureOnCommitCallbacks(execute=True):
            services.make_call(
                gathering=self.gathering,
                readings={},
                decision=decision,
                why_off="wet_crop" if decision == Decision.OFF else None,
                by=self.nora.user,
                now=NOW,
                note=note,
            )

    def edit(self, *, same_place=False, **changes):
        names = gatherings_services.Details.__annotations__
        now_is = {name: getattr(self.gathering, name) for name in names}
        plans = [
            StationPlan(
                kind=row.kind,
                title=row.title,
                places=row.places,
                briefing=row.briefing,
                station=row,
            )
            for row in (self.pull, self.tie)
        ]
        with self.captureOnCommitCallbacks(execute=True):
            gatherings_services.edit(
                gathering=self.gathering,
                details=now_is | changes,
                stations=plans,
                now=NOW,
                same_place=same_place,
            )

    def readers(self):
        return sorted(address for letter in mail.outbox for address in letter.to)


class CalledOffTests(LetterCase):
    def test_everybody_held_or_waiting_is_told_once_and_nobody_else(self):
        gone = make_sign_up(
            station=self.tie, volunteer=self.cat, status=SignUpStatus.GIVEN_UP
        )
        self.call()
        assert self.readers() == sorted([self.ann.email, self.bob.email])
        assert gone.volunteer.email not in self.readers()

    def test_the_letter_says_why_and_does_not_ask_people_to_come(self):
        self.call()
        body = mail.outbox[0].body
        assert "CALLED OFF. Please don't come" in body
        assert "Bring" not in body
        assert "Where" not in body
        assert "Too wet." in body
        assert "Called off: Pulling by the lane" in mail.outbox[0].subject

    def test_each_calendar_is_told_to_strike_it(self):
        self.call()
        for letter in mail.outbox:
            part, params = calendar_part(letter)
            assert part["METHOD"].value == params["method"] == "CANCEL"
            (event,) = part.named("VEVENT")
            assert event["STATUS"].value == "CANCELLED"
            assert event["SEQUENCE"].value == "1"
            assert event["UID"].value == self.gathering.uid
            assert event["ATTENDEE"].value == f"mailto:{letter.to[0]}"

    def test_no_letter_names_another_reader(self):
        self.call()
        to_bob = next(one for one in mail.outbox if one.to == [self.bob.email])
        words = to_bob.message().as_string()
        assert self.ann.email not in words
        assert "Ann Rush" not in words

    def test_a_household_at_one_address_gets_one_letter_to_the_adult(self):
        make_sign_up(station=self.tie, volunteer=self.torin)
        self.call()
        assert self.readers() == sorted([self.ann.email, self.bob.email])
        (letter,) = [one for one in mail.outbox if one.to == [self.ann.email]]
        assert "Hello Ann Rush" in letter.body

    def test_somebody_without_an_address_is_left_to_the_telephone(self):
        paper = make_volunteer(demonstration=self.demonstration, user=None)
        make_sign_up(station=self.tie, volunteer=paper)
        self.call()
        assert len(mail.outbox) == 2

    def test_on_again_asks_those_with_places_and_tells_those_waiting(self):
        self.call()
        mail.outbox.clear()
        self.call(Decision.GO, "It has dried.")
        parts = {one.to[0]: calendar_part(one) for one in mail.outbox}
        part, params = parts[self.ann.email]
        assert part["METHOD"].value == params["method"] == "REQUEST"
        assert part.named("VEVENT")[0]["SEQUENCE"].value == "2"
        assert parts[self.bob.email] == (None, {})
        assert all("ON AGAIN" in letter.body for letter in mail.outbox)
        said = {one.to[0]: one.body for one in mail.outbox}
        assert "you still have your place" in said[self.ann.email]
        assert "you're still on the waiting list" in said[self.bob.email]
        assert "kept" not in said[self.bob.email]


class ChangedTests(LetterCase):
    def test_a_new_time_is_asked_anew_with_a_higher_sequence(self):
        later = self.gathering.starts_at + timedelta(minutes=30)
        self.edit(starts_at=later)
        assert self.readers() == sorted([self.ann.email, self.bob.email])
        (letter,) = [one for one in mail.outbox if one.to == [self.ann.email]]
        part, params = calendar_part(letter)
        assert part["METHOD"].value == params["method"] == "REQUEST"
        (event,) = part.named("VEVENT")
        assert event["SEQUENCE"].value == "1"
        assert event["DTSTART"].value == "20260813T190000"
        assert "It was Thursday 13 August 2026, 18:30 to 20:30" in letter.body
        assert "19:00 to 20:30" in letter.body

    def test_who_waits_is_promised_no_place(self):
        self.edit(starts_at=self.gathering.starts_at + timedelta(minutes=30))
        said = {one.to[0]: one.body for one in mail.outbox}
        assert "You still have your place" in said[self.ann.email]
        assert "You're still on the waiting list" in said[self.bob.email]
        assert "kept" not in said[self.bob.email]

    def test_a_new_place_is_told_with_the_old_one(self):
        self.edit(place="The low gate")
        assert "at The gate on the lane" in mail.outbox[0].body
        assert "Where: The low gate" in mail.outbox[0].body

    def test_a_typo_put_right_tells_nobody_and_raises_nothing(self):
        self.edit(title="Pulling by the long lane", note="Gloves are there.")
        self.edit(place="The gate on the Lane", same_place=True)
        self.gathering.refresh_from_db()
        assert (mail.outbox, self.gathering.sequence) == ([], 0)

    def test_a_change_of_what_is_off_tells_nobody(self):
        self.gathering.status = GatheringStatus.CALLED_OFF
        self.gathering.save()
        self.edit(place="The low gate")
        assert mail.outbox == []

    def test_a_request_that_waited_is_overtaken_by_the_calling_off(self):
        """A letter that the queue held back must not ask people to come."""
        with self.captureOnCommitCallbacks() as held_back:
            places_services.give_up(sign_up=self.held, by=self.ann.user, now=NOW)
        self.call()
        mail.outbox.clear()
        for callback in held_back:
            callback()
        methods = [calendar_part(letter)[1].get("method") for letter in mail.outbox]
        assert "REQUEST" not in methods


class SequenceTests(LetterCase):
    """RFC 5546, 2.1.4, field by field: what raises the sequence, and who is told."""

    def edits(self):
        start, half = self.gathering.starts_at, timedelta(minutes=30)
        plot = make_plot(demonstration=self.demonstration)
        return {
            "starts_at": ({"starts_at": start + half}, 1),
            "ends_at": ({"ends_at": self.gathering.ends_at + half}, 1),
            "place": ({"place": "The low gate"}, 1),
            "place, words changed": ({"place": "The Gate", "same_place": True}, 0),
            "title": ({"title": "Pulling by the long lane"}, 0),
            "stage": ({"stage": "stooking"}, 0),
            "plot": ({"plot": plot}, 0),
            "bring": ({"bring": "Gloves and water"}, 0),
            "note": ({"note": "Gloves are there."}, 0),
            "lead": ({"lead": self.cat}, 0),
            "nothing": ({}, 0),
        }

    def test_every_field_is_in_the_table(self):
        fields = {name.split(",")[0] for name in self.edits()} - {"nothing"}
        known = set(gatherings_services.Details.__annotations__) - {"first_aider"}
        assert known <= fields

    def test_it_rises_exactly_as_the_standard_says(self):
        for field, (change, rise) in self.edits().items():
            with self.subTest(field=field):
                self.gathering.refresh_from_db()
                before, mail.outbox[:] = self.gathering.sequence, []
                self.edit(**change)
                self.gathering.refresh_from_db()
                assert self.gathering.sequence - before == rise
                told = [self.ann.email, self.bob.email] if rise else []
                assert self.readers() == sorted(told)
                for letter in mail.outbox:
                    part, _ = calendar_part(letter)
                    if part:
                        (event,) = part.named("VEVENT")
                        assert event["SEQUENCE"].value == str(before + rise)

    def test_whatever_changes_the_entry_gives_it_a_new_stamp(self):
        """RFC 5545, 3.8.7.2: a calendar keeps the entry whose stamp is the later."""
        for field, (change, _rise) in self.edits().items():
            with self.subTest(field=field):
                self.gathering.refresh_from_db()
                self.gathering.revised_at = NOW - timedelta(days=1)
                self.gathering.save()
                before = calendar_entry(self.gathering)
                self.edit(**change)
                self.gathering.refresh_from_db()
                after = calendar_entry(self.gathering)
                assert after == before or after.stamp == NOW

    def test_each_call_that_changes_the_standing_raises_it_once(self):
        for decision, sequence in (
            (Decision.OFF, 1),
            (Decision.OFF, 1),
            (Decision.GO, 2),
            (Decision.GO, 2),
        ):
            self.call(decision)
            self.gathering.refresh_from_db()
            assert self.gathering.sequence == sequence
        assert len(mail.outbox) == 4

    def test_a_cancellation_rings_no_alarm_and_names_one_reader(self):
        self.call()
        for letter in mail.outbox:
            part, _ = calendar_part(letter)
            (event,) = part.named("VEVENT")
            assert part.named("VALARM") == event.named("VALARM") == []
            assert part_text(letter).count("\nATTENDEE") == 1
            assert event["ORGANIZER"].value.startswith("mailto:")

    def test_told_again_by_the_same_call_nobody_gets_a_second_letter(self):
        self.call()
        with self.captureOnCommitCallbacks(execute=True):
            call = self.gathering.calls.get()
            gathering_mail.called_off(call.pk, call.pk)
        assert self.readers() == sorted([self.ann.email, self.bob.email])


class BookTests(LetterCase):
    def letters(self):
        return {one.key: one for one in self.demonstration.letters.all()}

    def test_every_letter_stands_in_the_book_about_its_gathering(self):
        self.call()
        call = self.gathering.calls.get().pk
        rows = self.letters()
        assert set(rows) == {
            f"called-off:{call}:{person.pk}" for person in (self.ann, self.bob)
        }
        assert {row.about for row in rows.values()} == {
            f"gathering {self.gathering.pk}"
        }

    def test_on_paper_a_change_is_to_be_told_but_no_confirmation(self):
        paper = make_volunteer(demonstration=self.demonstration, user=None)
        with self.captureOnCommitCallbacks(execute=True):
            entry = places_services.sign_up(
                station=self.tie_open, volunteer=paper, by=self.nora.user, now=NOW
            )
        assert self.letters() == {}
        self.call()
        row = self.letters()[f"called-off:{self.gathering.calls.get().pk}:{paper.pk}"]
        assert (row.state, row.volunteer) == (LetterState.NO_ADDRESS, entry.volunteer)

    @property
    def tie_open(self):
        return make_station(gathering=self.gathering, title="Lay bands")

    def test_the_calling_off_overtakes_a_place_that_still_waits(self):
        waiting = make_letter(
            demonstration=self.demonstration,
            volunteer=self.ann,
            about=f"gathering {self.gathering.pk}",
        )
        self.call()
        waiting.refresh_from_db()
        assert waiting.state == LetterState.OVERTAKEN

    def test_two_without_an_address_are_told_each(self):
        for name in ("Pat Moss", "Una Glen"):
            paper = make_volunteer(
                demonstration=self.demonstration, user=None, name=name
            )
            make_sign_up(station=self.tie, volunteer=paper)
        self.call()
        rows = self.demonstration.letters.in_states([LetterState.NO_ADDRESS])
        assert {row.volunteer.name for row in rows} == {"Pat Moss", "Una Glen"}


class MovedUpTests(LetterCase):
    def move_up(self, answer_by):
        self.turn.status, self.turn.answer_by = SignUpStatus.HELD, answer_by
        self.turn.save()
        with self.captureOnCommitCallbacks(execute=True):
            gathering_mail.moved_up(self.turn.pk)
        return mail.outbox[-1].body

    def test_it_asks_for_an_answer_by_a_time_there(self):
        body = self.move_up(NOW + timedelta(hours=2))
        assert "Please answer by: 20:40, Wednesday 12 August" in body
        assert "Bob Carr: Pull (please answer by 20:40, Wednesday 12 August)" in body
        assert self.gathering.get_absolute_url() in body

    def test_without_a_time_the_place_is_simply_theirs(self):
        body = self.move_up(None)
        assert "and it's yours" in body
        assert "answer" not in body


class BothFormsTests(LetterCase):
    def test_every_letter_says_the_same_in_text_and_in_html(self):
        was = (self.gathering.starts_at, self.gathering.ends_at, "The old gate")
        self.now(gathering_mail.signed_up, self.held.pk)
        self.now(gathering_mail.signed_up, self.turn.pk)
        self.now(gathering_mail.gave_up, self.held.pk)
        self.now(gathering_mail.lapsed, self.turn.pk)
        self.now(gathering_mail.moved, self.held.pk)
        self.now(gathering_mail.changed, self.gathering.pk, gathering_mail.Before(*was))
        self.turn.status = SignUpStatus.HELD
        self.turn.answer_by = NOW + timedelta(hours=2)
        self.turn.save()
        self.now(gathering_mail.moved_up, self.turn.pk)
        self.call()
        self.call(Decision.GO, "It has dried & turned <fair>.")
        assert len({letter.subject for letter in mail.outbox}) >= 8
        for letter in mail.outbox:
            html = letter.alternatives[0].content
            assert words_of_html(html) == letter.body.split()

    def now(self, tell, *about):
        with self.captureOnCommitCallbacks(execute=True):
            tell(*about)


class WordsTests(LetterCase):
    def test_a_line_break_in_a_title_breaks_no_header(self):
        self.gathering.title = "Pulling\nBcc: all@example.org"
        self.gathering.save()
        self.call()
        assert {letter.bcc == [] for letter in mail.outbox} == {True}
        assert "\n" not in mail.outbox[0].subject

    def test_words_are_plain_not_marked_up(self):
        self.gathering.title = "Orr & Sons' <gate>"
        self.gathering.save()
        self.call()
        assert "“Orr & Sons' <gate>” is CALLED OFF" in mail.outbox[0].body

    def test_the_page_is_a_whole_address(self):
        self.call()
        path = self.gathering.get_absolute_url()
        assert path in mail.outbox[0].body
