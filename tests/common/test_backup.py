"""A backup comes back row by row and file by file, and only where nothing is."""

import json
import tarfile
import tempfile
import threading
from io import BytesIO, StringIO
from pathlib import Path
from unittest.mock import patch

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.test import TransactionTestCase

from heritage.common.backup import MANIFEST, restore_backup, write_backup
from heritage.common.backup_rows import Rows, rows_of
from heritage.common.triggers import sealed
from heritage.people.models import User
from heritage.pictures.models import Picture
from heritage.tally.models import Entry
from tests.factories import NOW, make_picture, make_user
from tests.people.world import make_world


def everything():
    """Return every row of every table, by Django's own reading of them."""
    found = {}
    with connection.cursor() as cursor:
        for table in rows_of(connection).tables():
            cursor.execute(f'SELECT * FROM "{table}"')  # noqa: S608
            found[table] = sorted(map(repr, cursor.fetchall()))
    return found


class BackupTests(TransactionTestCase):
    def setUp(self):
        self.here = Path(self.enterContext(tempfile.TemporaryDirectory()))
        self.enterContext(self.settings(MEDIA_ROOT=str(self.here / "media")))
        # A number that was given and taken back is not given again.
        gone = make_user(name="Taken 'back'\n\tby “Nora” \\N \x7f é")
        make_world()
        User.objects.filter(pk=gone.pk).update(email="first@example.org")
        self.picture = Picture.objects.get()
        self.last = make_picture().pk
        Picture.objects.filter(pk=self.last).delete()

    def back_up(self):
        path = write_backup(self.here, NOW)
        with tarfile.open(path) as tar:
            return path, json.load(tar.extractfile(MANIFEST))

    def empty(self):
        """Make everything as it is after migrating, with an empty store."""
        call_command("flush", interactive=False, verbosity=0)
        self.enterContext(self.settings(MEDIA_ROOT=str(self.here / "new")))

    def refused(self, path, words):
        with pytest.raises(CommandError, match=words):
            call_command("restore", str(path), stdout=StringIO())

    def test_everything_comes_back_and_the_rules_stand(self):
        before, rules = everything(), rows_of(connection).triggers()
        with self.picture.original.open("rb") as stored:
            photograph = stored.read()
        path, manifest = self.back_up()
        assert path.stat().st_mode & 0o077 == 0
        assert manifest["release"] == "0.1.0"
        assert ["tally", "0001_initial"] in manifest["migrations"]
        self.empty()
        assert everything() != before
        out = StringIO()
        call_command("restore", str(path), stdout=out)
        assert "each read back and compared" in out.getvalue()
        assert everything() == before
        assert rows_of(connection).triggers() == rules
        assert "tally_entry" in sealed(connection)
        with pytest.raises(IntegrityError), transaction.atomic():
            Entry.objects.update(beets=1)
        with default_storage.open(self.picture.original.name) as stored:
            assert stored.read() == photograph
        assert make_picture().pk > self.last

    def test_it_goes_only_where_nothing_is(self):
        path, _ = self.back_up()
        before = everything()
        self.refused(path, "Nothing was restored. There are rows in")
        assert everything() == before
        self.empty()
        default_storage.save("1/pictures/other.jpg", BytesIO(b"x"))
        self.refused(path, "There are files here already")

    def test_a_damaged_one_changes_nothing(self):
        path, manifest = self.back_up()
        whole = path.read_bytes()
        self.empty()
        with tarfile.open(path) as tar:
            place = tar.getmember("tables/people_volunteer").offset_data
        path.write_bytes(whole[:place] + b"9" + whole[place + 1 :])
        self.refused(path, "tables/people_volunteer.* in the backup is damaged")
        path.write_bytes(whole[: len(whole) // 2])
        self.refused(path, "This isn't a complete backup of the site")
        path.write_bytes(whole)
        other = {"sqlite": "postgresql", "postgresql": "sqlite"}[connection.vendor]
        with patch.object(connection, "vendor", other):
            self.refused(path, f"Restore it into {connection.vendor}|is from")
        assert not User.objects.exists()
        assert manifest["missing"] == []

    def test_a_file_that_cannot_be_written_leaves_nothing_behind(self):
        path, _ = self.back_up()
        self.empty()
        real, calls = default_storage.save, []

        def full(name, content):
            calls.append(name)
            if len(calls) == 3:
                raise OSError(28, "No space left on device")
            return real(name, content)

        with patch.object(default_storage, "save", full):
            self.refused(path, "No space left")
        assert not User.objects.exists()
        assert not default_storage.exists(calls[0])

    def test_a_file_that_is_gone_is_said_and_stops_nothing(self):
        default_storage.delete(self.picture.small.name)
        path, manifest = self.back_up()
        assert manifest["missing"] == [self.picture.small.name]
        self.empty()
        assert restore_backup(path)["missing"] == [self.picture.small.name]

    def test_a_backup_of_another_state_is_refused(self):
        with patch("heritage.common.backup._migrations", return_value=[]):
            path, _ = self.back_up()
        self.empty()
        self.refused(path, "made by another state")
        assert not User.objects.exists()

    if connection.vendor == "postgresql":
        # SQLite's is tried on a real file, below.
        def test_what_is_written_meanwhile_is_not_torn_apart(self):
            before, lines, meanwhile = everything(), Rows.__subclasses__()[1].lines, []

            def work():
                meanwhile.append(make_world())
                connection.close()

            def lines_while_somebody_works(rows, table, columns):
                if not meanwhile:
                    worker = threading.Thread(target=work)
                    worker.start()
                    worker.join()
                return lines(rows, table, columns)

            with patch.object(
                type(rows_of(connection)), "lines", lines_while_somebody_works
            ):
                path, _ = self.back_up()
            assert everything() != before
            self.empty()
            restore_backup(path)
            assert everything() == before
