"""The tally book: what goes in, and how a wrong line is put right."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings.models import GatheringStatus
from heritage.tally import services
from heritage.tally.models import Entry, Way
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
        with pytest.raises(ValidationError, match="not begun"):
            self.log(now=self.gathering.starts_at - timedelta(hours=3))

    def test_early_comers_may_begin(self):
        assert self.log(now=self.gathering.starts_at - timedelta(hours=1)).pk

    def test_nothing_is_pulled_at_a_gathering_called_off(self):
        self.gathering.status = GatheringStatus.CALLED_OFF
        with pytest.raises(ValidationError, match="called off"):
            self.log()

    def test_a_draft_has_no_book(self):
        self.gathering.status = GatheringStatus.DRAFT
        with pytest.raises(ValidationError, match="not begun"):
            self.log()

    def test_a_stranger_is_not_credited(self):
        with pytest.raises(ValidationError, match="not a volunteer here"):
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
            gathering=self.gathering,
            counts=counts,
            by=self.by,
            now=self.now,
            key=key or uuid.uuid4(),
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
        with pytest.raises(ValidationError, match="fewer than no beets"):
            self.correct(-1)

    def test_what_the_book_says_already_is_no_correction(self):
        with pytest.raises(ValidationError, match="says that already"):
            self.correct(7)

    def test_a_correction_is_not_corrected(self):
        with pytest.raises(ValidationError, match="Correct the first entry"):
            self.correct(entry=self.correct(5))
