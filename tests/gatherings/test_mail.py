"""Letters: who gets one, and what their calendars are told."""

from datetime import timedelta
from email import message_from_bytes, policy

from django.core import mail

from heritage.gatherings import services
from heritage.gatherings.models import Decision, GatheringStatus, SignUpStatus
from heritage.gatherings.services import StationPlan
from tests.factories import NOW, make_sign_up, make_volunteer
from tests.gatherings.evening import EveningCase
from tests.kits.strict_ical import read


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


class LetterCase(EveningCase):
    def call(self, decision=Decision.OFF, note="Too wet."):
        with self.captureOnCommitCallbacks(execute=True):
            services.make_call(
                gathering=self.gathering,
                readings={},
                decision=decision,
                by=self.nora.user,
                now=NOW,
                note=note,
            )

    def edit(self, *, same_place=False, **changes):
        names = (
            *("title", "stage", "plot", "place", "starts_at", "ends_at", "bring"),
            *("note", "lead"),
        )
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
            services.edit(
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
        assert "CALLED OFF. Please do not come." in body
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
        make_sign_up(station=self.tie, volunteer=self.tom)
        self.call()
        assert self.readers() == sorted([self.ann.email, self.bob.email])
        (letter,) = [one for one in mail.outbox if one.to == [self.ann.email]]
        assert "Hello Ann Rush" in letter.body
        assert "Tom Rush: Tie" in letter.body

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
        assert "It was: Thursday 13 August 2026, 18:30 to 20:30" in letter.body
        assert "19:00 to 20:30" in letter.body

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
            services.give_up(sign_up=self.held, by=self.ann.user, now=NOW)
        self.call()
        mail.outbox.clear()
        for callback in held_back:
            callback()
        methods = [calendar_part(letter)[1].get("method") for letter in mail.outbox]
        assert "REQUEST" not in methods


class WordsTests(LetterCase):
    def test_a_line_break_in_a_title_breaks_no_header(self):
        self.gathering.title = "Pulling\nBcc: all@example.org"
        self.gathering.save()
        self.call()
        assert {letter.bcc == [] for letter in mail.outbox} == {True}
        assert "\n" not in mail.outbox[0].subject

    def test_words_are_plain_not_marked_up(self):
        self.gathering.place = "Orr & Sons' <gate>"
        self.gathering.save()
        self.call()
        assert "Where: Orr & Sons' <gate>" in mail.outbox[0].body

    def test_the_page_is_a_whole_address(self):
        self.call()
        path = self.gathering.get_absolute_url()
        assert path in mail.outbox[0].body
