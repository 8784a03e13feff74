"""What the database refuses of a printing."""

import pytest
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.common.making import State, WhyNot
from tests.factories import make_demonstration, make_printing


class ConstraintTests(TestCase):
    def refused(self, **fields):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_printing(**fields)

    def test_one_of_a_kind_is_made_at_a_time(self):
        home = make_demonstration()
        make_printing(demonstration=home, state=State.MAKING)
        make_printing(demonstration=home, state=State.ASKED, name="cards")
        make_printing(demonstration=home)
        self.refused(demonstration=home, state=State.ASKED)

    def test_one_that_is_made_has_its_file_and_says_when(self):
        self.refused(file="")
        self.refused(made_at=None)

    def test_one_that_was_not_made_says_why_and_no_other_does(self):
        make_printing(state=State.FAILED, why_not=WhyNot.NO_ROOM)
        self.refused(state=State.FAILED)
        self.refused(why_not=WhyNot.NO_ROOM)

    def test_it_is_called_by_its_kind_and_day(self):
        made = make_printing()
        assert str(made) == f"{made.demonstration_id}: booklet, 2026-08-12"
