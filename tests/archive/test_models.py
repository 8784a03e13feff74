"""What the database refuses of an archive."""

import pytest
from django.db import IntegrityError
from django.test import TestCase

from heritage.archive.models import Archive
from heritage.common.making import State, WhyNot
from tests.factories import make_archive, make_demonstration


class ConstraintTests(TestCase):
    def refused(self, rule, **fields):
        with pytest.raises(IntegrityError):
            make_archive(**fields)

    def test_one_is_made_at_a_time_of_each_demonstration(self):
        home = make_demonstration()
        make_archive(demonstration=home, state=State.MAKING)
        make_archive(state=State.ASKED)
        make_archive(demonstration=home)
        self.refused("archive_one_at_a_time", demonstration=home, state=State.ASKED)

    def test_one_that_is_made_has_its_file_and_its_mark(self):
        self.refused("archive_made_with_its_file", mark="")

    def test_one_that_is_made_says_when(self):
        self.refused("archive_made_with_its_file", made_at=None)

    def test_one_that_was_not_made_says_why(self):
        make_archive(state=State.FAILED, why_not=WhyNot.NO_ROOM)
        self.refused("archive_not_made_with_why", state=State.FAILED)

    def test_one_that_was_made_says_no_why(self):
        self.refused("archive_not_made_with_why", why_not=WhyNot.NO_ROOM)

    def test_a_state_that_nobody_knows(self):
        self.refused("archive_not_made_with_why", state="lost")


@pytest.mark.django_db
def test_it_is_named_by_its_day_and_leads_to_its_page():
    archive = make_archive()
    assert str(archive) == f"{archive.demonstration_id}: 2026-08-12"
    slug = archive.demonstration.slug
    assert archive.get_absolute_url() == f"/at/{slug}/archive/"
    assert archive.key in archive.file.name


@pytest.mark.django_db
def test_it_is_whole_once_it_was_read_through_and_nothing_was_wrong():
    archive = make_archive()
    assert not archive.is_whole
    archive.checked_at = archive.made_at
    assert archive.is_whole
    archive.findings = [["changed", "data/a"]]
    assert not archive.is_whole
    assert archive.wrong_files == [("changed", "data/a")]
    assert list(Archive.objects.made()) == [archive]
