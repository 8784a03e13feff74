"""What the database itself refuses in the tally book."""

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.tally.models import Answer
from tests.factories import NOW, make_entry, make_gathering, make_plot, make_user
from tests.tally.rows import make_measure, make_own_log, make_work


class EntryConstraintTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.entry = make_entry(gathering=make_gathering())

    def refused(self, **fields):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_entry(
                gathering=self.entry.gathering,
                volunteer=self.entry.volunteer,
                **fields,
            )

    def test_no_entry_takes_beets_away(self):
        self.refused(beets=-1)

    def test_no_entry_counts_nothing(self):
        self.refused(beets=0)

    def test_no_correction_without_its_reason(self):
        self.refused(beets=-1, corrects=self.entry)

    def test_no_count_beyond_belief(self):
        self.refused(beets=10_001)

    def test_no_way_of_pulling_unknown(self):
        self.refused(way="tooth")

    def test_no_source_unknown(self):
        self.refused(source="hearsay")

    def test_one_key_is_one_entry(self):
        self.refused(key=self.entry.key)


class OtherConstraintTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.gathering = make_gathering()
        cls.entry = make_entry(gathering=cls.gathering)
        cls.log = make_own_log(
            gathering=cls.gathering, volunteer=cls.entry.volunteer, beets=5
        )

    def refused(self, make, **fields):
        with pytest.raises(IntegrityError), transaction.atomic():
            make(**fields)

    def test_work_counts_up_unless_it_corrects(self):
        here = {"gathering": self.gathering}
        line = make_work(**here)
        for wrong in (
            {"amount": 0},
            {"amount": -1},
            {"amount": 10_001},
            {"kind": "napping"},
            {"amount": -1, "corrects": line},
            {"amount": 0, "corrects": line, "note": "Why"},
            {"key": line.key},
        ):
            self.refused(make_work, **here, **wrong)
        assert make_work(amount=-1, corrects=line, note="Why", **here).pk
        assert str(line) == "bands: 20"

    def test_ground_is_never_below_nothing(self):
        plot = make_plot(demonstration=self.gathering.demonstration)
        here = {"gathering": self.gathering, "plot": plot}
        self.refused(make_measure, area_m2=-1, **here)
        assert str(make_measure(area_m2=2, **here)) == f"{plot.pk}: 2 m²"

    def test_an_own_log_holds_what_a_person_can_pull(self):
        here = {"gathering": self.gathering, "volunteer": self.entry.volunteer}
        for wrong in ({"beets": 0}, {"beets": 1001}, {"way": "tooth"}):
            self.refused(make_own_log, **here, **wrong)
        assert str(self.log) == f"{self.entry.volunteer_id}: 5"

    def test_an_answer_confirms_or_says_why_and_is_given_once(self):
        said = {
            "own_log": self.log,
            "answered_at": NOW,
            "answered_by": make_user(),
        }
        self.refused(Answer.objects.create, **said)
        answer = Answer.objects.create(reason="Counted already", **said)
        self.refused(Answer.objects.create, entry=self.entry, **said)
        assert str(answer) == f"{self.log.pk}: refused"
        assert str(self.entry) == f"{self.entry.volunteer_id}: 5"
