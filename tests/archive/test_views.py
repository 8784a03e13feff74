"""The archive's page: how things stand, one act, and the file to save."""

import re
from datetime import timedelta
from unittest.mock import patch

import pytest
from django.core.files.storage import default_storage
from django.test import TestCase
from django.urls import reverse

from heritage.archive import selectors
from heritage.archive.models import Archive
from heritage.archive.words import FINDINGS, GONE
from heritage.common import clock
from heritage.common.making import QUIET, State, WhyNot
from heritage.kits.bag_check import Wrong
from heritage.pictures import services as pictures
from tests.archive.test_services import one_file, with_parts
from tests.factories import (
    NOW,
    make_archive,
    make_organiser,
    make_picture,
    make_volunteer,
)
from tests.responses import finish


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class PageCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.home = cls.nora.demonstration

    def setUp(self):
        self.client.force_login(self.nora.user)

    def address(self, name="page", *keys):
        return reverse(f"archive:{name}", args=[self.home.slug, *keys])

    def words(self):
        response = self.client.get(self.address())
        assert response.status_code == 200
        text = re.sub(r"<[^>]+>", " ", response.content.decode())
        return re.sub(r"\s+", " ", text)

    def archive(self, **fields):
        return make_archive(demonstration=self.home, **fields)


class StandingTests(PageCase):
    def test_none_yet(self):
        words = self.words()
        assert "No archive yet." in words
        assert "Make the archive" in words
        assert "Save it" not in words
        assert "holds names, contact details" in words

    def test_made_and_whole(self):
        self.archive(checked_at=NOW)
        words = self.words()
        assert "Made on 12 August 2026, 18:40, and whole when checked" in words
        assert "Save it" in words

    def test_made_and_not_checked_yet(self):
        self.archive()
        assert "not checked yet" in self.words()

    def test_no_longer_whole(self):
        self.archive(checked_at=NOW, findings=[["changed", "data/website/a.jpg"]])
        words = self.words()
        assert "but damaged: make it again" in words
        assert "A file has changed. data/website/a.jpg" in words

    def test_every_finding_has_its_sentence_and_only_some_are_shown(self):
        assert set(FINDINGS) == {GONE, *Wrong}
        many = [["missing", f"data/{number}"] for number in range(99)]
        self.archive(checked_at=NOW, findings=many)
        page = selectors.archive_page(self.home, self.nora.user, NOW)
        assert len(page.findings) == 10

    def test_how_far_it_is(self):
        self.archive(state=State.MAKING, done=40, total=90)
        words = self.words()
        assert "making a new archive: 40 of 90 pictures so far." in words
        assert "Make the archive" not in words

    def test_one_that_died_does_not_stand_in_the_way(self):
        told = NOW - QUIET - timedelta(seconds=1)
        self.archive(state=State.MAKING, told_at=told)
        assert "Make the archive" in self.words()

    def test_the_last_try_failed(self):
        self.archive(state=State.FAILED, why_not=WhyNot.NO_ROOM)
        words = self.words()
        assert "The last try failed. There is no room left" in words
        self.archive()
        assert "failed" not in self.words()

    def test_files_that_were_missing(self):
        self.archive(missing=2)
        assert (
            "2 picture files are missing, so they aren't in the archive."
            in self.words()
        )

    def test_pictures_taken_down_since(self):
        kept, down, gone = (make_picture(demonstration=self.home) for _ in range(3))
        self.archive(shown=[kept.pk, down.pk, gone.pk])
        assert "been taken down" not in self.words()
        pictures.withdraw(picture=down)
        assert "1 picture in it has been taken down since." in self.words()
        pictures.delete_picture(picture=gone, reason="Out", by=self.nora.user, now=NOW)
        assert "2 pictures in it have been taken down since." in self.words()

    def test_an_original_deleted_since(self):
        self.archive()
        hidden = make_picture(demonstration=self.home, is_published=False)
        pictures.delete_picture(
            picture=hidden, reason="Out", by=self.nora.user, now=NOW
        )
        assert "1 picture in it has been taken down since." in self.words()

    def test_five_queries_whatever_there_is(self):
        with self.assertNumQueries(3):
            selectors.archive_page(self.home, self.nora.user, NOW)
        for count in (1, 12):
            shown = [make_picture(demonstration=self.home).pk for _ in range(count)]
            self.archive(shown=shown, asked_at=NOW)
            with self.assertNumQueries(5):
                selectors.archive_page(self.home, self.nora.user, NOW)


class ActTests(PageCase):
    def post(self, name, *keys):
        with self.captureOnCommitCallbacks(execute=True), with_parts(one_file):
            return self.client.post(self.address(name, *keys))

    def test_it_is_made_and_saved(self):
        response = self.post("make")
        assert response.url == self.address()
        archive = Archive.objects.get()
        assert archive.state == State.MADE
        response = self.client.get(self.address("file", archive.pk))
        name = f"{self.home.slug}-2026-08-12.zip"
        assert response["Content-Disposition"] == f'attachment; filename="{name}"'
        assert response["Content-Type"] == "application/zip"
        assert finish(response).startswith(b"PK")

    def test_it_is_read_through_again(self):
        archive = self.archive()
        response = self.post("check", archive.pk)
        assert response.url == self.address()
        assert "and whole when checked" in self.words()

    def test_a_file_that_is_gone_is_not_found(self):
        archive = self.archive()
        default_storage.delete(archive.file.name)
        response = self.client.get(self.address("file", archive.pk))
        assert response.status_code == 404

    def test_one_that_is_not_made_has_no_file(self):
        archive = self.archive(state=State.ASKED)
        response = self.client.get(self.address("file", archive.pk))
        assert response.status_code == 404

    def test_nothing_is_made_by_looking(self):
        assert self.client.get(self.address("make")).status_code == 405

    def test_it_is_the_organisers_alone(self):
        archive = self.archive()
        person = make_volunteer(demonstration=self.home).user
        for asker in (person, make_organiser().user):
            self.client.force_login(asker)
            with patch("heritage.archive.services.make") as make:
                for name, keys in (
                    ("page", ()), ("make", ()), ("check", (archive.pk,)),
                    ("file", (archive.pk,)),
                ):  # fmt: skip
                    address = self.address(name, *keys)
                    assert self.client.get(address).status_code == 403
                    assert self.client.post(address).status_code == 403
            make.enqueue.assert_not_called()

    def test_anothers_archive_is_not_there(self):
        archive = make_archive()
        response = self.client.get(self.address("file", archive.pk))
        assert response.status_code == 404
