"""The store of files: nothing half written stays, and strays are found.

A file without a row is reached by no page and by no erasing. What failed while it was
written is taken away at once; what a process left that died half-way is found by the
nightly round, a day later, when no request that began it can still be at work.
"""

import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

from django.apps import apps
from django.core.files.base import ContentFile, File
from django.core.files.storage import FileSystemStorage, default_storage
from django.db import connection, models

STRAY_AFTER = timedelta(days=1)
# Where the site itself puts files: what else lies in the folder is not ours.
OURS = re.compile(r"(\d+|readiness)/")
TRIED_BYTES = 4096


class FilesOnDisk(FileSystemStorage):
    """Files on disk, of which none is left half written."""

    def _save(self, name: str, content: File) -> str:  # type: ignore[type-arg]
        try:
            return str(super()._save(name, content))  # type: ignore[misc]
        except BaseException:
            # The name was free a moment ago, and is nobody else's: it is a private key.
            Path(self.path(name)).unlink(missing_ok=True)
            raise


class Streamed(File):  # type: ignore[type-arg]
    """Content for the store that is whole nowhere: its pieces come once, in order."""

    def __init__(self, pieces: Iterator[bytes]) -> None:
        super().__init__(None)
        self._pieces, self._rest = pieces, b""

    def chunks(self, chunk_size: int | None = None) -> Iterator[bytes]:
        """Give the pieces, as large as they come."""
        yield from self._pieces

    def read(self, size: int = -1) -> bytes:
        """Read as a store does that asks for so many bytes at a time."""
        held = [self._rest]
        count = len(self._rest)
        while size < 0 or count < size:
            piece = next(self._pieces, b"")
            if not piece:
                break
            held.append(piece)
            count += len(piece)
        data = b"".join(held)
        end = len(data) if size < 0 else size
        self._rest = data[end:]
        return data[:end]

    def seekable(self) -> bool:
        """Tell a store that it cannot begin anew."""
        return False


@contextmanager
def none_if_it_fails() -> Iterator[list[str]]:
    """Take away again the files whose names were added, if something fails after."""
    written: list[str] = []
    try:
        yield written
    except BaseException:
        for name in written:
            default_storage.delete(name)
        raise


def file_columns() -> list[tuple[str, str]]:
    """Return the table and the column of every field that names a file."""
    return [
        (model._meta.db_table, str(field.column))
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if isinstance(field, models.FileField)
    ]


def named_files() -> set[str]:
    """Return the name of every file that a row speaks of now."""
    names: set[str] = set()
    with connection.cursor() as cursor:
        for table, column in file_columns():
            cursor.execute(f'SELECT "{column}" FROM "{table}"')  # noqa: S608
            names.update(name for (name,) in cursor.fetchall() if name)
    return names


def stored_files(folder: str = "") -> Iterator[str]:
    """Name every file in the store, folder by folder."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    start = f"{folder}/" if folder else ""
    for name in sorted(files):
        yield f"{start}{name}"
    for name in sorted(folders):
        yield from stored_files(f"{start}{name}")


def strays(now: datetime) -> list[str]:
    """Return the files of which no row speaks, and which have lain for a day."""
    # The store is read first: what is written meanwhile is then named, or too young.
    stored = list(stored_files())
    unnamed = {name for name in stored if OURS.match(name)} - named_files()
    return [name for name in stored if name in unnamed and _is_old(name, now)]


def _is_old(name: str, now: datetime) -> bool:
    try:
        return default_storage.get_modified_time(name) <= now - STRAY_AFTER
    except FileNotFoundError:
        return False


def try_a_write() -> None:
    """Write a small file, read it back and take it away; an error says why not."""
    words = secrets.token_bytes(TRIED_BYTES)
    name = default_storage.save(f"readiness/{secrets.token_hex(8)}", ContentFile(words))
    try:
        with default_storage.open(name) as stored:
            if stored.read() != words:
                raise OSError("The store gave back something else than was written.")
    finally:
        default_storage.delete(name)
