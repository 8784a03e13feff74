"""What the database itself refuses in the tally book."""

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from tests.factories import make_entry, make_gathering


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

    def test_one_key_is_one_entry(self):
        self.refused(key=self.entry.key)
