"""Tonight's names, and what came in."""

from datetime import timedelta

import pytest
from django.test import TestCase

from heritage.fieldlog.models import FieldNote, Thunder
from heritage.fieldlog.selectors import field_book, field_state
from heritage.fieldlog.services import receive
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_briefing,
    make_dam,
    make_demonstration,
    make_entry,
    make_gathering,
    make_past_ret,
    make_ret,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.fieldlog.slips import ENDS, STARTS, slip


@pytest.mark.any_database
class SelectorTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.lead = make_volunteer(demonstration=cls.demonstration, name="Zoe Marl")
        cls.gathering = make_gathering(
            demonstration=cls.demonstration,
            lead=cls.lead,
            starts_at=STARTS,
            ends_at=ENDS,
        )
        cls.station = make_station(gathering=cls.gathering, places=99)
        cls.ann = cls.person("Ann Birch")
        cls.child = cls.person("Bea Moss", age_band=AgeBand.FROM_13, guardian=cls.ann)
        make_sign_up(station=cls.station, volunteer=cls.ann)

    @classmethod
    def person(cls, name, **fields):
        return make_volunteer(
            demonstration=cls.demonstration, name=name, user=None, **fields
        )

    def test_only_tonights_names_are_told(self):
        self.person("Not Expected")
        make_turnout(gathering=self.gathering, volunteer=self.child, left_at=None)
        make_entry(gathering=self.gathering, volunteer=self.lead, beets=7)
        told = [
            (one.name, one.arrived_at is not None, one.beets)
            for one in field_state(self.gathering, NOW).people
        ]
        assert told == [
            ("Ann Birch", False, 0),
            ("Bea", True, 0),
            ("Zoe Marl", False, 7),
        ]

    def test_who_was_written_in_is_known_by_that_slip(self):
        receipt = receive(
            gathering=self.gathering,
            slip=slip("walk_in", name="Dora Vale"),
            by=self.lead.user,
            now=NOW,
        )
        (dora,) = [
            one for one in field_state(self.gathering, NOW).people if one.walk_in
        ]
        assert (dora.name, dora.walk_in) == ("Dora Vale", str(receipt.key))

    def test_every_thunder_starts_the_wait_anew(self):
        assert field_state(self.gathering, NOW).resume_at is None
        for minutes in (0, 20):
            at = STARTS + timedelta(minutes=minutes)
            Thunder.objects.create(gathering=self.gathering, at=at, by=self.lead.user)
        resume = STARTS + timedelta(minutes=50)
        assert field_state(self.gathering, NOW).resume_at == resume
        assert field_book(self.gathering).resume_at == resume

    def test_only_rets_under_water_are_offered(self):
        dam = make_dam(demonstration=self.demonstration)
        make_past_ret(dam=dam)
        going = make_ret(dam=dam)
        assert field_state(self.gathering, NOW).rets == [going]

    def test_the_page_closes_six_hours_after_the_end(self):
        assert field_state(self.gathering, NOW).closes_at == ENDS + timedelta(hours=6)

    def test_the_book_shows_what_came_in(self):
        for kind, data in (("note", {"text": "Wet."}), ("note", {"text": ""})):
            receive(
                gathering=self.gathering,
                slip=slip(kind, **data),
                by=self.lead.user,
                now=NOW,
            )
        book = field_book(self.gathering)
        assert [note.text for note in book.notes] == ["Wet."]
        assert [row.outcome for row in book.receipts] == ["refused", "kept"]

    def test_it_tells_where_each_works_and_who_may_not_begin(self):
        """A phone without a signal knows whom the lead has yet to tell."""
        water = make_station(
            gathering=self.gathering,
            title="At the water",
            briefing=make_briefing(demonstration=self.demonstration),
        )
        dry, wet = self.person("Dora Dry"), self.person("Wim Wet")
        make_sign_up(station=self.station, volunteer=dry)
        make_sign_up(station=water, volunteer=wet)
        told = {
            one.volunteer: (one.stations.own, one.stations.not_yet)
            for one in field_state(self.gathering, NOW).people
        }
        assert told[dry] == (self.station, "")
        assert told[wet] == (water, "not heard")

    def test_it_tells_who_may_be_put_where(self):
        """By the rules of the gate, for those known and for whoever walks in."""
        water = make_station(
            gathering=self.gathering,
            kind="tread",
            briefing=make_briefing(demonstration=self.demonstration),
        )
        make_turnout(gathering=self.gathering, volunteer=self.child)
        state = field_state(self.gathering, NOW)
        barred = {one.volunteer: one.stations.barred for one in state.people}
        assert barred[self.ann] == {water.pk: "to hear first"}
        assert barred[self.child] == {water.pk: "not old enough"}
        dry, wet = state.offers
        assert "adult" not in dry.barred
        assert wet.barred["adult"] == "to hear first"
        assert wet.barred["under_13"] == "not old enough"

    def test_a_name_that_is_on_the_list_twice_is_to_be_settled(self):
        make_turnout(gathering=self.gathering, volunteer=self.ann, left_at=None)
        receive(
            gathering=self.gathering,
            slip=slip("walk_in", name="ann  BIRCH"),
            by=self.lead.user,
            now=NOW,
        )
        (one,) = field_book(self.gathering).apart
        assert one.receipt.volunteer.name == "ann BIRCH"
        assert [other.volunteer for other in one.namesakes] == [self.ann]
        assert one.namesakes[0].arrived_at is not None
        assert field_state(self.gathering, NOW).to_settle == 1
        self.ann.left_at = NOW
        self.ann.save()
        assert field_state(self.gathering, NOW).to_settle == 0

    def test_queries_do_not_grow(self):
        make_turnout(gathering=self.gathering, volunteer=self.ann)
        self.twice("Ann Birch")
        self.check_queries()
        for n in range(9):
            self.twice("Ann Birch")
            person = self.person(f"Person {n}")
            make_sign_up(station=self.station, volunteer=person)
            make_turnout(gathering=self.gathering, volunteer=person)
            make_entry(gathering=self.gathering, volunteer=person)
            FieldNote.objects.create(
                gathering=self.gathering, text="Wet.", at=NOW, by=self.lead.user
            )
            make_ret(dam=make_dam(demonstration=self.demonstration))
        self.check_queries()

    def twice(self, name):
        receive(
            gathering=self.gathering,
            slip=slip("walk_in", name=name),
            by=self.lead.user,
            now=NOW,
        )

    def check_queries(self):
        with self.assertNumQueries(20):
            state = field_state(self.gathering, NOW)
            assert all(str(ret.dam) for ret in state.rets)
        with self.assertNumQueries(6):
            book = field_book(self.gathering)
            assert all(str(note.by) for note in book.notes)
