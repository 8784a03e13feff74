"""The call, and who came."""

import uuid
from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings.call import services
from heritage.gatherings.gate import services as gate_services
from heritage.gatherings.gate.services import Mark
from heritage.gatherings.models import (
    Decision,
    GatheringStatus,
    SignUpStatus,
    Turnout,
    WhyOff,
)
from heritage.gatherings.places import services as places_services
from heritage.people.models import Letter, LetterState
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_sign_up,
    make_station,
    make_volunteer,
)

FAIR = {"rain_mm_per_h": 0.0, "wind_ms": 2.0, "canopy_wet_mm": 0.0, "temp_c": 16.0}
THUNDER = {"minutes_since_thunder": 5.0}


class EveningCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.lead = make_volunteer(demonstration=cls.demonstration)
        cls.gathering = make_gathering(demonstration=cls.demonstration, lead=cls.lead)
        cls.station = make_station(gathering=cls.gathering, places=1)
        cls.held = make_sign_up(station=cls.station)

    def set_status(self, status):
        self.gathering.status = status
        self.gathering.save()


class CallTests(EveningCase):
    def call(self, decision=Decision.OFF, readings=THUNDER, **changes):
        return services.make_call(
            **{
                "gathering": self.gathering,
                "readings": readings,
                "decision": decision,
                "why_off": WhyOff.RAIN if decision == Decision.OFF else None,
                "by": self.lead.user,
                "now": NOW,
            }
            | changes
        )

    def test_the_call_keeps_its_advice_reasons_and_readings(self):
        made = self.call()
        assert (made.advice, made.decision) == (Decision.HOLD, Decision.OFF)
        assert any("hunder" in reason for reason in made.reasons)
        assert made.conditions["minutes_since_thunder"] == 5
        assert made.conditions["light_hours"] > 0

    def test_calling_off_stands_under_a_higher_sequence(self):
        self.call()
        self.gathering.refresh_from_db()
        assert self.gathering.is_called_off
        assert (self.gathering.sequence, self.gathering.revised_at) == (1, NOW)

    def said(self, decision, readings=FAIR, **changes):
        """Return the subjects of the mail that a call makes."""
        mail.outbox.clear()
        with self.captureOnCommitCallbacks(execute=True):
            self.call(decision, readings, note="As we see it.", **changes)
        return [letter.subject for letter in mail.outbox]

    def test_going_ahead_tells_everybody_with_a_place_once(self):
        make_sign_up(station=self.station, status=SignUpStatus.WAITING)
        title = self.gathering.title
        assert self.said(Decision.GO) == [f"Going ahead: {title}"]
        (letter,) = mail.outbox
        assert letter.to == [self.held.volunteer.user.email]
        assert "method=REQUEST" in letter.message().as_string().replace('"', "")
        self.gathering.refresh_from_db()
        assert self.gathering.sequence == 0
        assert self.said(Decision.GO) == []
        assert self.said(Decision.HOLD) == [f"Wait and see: {title}"]
        assert self.said(Decision.GO) == [f"Going ahead: {title}"]

    def test_said_again_it_is_told_to_the_newcomer_alone(self):
        self.said(Decision.GO)
        other = make_sign_up(station=self.station)
        self.said(Decision.GO)
        (letter,) = mail.outbox
        assert letter.to == [other.volunteer.user.email]
        self.said(Decision.OFF)
        assert len(mail.outbox) == 2
        assert [one[:8] for one in self.said(Decision.GO)] == ["On again"] * 2
        assert self.said(Decision.GO) == []

    def test_whom_no_mail_reaches_is_left_to_the_telephone(self):
        paper = make_volunteer(demonstration=self.demonstration, user=None)
        make_sign_up(station=self.station, volunteer=paper)
        self.said(Decision.GO)
        assert len(mail.outbox) == 1
        (row,) = Letter.objects.filter(state=LetterState.NO_ADDRESS)
        assert (row.volunteer, "GOING AHEAD" in row.text) == (paper, True)

    def test_calling_off_asks_why_and_keeps_it(self):
        with pytest.raises(ValidationError, match="Choose why") as refused:
            self.call(why_off=None)
        assert "why_off" in refused.value.error_dict
        assert self.call(why_off=WhyOff.WIND).why_off == "wind"
        again = self.call(Decision.GO, FAIR, note="Calm.", why_off=WhyOff.WIND)
        assert again.why_off == ""

    def test_calling_it_on_again_keeps_places_and_fills_what_is_free(self):
        waits = make_sign_up(station=self.station, status=SignUpStatus.WAITING)
        self.call()
        places_services.give_up(sign_up=self.held, by=self.held.volunteer.user, now=NOW)
        waits.refresh_from_db()
        assert waits.status == SignUpStatus.WAITING
        self.call(Decision.GO, FAIR, note="The storm has gone by.")
        waits.refresh_from_db()
        self.gathering.refresh_from_db()
        assert waits.status == SignUpStatus.HELD
        assert (self.gathering.is_called_off, self.gathering.sequence) == (False, 2)

    def test_the_same_key_is_the_same_call(self):
        key = uuid.uuid4()
        with self.captureOnCommitCallbacks(execute=True):
            assert self.call(key=key) == self.call(key=key)
        assert len(mail.outbox) == 1

    def test_bolder_than_the_figures_asks_for_words(self):
        with pytest.raises(ValidationError, match="advice is more careful") as refused:
            self.call(Decision.GO, note="  ")
        assert "note" in refused.value.error_dict
        assert self.call(Decision.GO, note="The thunder is far out at sea.")

    def test_what_is_off_is_not_held(self):
        self.call()
        with pytest.raises(ValidationError, match="called off, and everybody") as no:
            self.call(Decision.HOLD, note="Perhaps.")
        assert "decision" in no.value.error_dict

    def test_a_draft_is_not_called(self):
        self.set_status(GatheringStatus.DRAFT)
        with pytest.raises(ValidationError, match="Post the gathering before"):
            self.call()

    def test_what_is_over_is_not_called(self):
        with pytest.raises(ValidationError, match="is over"):
            self.call(now=self.gathering.ends_at)

    def test_only_the_lead_or_an_organiser_calls(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.call(by=self.held.volunteer.user)


class TurnoutTests(EveningCase):
    def record(self, volunteer=None, arrived=0, left=60, **changes):
        start = self.gathering.starts_at
        return gate_services.record_turnout(
            **{
                "gathering": self.gathering,
                "volunteer": volunteer or self.held.volunteer,
                "arrived_at": start + timedelta(minutes=arrived),
                "left_at": None if left is None else start + timedelta(minutes=left),
                "by": self.lead.user,
            }
            | changes
        )

    def test_times_are_put_right_on_the_same_row(self):
        self.record()
        self.record(arrived=10, left=None)
        (row,) = Turnout.objects.all()
        assert row.arrived_at == self.gathering.starts_at + timedelta(minutes=10)
        assert row.left_at is None

    def test_nobody_leaves_before_they_came(self):
        with pytest.raises(ValidationError, match="can't leave before coming"):
            self.record(arrived=30, left=10)

    def test_nobody_comes_to_a_draft(self):
        self.set_status(GatheringStatus.DRAFT)
        with pytest.raises(ValidationError, match="This gathering isn't posted yet"):
            self.record()

    def test_a_volunteer_of_another_place_is_refused(self):
        with pytest.raises(ValidationError, match="Choose somebody on the list"):
            self.record(make_volunteer())

    def test_only_the_lead_keeps_the_list(self):
        mine = self.held.volunteer.user
        with pytest.raises(ValidationError, match="Only the lead"):
            self.record(by=mine)
        with pytest.raises(ValidationError, match="Only the lead"):
            gate_services.record_list(gathering=self.gathering, marks=[], by=mine)

    def test_the_list_writes_who_came_and_strikes_who_did_not(self):
        self.record()
        other = make_volunteer(demonstration=self.demonstration)
        start, end = self.gathering.starts_at, self.gathering.ends_at
        marks = [Mark(self.held.volunteer, None, None), Mark(other, start, end)]
        gate_services.record_list(
            gathering=self.gathering, marks=marks, by=self.lead.user
        )
        assert [row.volunteer for row in Turnout.objects.all()] == [other]


class WriteInTests(EveningCase):
    def write_in(self, *, minutes=15, by=None, **who):
        return gate_services.write_in(
            gathering=self.gathering,
            by=by or self.lead.user,
            now=self.gathering.starts_at + timedelta(minutes=minutes),
            **who,
        )

    def test_a_name_heard_at_the_gate_becomes_a_volunteer(self):
        came = self.write_in(name="Ben Walker")
        assert came.volunteer.demonstration == self.demonstration
        assert came.arrived_at == self.gathering.starts_at + timedelta(minutes=15)
        assert came.left_at == self.gathering.ends_at

    def test_somebody_known_is_taken_as_they_are(self):
        known = make_volunteer(demonstration=self.demonstration)
        assert self.write_in(volunteer=known).volunteer == known

    def test_before_or_after_it_counts_from_the_start(self):
        for minutes in (-30, 600):
            came = self.write_in(minutes=minutes, volunteer=self.held.volunteer)
            assert came.arrived_at == self.gathering.starts_at

    def test_only_the_lead_writes_in(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.write_in(by=self.held.volunteer.user, name="Ben Walker")
