"""No file stays that no row names; and a site that cannot write says so."""

import os
import resource
from contextlib import contextmanager
from datetime import timedelta
from io import StringIO
from pathlib import Path
from unittest.mock import patch

import pytest
from django.conf import settings
from django.core.cache import cache
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import OperationalError, connection
from django.test import Client, TestCase

from heritage.common import clock
from heritage.common.models import Chore, LastRun
from heritage.common.photographs import read_photograph
from heritage.common.store import stored_files, strays
from heritage.people.models import User
from heritage.pictures.models import Picture, Shown
from heritage.pictures.services import add_picture
from heritage.season.models import Stage
from tests.factories import NOW, make_organiser, make_picture
from tests.pictures.photographs import photograph


@contextmanager
def no_file_over(size):
    """Let the system break off every file at a size, as a full disk does."""
    was = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, was[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, was)


class StoreCase(TestCase):
    def setUp(self):
        cache.clear()
        self.before = set(stored_files())

    def new_files(self):
        return set(stored_files()) - self.before


class FullDiskTests(StoreCase):
    def add(self, nora, data):
        prepared = read_photograph(data)
        return add_picture(
            demonstration=nora.demonstration,
            original=data,
            prepared=prepared,
            values={
                "stage": Stage.PULLING,
                "gathering": None,
                "caption": "Pulling",
                "alt_text": "Two people pull.",
                "taken_on": None,
                "credit": "Orla Fenn",
                "licence": "CC0-1.0",
                "shown": Shown.NOBODY,
            },
            by=nora.user,
            now=NOW,
        )

    def test_a_photograph_that_broke_off_leaves_no_file(self):
        nora, data = make_organiser(), photograph()
        with pytest.raises(OSError), no_file_over(len(data) // 2):  # noqa: PT011
            self.add(nora, data)
        assert not Picture.objects.exists()
        assert self.new_files() == set()
        self.add(nora, data)
        assert len(self.new_files()) == 3


class StrayTests(StoreCase):
    def stray(self, age, name="7/pictures/left-behind.jpg"):
        name = default_storage.save(name, ContentFile(b"half a face"))
        then = (NOW - age).timestamp()
        os.utime(default_storage.path(name), (then, then))
        return name

    def tidy(self, *options):
        out = StringIO()
        with patch.object(clock, "now", return_value=NOW):
            call_command("tidy", *options, stdout=out)
        return out.getvalue()

    def test_the_nightly_round_finds_and_removes_what_no_row_names(self):
        picture = make_picture()
        for file in (picture.original, picture.large, picture.small):
            os.utime(file.path, (0, 0))
        old = self.stray(timedelta(days=1))
        # A request may still be at work on what is younger.
        young = self.stray(timedelta(hours=23))
        found = [name for name in strays(NOW) if name in self.new_files()]
        assert found == [old]
        assert f"a file that no row names, due: {old}" in self.tidy()
        assert default_storage.exists(old)
        assert f"a file that no row names, deleted: {old}" in self.tidy("--carry-out")
        kept = {file.name for file in (picture.original, picture.large, picture.small)}
        assert self.new_files() == kept | {young}
        assert strays(NOW) == []

    def test_what_the_site_did_not_put_there_is_left_alone(self):
        other = self.stray(timedelta(days=9), "from-somebody-else.txt")
        assert other not in strays(NOW)
        default_storage.delete(other)

    def test_an_empty_store_has_none(self):
        with self.settings(MEDIA_ROOT=str(Path(settings.MEDIA_ROOT) / "nowhere")):
            assert strays(NOW) == []


class ReadyTests(StoreCase):
    def ask(self):
        return Client().get("/ready/")

    def test_it_writes_to_the_database_and_to_the_files_and_leaves_nothing(self):
        answer = self.ask()
        assert (answer.status_code, answer.content) == (200, b"ready")
        assert LastRun.objects.filter(chore=Chore.READY).exists()
        assert self.new_files() == set()

    def test_a_full_disk_is_told_while_the_process_is_alive(self):
        with no_file_over(1000):
            answer = self.ask()
            assert Client().get("/alive/").status_code == 200
        assert answer.status_code == 503
        assert answer.content == b"cannot write: files"
        assert self.new_files() == set()
        assert self.ask().status_code == 200

    def test_a_database_that_takes_nothing_is_told(self):
        def refuse(execute, sql, *rest):
            if sql.startswith(("INSERT", "UPDATE")):
                raise OperationalError("database or disk is full")
            return execute(sql, *rest)

        with connection.execute_wrapper(refuse):
            answer = self.ask()
        assert answer.status_code == 503
        assert answer.content == b"cannot write: database"

    def test_asking_again_at_once_writes_nothing(self):
        self.ask()
        with self.assertNumQueries(0):
            assert self.ask().status_code == 200

    def test_nobody_needs_an_account_for_it(self):
        assert not User.objects.exists()
        assert self.ask().status_code == 200
