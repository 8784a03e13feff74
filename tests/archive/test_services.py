"""An archive is asked for, made, read through and dropped."""

import errno
from contextlib import contextmanager
from datetime import timedelta
from io import BytesIO, StringIO
from unittest.mock import patch

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.test import SimpleTestCase, TestCase

from heritage.archive import services
from heritage.archive.models import Archive
from heritage.archive.sheets import Contents
from heritage.common import clock
from heritage.common.making import QUIET, State, WhyNot
from heritage.common.store import Streamed, stored_files, strays
from heritage.kits.bag import Part
from heritage.privacy.erasing.services import ask_erasure, carry_out_erasure
from tests.factories import (
    NOW,
    make_archive,
    make_organiser,
    make_picture,
    make_volunteer,
)

LATER = NOW + timedelta(hours=1)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


@contextmanager
def with_parts(parts):
    """Let an archive hold what is said, instead of all that takes a while to print."""
    with patch.object(Contents, "parts", lambda self: parts(self)):
        yield


def one_file(contents):
    contents.tell(1)
    yield Part("about.txt", [b"flax"])


class ServiceCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.home = cls.nora.demonstration
        cls.picture = make_picture(demonstration=cls.home)

    def setUp(self):
        self.before = set(stored_files())

    def new_files(self):
        return set(stored_files()) - self.before

    def ask(self, now=NOW):
        return services.ask(demonstration=self.home, by=self.nora.user, now=now)

    def made(self, parts=one_file, now=NOW):
        """Ask for one, and have it made."""
        with (
            with_parts(parts),
            TestCase.captureOnCommitCallbacks(execute=True),
            patch.object(clock, "now", lambda: now),
        ):
            archive = self.ask(now)
        archive.refresh_from_db()
        return archive


class AskTests(ServiceCase):
    def test_asking_counts_the_pictures_and_begins(self):
        make_picture(demonstration=self.home, is_published=False, hidden_at=NOW)
        archive = self.ask()
        assert (archive.state, archive.total, archive.done) == (State.ASKED, 1, 0)

    def test_asking_twice_is_asking_once(self):
        assert self.ask() == self.ask(NOW + QUIET)

    def test_one_that_nobody_makes_is_given_up_after_a_while(self):
        moment = NOW
        for state in (State.MAKING, State.ASKED):
            going = self.ask(moment)
            Archive.objects.filter(pk=going.pk).update(state=state)
            assert self.ask(moment + QUIET) == going
            moment += QUIET + timedelta(seconds=1)
            assert self.ask(moment) != going
            going.refresh_from_db()
            assert (going.state, going.why_not) == (State.FAILED, WhyNot.BROKE_OFF)
            Archive.objects.going().delete()

    def test_a_worker_that_comes_too_late_makes_nothing(self):
        late = self.ask()
        again = self.ask(NOW + QUIET + timedelta(seconds=1))
        with with_parts(one_file), self.captureOnCommitCallbacks():
            assert not services.write(key=late.pk, tell_time=lambda: NOW)
            assert services.write(key=again.pk, tell_time=lambda: NOW)


class MakeTests(ServiceCase):
    def test_it_is_made_read_through_and_says_how_far_it_got(self):
        archive = self.made()
        assert archive.state == State.MADE
        assert (archive.made_at, archive.checked_at) == (NOW, NOW)
        assert archive.is_whole
        assert archive.done == archive.total == 1
        assert self.new_files() == {archive.file.name}
        assert archive.file.size == archive.octets

    def test_how_far_it_is_is_told_while_it_is_made(self):
        seen = []

        def parts(contents):
            contents.tell(1)
            archive = Archive.objects.get()
            seen.append((archive.state, archive.done))
            yield Part("about.txt", [b"flax"])

        self.made(parts)
        assert seen == [(State.MAKING, 1)]

    def test_the_newest_takes_the_place_of_the_one_before(self):
        first = self.made()
        second = self.made(now=LATER)
        assert list(Archive.objects.all()) == [second]
        assert self.new_files() == {second.file.name}
        assert first.file.name != second.file.name

    def test_only_one_worker_makes_it(self):
        archive = self.ask()
        with with_parts(one_file), self.captureOnCommitCallbacks():
            assert services.write(key=archive.pk, tell_time=lambda: NOW)
            assert not services.write(key=archive.pk, tell_time=lambda: NOW)

    def broken(self, error):
        def parts(contents):
            yield Part("about.txt", [b"flax" * 100_000])
            raise error

        with self.assertLogs("heritage.common.making", "ERROR"):
            return self.made(parts)

    def test_no_room_leaves_nothing_behind_and_the_one_before_stays(self):
        before = self.made()
        archive = self.broken(OSError(errno.ENOSPC, "No space left on device"))
        assert (archive.state, archive.why_not) == (State.FAILED, WhyNot.NO_ROOM)
        assert self.new_files() == {before.file.name}

    def test_whatever_else_breaks_it_off_is_said_too(self):
        archive = self.broken(RuntimeError("a sheet that cannot be printed"))
        assert (archive.state, archive.why_not) == (State.FAILED, WhyNot.BROKE_OFF)
        assert self.new_files() == set()

    def test_one_given_up_meanwhile_is_thrown_away(self):
        def parts(contents):
            Archive.objects.update(state=State.FAILED, why_not=WhyNot.BROKE_OFF)
            yield Part("about.txt", [b"flax"])

        assert self.made(parts).state == State.FAILED
        assert self.new_files() == set()

    def test_a_file_without_its_row_is_a_stray_and_its_own_is_none(self):
        archive = self.made()
        later = NOW + timedelta(days=4000)
        assert archive.file.name not in strays(later)
        Archive.objects.all().delete()
        assert archive.file.name in strays(later)


class ErasureTests(ServiceCase):
    def erase(self):
        gone = make_volunteer(demonstration=self.home, user=None)
        asked = ask_erasure(volunteer=gone, by=self.nora.user, now=NOW)
        carry_out_erasure(erasure=asked, by=self.nora.user, now=NOW)

    def test_no_archive_keeps_somebody_who_was_erased(self):
        self.made()
        elsewhere = make_archive()
        with self.captureOnCommitCallbacks(execute=True):
            self.erase()
        assert list(Archive.objects.all()) == [elsewhere]
        assert self.new_files() == {elsewhere.file.name}

    def test_one_that_is_being_made_meanwhile_is_thrown_away(self):
        def parts(contents):
            self.erase()
            yield Part("about.txt", [b"flax"])

        archive = self.made(parts)
        assert (archive.state, archive.why_not) == (State.FAILED, WhyNot.ERASED)
        assert self.new_files() == set()


class ReadThroughTests(ServiceCase):
    def spoil(self, archive, data):
        default_storage.delete(archive.file.name)
        if data is not None:
            default_storage.save(archive.file.name, ContentFile(data))

    def test_a_damaged_file_a_replaced_one_and_one_that_is_gone(self):
        archive = make_archive()
        with archive.file.open("rb") as stored:
            whole = stored.read()
        other = make_archive(demonstration=archive.demonstration)
        with other.file.open("rb") as stored:
            assert stored.read() == whole
        at = whole.index(b"flax")
        cases = {
            whole: [],
            whole[:at] + b"FLAX" + whole[at + 4 :]: [["changed", "data/about.txt"]],
            whole[:-30]: [["no_bag", ""]],
            None: [["gone", ""]],
        }
        for data, findings in cases.items():
            self.spoil(archive, data)
            services.read_through(archive=archive, now=LATER)
            archive.refresh_from_db()
            assert (archive.findings, archive.checked_at) == (findings, LATER)

    def test_asking_reads_it_through_after_the_commit(self):
        archive = make_archive()
        with self.captureOnCommitCallbacks(execute=True):
            services.ask_to_read_through(archive=archive)
        archive.refresh_from_db()
        assert archive.is_whole
        Archive.objects.filter(pk=archive.pk).delete()
        services.read.func(archive.pk)

    def command(self):
        out = StringIO()
        try:
            call_command("check_archives", stdout=out)
        except CommandError as error:
            return out.getvalue(), str(error)
        return out.getvalue(), ""

    def test_the_command_reads_all_and_says_which_is_not_whole(self):
        whole, broken = make_archive(), make_archive()
        make_archive(state=State.ASKED)
        said, error = self.command()
        assert f"{whole.demonstration.slug}: whole" in said
        assert error == ""
        self.spoil(broken, None)
        said, error = self.command()
        where = broken.demonstration.slug
        assert f"{where}: Its file is gone from the store.\n" in said
        assert error.startswith("1 not whole")


class StreamedTests(SimpleTestCase):
    """What a store may do with content that comes in pieces."""

    PIECES = [b"abc", b"", b"defgh", b"i"]

    def test_all_at_once_or_piece_by_piece(self):
        # An empty piece is no end: only the last is.
        pieces = [piece for piece in self.PIECES if piece]
        assert b"".join(Streamed(iter(pieces)).chunks()) == b"abcdefghi"
        assert Streamed(iter(pieces)).read() == b"abcdefghi"
        assert not Streamed(iter(pieces)).seekable()

    def test_so_many_bytes_at_a_time(self):
        for size in range(1, 12):
            file, read = Streamed(iter([b"abc", b"defgh", b"i"])), []
            while piece := file.read(size):
                assert len(piece) <= size
                read.append(piece)
            assert b"".join(read) == b"abcdefghi"
            assert all(len(piece) == size for piece in read[:-1])
            assert file.read(size) == file.read() == b""

    def test_a_store_takes_it(self):
        name = default_storage.save("7/archives/x.zip", Streamed(iter([b"a", b"b"])))
        with default_storage.open(name) as stored:
            assert BytesIO(stored.read()).getvalue() == b"ab"
        default_storage.delete(name)
