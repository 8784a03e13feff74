"""What the database refuses, and how a phone's clock is spoken of."""

import uuid
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.fieldlog.models import Receipt
from tests.factories import NOW, make_gathering, make_user


class ReceiptTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.gathering, cls.user = make_gathering(), make_user()

    def make(self, **fields):
        fields = {
            "key": uuid.uuid4(),
            "gathering": self.gathering,
            "by": self.user,
            "kind": "note",
            "outcome": "kept",
            "words": "Note saved.",
            "received_at": NOW,
            "counts_from": NOW,
        } | fields
        return Receipt.objects.create(**fields)

    def refused(self, name, **fields):
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            self.make(**fields)

    def test_a_key_has_one_receipt(self):
        key = self.make().key
        with pytest.raises(IntegrityError, match="key"), transaction.atomic():
            self.make(key=key)

    def test_kinds_and_outcomes_are_known_ones(self):
        self.refused("receipt_kind_known", kind="shout")
        self.refused("receipt_outcome_known", outcome="lost")

    def test_the_phones_clock_is_spoken_of_from_a_minute_on(self):
        minute = timedelta(minutes=1)
        assert self.make(sent_at=NOW + 7 * minute).skew_words == "7 min fast"
        assert self.make(sent_at=NOW - 3 * minute).skew_words == "3 min slow"
        assert self.make(sent_at=NOW + minute / 3).skew_words == ""
        assert self.make(sent_at=NOW - 600 * minute).skew_words == "10 h slow"
        assert self.make(sent_at=NOW + 5000 * minute).skew_words == "3 days fast"
        assert self.make(sent_at=None).skew_words == ""
