"""The tally book: what goes in, and how a wrong line is corrected."""

import uuid
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings.models import GatheringStatus
from heritage.tally import services
from heritage.tally.models import Entry, OwnLog, Source, Way, Work, WorkKind
from tests.factories import (
    make_gathering,
    make_organiser,
    make_plot,
    make_turnout,
    make_volunteer,
)


class BookTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.gathering = make_gathering()
        cls.demonstration = cls.gathering.demonstration
        cls.by = make_organiser(demonstration=cls.demonstration).user
        cls.ann = make_volunteer(demonstration=cls.demonstration)
        cls.now = cls.gathering.starts_at + timedelta(hours=1)

    def log(self, **fields):
        fields = {
            "gathering": self.gathering,
            "volunteer": self.ann,
            "beets": 7,
            "by": self.by,
            "now": self.now,
        } | fields
        return services.log_beets(**fields)


class LogBeetsTests(BookTests):
    def test_an_entry_carries_who_when_and_where(self):
        plot = make_plot(demonstration=self.demonstration)
        entry = self.log(plot=plot, way=Way.MACHINE)
        entry.refresh_from_db()
        assert (entry.beets, entry.plot, entry.way) == (7, plot, "machine")
        assert (entry.entered_by, entry.entered_at) == (self.by, self.now)

    def test_the_gatherings_plot_serves_when_none_is_named(self):
        self.gathering.plot = make_plot(demonstration=self.demonstration)
        assert self.log().plot == self.gathering.plot

    def test_the_same_key_twice_is_the_same_entry(self):
        key = uuid.uuid4()
        assert self.log(key=key) == self.log(key=key, beets=9)
        assert Entry.objects.beets() == 7

    def test_nobody_pulls_fewer_than_one_beet(self):
        for beets in (0, -3):
            with pytest.raises(ValidationError, match="at least one beet"):
                self.log(beets=beets)

    def test_a_count_beyond_belief_is_refused(self):
        with pytest.raises(ValidationError, match=r"at most 10,000"):
            self.log(beets=10_001)

    def test_the_book_is_shut_before_the_gathering(self):
        with pytest.raises(ValidationError, match="This gathering hasn't begun yet"):
            self.log(now=self.gathering.starts_at - timedelta(hours=3))

    def test_early_comers_may_begin(self):
        assert self.log(now=self.gathering.starts_at - timedelta(hours=1)).pk

    def test_nothing_is_pulled_at_a_gathering_called_off(self):
        self.gathering.status = GatheringStatus.CALLED_OFF
        with pytest.raises(ValidationError, match="called off"):
            self.log()

    def test_a_draft_has_no_book(self):
        self.gathering.status = GatheringStatus.DRAFT
        with pytest.raises(ValidationError, match="This gathering hasn't begun yet"):
            self.log()

    def test_a_stranger_is_not_credited(self):
        with pytest.raises(ValidationError, match="isn't on the list here"):
            self.log(volunteer=make_volunteer())

    def test_another_fields_plot_is_refused_by_its_field(self):
        with pytest.raises(ValidationError) as refusal:
            self.log(plot=make_plot())
        assert list(refusal.value.message_dict) == ["plot"]


class LogEveningTests(BookTests):
    def test_whoever_is_credited_came(self):
        bea = make_volunteer(demonstration=self.demonstration)
        make_turnout(gathering=self.gathering, volunteer=bea)
        self.evening({self.ann: 5, bea: 6})
        assert self.gathering.turnout.count() == 2
        assert self.gathering.entries.beets() == 11

    def test_the_same_sheet_twice_changes_nothing(self):
        key = uuid.uuid4()
        self.evening({self.ann: 5}, key=key)
        self.evening({self.ann: 5}, key=key)
        assert self.gathering.entries.beets() == 5

    def test_one_bad_line_leaves_the_whole_sheet_out(self):
        with pytest.raises(ValidationError):
            self.evening({self.ann: 5, make_volunteer(): 4})
        assert not self.gathering.entries.exists()

    def evening(self, counts, key=None):
        return services.log_evening(
            sheet=services.Sheet(self.gathering, key or uuid.uuid4()),
            counts=counts,
            by=self.by,
            now=self.now,
        )


class CorrectTests(BookTests):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.entry = services.log_beets(
            gathering=cls.gathering, volunteer=cls.ann, beets=7, by=cls.by, now=cls.now
        )

    def correct(self, right_beets=5, reason="Counted twice", entry=None):
        return services.correct(
            entry=entry or self.entry,
            right_beets=right_beets,
            reason=reason,
            by=self.by,
            now=self.now,
        )

    def test_the_book_keeps_both_lines(self):
        counter = self.correct(5)
        self.entry.refresh_from_db()
        assert (self.entry.beets, counter.beets) == (7, -2)
        assert self.gathering.entries.beets() == 5

    def test_a_second_correction_reckons_with_the_first(self):
        self.correct(5)
        assert self.correct(9).beets == 4
        assert self.gathering.entries.beets() == 9

    def test_an_entry_can_be_taken_out_whole(self):
        self.correct(0)
        assert self.gathering.entries.beets() == 0

    def test_a_reason_is_asked_for(self):
        with pytest.raises(ValidationError, match="Say why"):
            self.correct(reason="  ")

    def test_fewer_than_no_beets_is_refused(self):
        with pytest.raises(ValidationError, match="Enter 0 or more"):
            self.correct(-1)

    def test_what_the_book_says_already_is_no_correction(self):
        with pytest.raises(ValidationError, match="That's the same as before"):
            self.correct(7)

    def test_a_correction_is_not_corrected(self):
        with pytest.raises(
            ValidationError, match="Correct the first entry, not its correction"
        ):
            self.correct(entry=self.correct(5))


class CrewTests(BookTests):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.bob = make_volunteer(demonstration=cls.demonstration)
        cls.cat = make_volunteer(demonstration=cls.demonstration)

    def crew(self, beets=20, weights=(1, 1, 1), key=None, **fields):
        people = (self.ann, self.bob, self.cat)
        return services.log_crew(
            sheet=services.Sheet(self.gathering, key or uuid.uuid4(), **fields),
            beets=beets,
            weights=dict(zip(people, map(Fraction, weights), strict=True)),
            by=self.by,
            now=self.now,
        )

    def test_shares_are_whole_and_come_to_the_total(self):
        key = uuid.uuid4()
        entries = self.crew(key=key, way=Way.MACHINE)
        assert [entry.beets for entry in entries] == [7, 7, 6]
        assert {entry.crew for entry in entries} == {key}
        assert {entry.way for entry in entries} == {"machine"}
        assert self.gathering.turnout.count() == 3

    def test_agreed_weights_are_kept_to(self):
        shares = [entry.beets for entry in self.crew(10, (2, 1, "0.5"))]
        assert shares == [6, 3, 1]

    def test_who_has_no_share_has_no_entry(self):
        assert len(self.crew(20, (1, 0, 1))) == 2
        assert len(self.crew(1, (1, 1, 1))) == 1

    def test_the_same_crew_sent_twice_is_the_same_crew(self):
        key = uuid.uuid4()
        first, again = self.crew(key=key), self.crew(beets=99, key=key)
        assert first == again
        assert self.gathering.entries.beets() == 20

    def test_nobody_in_it_is_no_crew(self):
        with pytest.raises(ValidationError, match="who was in the crew"):
            self.crew(weights=(0, 0, 0))

    def test_nothing_pulled_is_refused_by_its_field(self):
        with pytest.raises(ValidationError, match="pulled together") as refusal:
            self.crew(beets=0)
        assert list(refusal.value.message_dict) == ["beets"]

    def test_a_share_is_put_right_alone(self):
        entry = self.crew()[0]
        counter = services.correct(
            entry=entry, right_beets=5, reason="Left early", by=self.by, now=self.now
        )
        assert counter.crew == entry.crew
        assert len(self.crew(key=entry.crew)) == 3


class PaperTests(BookTests):
    def paper(self, check_total, counts=None):
        return services.log_paper(
            sheet=services.Sheet(self.gathering, uuid.uuid4()),
            counts=counts or {self.ann: 12},
            check_total=check_total,
            by=self.by,
            now=self.now,
        )

    def test_a_sheet_that_agrees_is_written(self):
        [entry] = self.paper(12)
        assert (entry.beets, entry.source) == (12, Source.PAPER)

    def test_a_sheet_that_does_not_is_refused_whole_with_the_difference(self):
        bob = make_volunteer(demonstration=self.demonstration)
        with pytest.raises(ValidationError, match="a difference of 3") as refusal:
            self.paper(25, {self.ann: 12, bob: 10})
        assert list(refusal.value.message_dict) == ["check_total"]
        assert not self.gathering.entries.exists()


class SourceTests(BookTests):
    def test_each_way_in_says_where_it_came_from(self):
        [led] = services.log_evening(
            sheet=services.Sheet(self.gathering, uuid.uuid4()),
            counts={self.ann: 3},
            by=self.by,
            now=self.now,
        )
        assert (self.log().source, led.source) == (Source.FIELD, Source.LEAD)


class WorkTests(BookTests):
    def work(self, **fields):
        fields = {
            "gathering": self.gathering,
            "kind": WorkKind.BANDS,
            "amount": 40,
            "by": self.by,
            "now": self.now,
        } | fields
        return services.log_work(**fields)

    def correct(self, work, right_amount=30, reason="Miscounted"):
        return services.correct_work(
            work=work,
            right_amount=right_amount,
            reason=reason,
            by=self.by,
            now=self.now,
        )

    def test_work_is_written_with_who_and_what(self):
        work = self.work(volunteer=self.ann, note="Rushes")
        assert (work.kind, work.amount, work.volunteer) == ("bands", 40, self.ann)

    def test_the_same_key_twice_is_the_same_line(self):
        key = uuid.uuid4()
        assert self.work(key=key) == self.work(key=key, amount=9)
        assert Work.objects.count() == 1

    def test_less_than_one_is_refused(self):
        with pytest.raises(ValidationError, match="at least 1"):
            self.work(amount=0)

    def test_a_stranger_does_no_work_here(self):
        with pytest.raises(ValidationError, match="isn't on the list here"):
            self.work(volunteer=make_volunteer())

    def test_nothing_is_done_before_it_begins(self):
        with pytest.raises(ValidationError, match="This gathering hasn't begun yet"):
            self.work(now=self.gathering.starts_at - timedelta(days=1))

    def test_a_line_is_put_right_by_another(self):
        work = self.work()
        assert self.correct(work).amount == -10
        assert self.correct(work, 35).amount == 5
        assert self.gathering.work.all().sums() == {"bands": 35}

    def test_a_correction_needs_its_reason_and_a_difference(self):
        work = self.work()
        for said, words in (
            ({"reason": " "}, "Say why"),
            ({"right_amount": -1}, "Enter 0 or more"),
            ({"right_amount": 40}, "That's the same as before"),
        ):
            with pytest.raises(ValidationError, match=words):
                self.correct(work, **said)

    def test_a_correction_is_not_corrected(self):
        with pytest.raises(
            ValidationError, match="Correct the first entry, not its correction"
        ):
            self.correct(self.correct(self.work()))


class GroundTests(BookTests):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.plot = make_plot(demonstration=cls.demonstration, area_m2=Decimal(1000))

    def measure(self, area, gathering=None, plot=None):
        return services.measure_ground(
            gathering=gathering or self.gathering,
            plot=plot or self.plot,
            area_m2=Decimal(area),
            by=self.by,
            now=self.now,
        )

    def test_ground_is_measured_and_measured_again(self):
        self.measure(900)
        assert self.measure(1000).area_m2 == 1000
        assert self.measure(0).area_m2 == 0

    def test_no_more_is_cleared_than_there_is(self):
        other = make_gathering(demonstration=self.demonstration)
        self.measure(700, gathering=other)
        assert self.measure(400).pk
        with pytest.raises(ValidationError, match="other evenings cleared") as refusal:
            self.measure(401)
        assert list(refusal.value.message_dict) == ["area"]

    def test_less_than_nothing_is_refused(self):
        with pytest.raises(ValidationError, match="Enter 0 or more"):
            self.measure(-1)

    def test_another_fields_plot_is_refused(self):
        with pytest.raises(ValidationError, match="That plot isn't in this field"):
            self.measure(10, plot=make_plot())


class OwnLogTests(BookTests):
    def own(self, **fields):
        fields = {
            "gathering": self.gathering,
            "volunteer": self.ann,
            "beets": 8,
            "by": self.ann.user,
            "now": self.now,
        } | fields
        return services.log_own(**fields)

    def answer(self, own_log, right_beets=8, reason="", by=None):
        return services.answer_own(
            own_log=own_log,
            right_beets=right_beets,
            reason=reason,
            by=by or self.by,
            now=self.now,
        )

    def test_an_own_log_is_no_line_of_the_book(self):
        self.own()
        assert not Entry.objects.exists()
        assert OwnLog.objects.unanswered().beets() == 8

    def test_the_same_key_twice_is_the_same_log(self):
        key = uuid.uuid4()
        assert self.own(key=key) == self.own(key=key)

    def test_too_many_and_strangers_are_refused(self):
        with pytest.raises(ValidationError, match="1000"):
            self.own(beets=1001)
        with pytest.raises(ValidationError, match="isn't on the list here"):
            self.own(volunteer=make_volunteer())

    def test_only_who_answers_for_them_or_organises_speaks_for_somebody(self):
        bob = make_volunteer(demonstration=self.demonstration)
        elsewhere = make_organiser()
        for stranger in (bob, elsewhere):
            with pytest.raises(ValidationError, match="or their guardian can say this"):
                self.own(by=stranger.user)
        assert not OwnLog.objects.exists()
        child = make_volunteer(
            demonstration=self.demonstration,
            user=None,
            age_band="under_13",
            guardian=bob,
        )
        assert self.own(volunteer=child, by=bob.user).said_by == bob.user
        assert self.own(by=self.by).said_by == self.by

    def test_a_lead_confirms_it_into_the_book(self):
        answer = self.answer(self.own(way=Way.MACHINE))
        assert (answer.entry.beets, answer.entry.source) == (8, Source.OWN)
        assert answer.entry.way == "machine"
        assert OwnLog.objects.unanswered().beets() == 0

    def test_another_number_needs_a_reason(self):
        log = self.own()
        with pytest.raises(
            ValidationError, match="Say why it differs from what they entered"
        ):
            self.answer(log, 5)
        assert self.answer(log, 5, "Two were Bob's").entry.beets == 5

    def test_none_at_all_leaves_no_entry(self):
        answer = self.answer(self.own(), 0, "Counted already")
        assert answer.entry is None
        assert not Entry.objects.exists()

    def test_fewer_than_none_is_refused(self):
        with pytest.raises(ValidationError, match="Enter 0 or more"):
            self.answer(self.own(), -1, "Odd")

    def test_one_answer_is_enough(self):
        log = self.own()
        self.answer(log)
        with pytest.raises(ValidationError, match="Somebody has already answered this"):
            self.answer(log)

    def test_nobody_confirms_their_own(self):
        with pytest.raises(
            ValidationError,
            match="Ask somebody else to confirm what you pulled yourself",
        ):
            self.answer(self.own(), by=self.ann.user)
