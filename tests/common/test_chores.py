"""The site's own work is written down: one row for each chore."""

from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.test import TestCase

from heritage.common.chores import LONGEST_TROUBLE, note_done
from heritage.common.models import Chore, LastRun
from tests.factories import NOW


class NoteTests(TestCase):
    def test_each_chore_has_one_row_that_says_when_it_was_last_done(self):
        later = NOW + timedelta(minutes=5)
        note_done(chore=Chore.TEND, now=NOW, trouble="x" * 300)
        assert LastRun.objects.get().trouble == "x" * LONGEST_TROUBLE
        note_done(chore=Chore.TEND, now=later)
        note_done(chore=Chore.TIDY, now=NOW)
        found = LastRun.objects.by_chore()
        assert {key: (row.at, row.trouble) for key, row in found.items()} == {
            "tend": (later, ""),
            "tidy": (NOW, ""),
        }
        assert str(found["tend"]) == "tend: 2026-08-12 17:45"

    def test_the_database_knows_the_chores(self):
        with pytest.raises(IntegrityError, match="last_run_chore_known"):
            LastRun.objects.create(chore="dust", at=NOW)

    def test_the_database_keeps_one_row_for_each(self):
        LastRun.objects.create(chore=Chore.TIDY, at=NOW)
        with pytest.raises(IntegrityError):
            LastRun.objects.create(chore=Chore.TIDY, at=NOW)
