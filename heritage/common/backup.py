"""One file that holds the whole site, and the way back into an empty one.

The file is a plain tar: each table's rows as lines of text, every file that a row
names, and last a manifest with the release and a hash of each part. The rows are read
from one snapshot while the site goes on: as PostgreSQL's own COPY text, or on SQLite
as JSON, value by value as they are stored. The files are those that the snapshot names;
none is ever changed, so a file is there whole or was deleted meanwhile.

A restore is whole or not at all. The rules that the database keeps by triggers are
laid aside while the rows are poured in, since they were kept when the rows were
written, and stand again before every row and file is read back and compared.

Rows are text and no dump by the database's own tools, so that a backup needs none of
them and each row can be compared.
"""

import hashlib
import io
import json
import os
import tarfile
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from importlib.metadata import version
from itertools import zip_longest
from pathlib import Path
from typing import IO, Any

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import connection, transaction
from django.db.migrations.recorder import MigrationRecorder

from heritage.common.backup_rows import Rows, rows_of
from heritage.common.store import named_files, none_if_it_fails, stored_files

FORMAT = 1
MANIFEST = "manifest.json"
CHUNK = 1024 * 1024
# What a database holds that was only migrated.
MADE_BY_MIGRATING = {"django_content_type", "auth_permission"}

Manifest = dict[str, Any]


class BackupError(Exception):
    """Why no backup was written, or nothing was restored."""


def write_backup(folder: Path, now: datetime) -> Path:
    """Write everything into one new file in a folder, and read it through once.

    Raises
    ------
    BackupError
        If what was written does not read back the same.
    """
    path = folder / f"heritage-{now:%Y-%m-%dT%H%M%SZ}.tar"
    part = path.with_suffix(".part")
    try:
        # Nobody else on the machine may read it.
        handle = os.open(part, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600)
        with os.fdopen(handle, "w+b") as out:
            with tarfile.open(fileobj=out, mode="w") as tar, _snapshot() as rows:
                _add_manifest(tar, _write_parts(tar, rows, now))
            out.flush()
            os.fsync(out.fileno())
        with tarfile.open(part) as tar:
            _checked(tar)
        part.rename(path)
    finally:
        part.unlink(missing_ok=True)
    return path


def restore_backup(path: Path) -> Manifest:
    """Bring a backup back into an empty installation; return its manifest.

    Raises
    ------
    BackupError
        If the file is damaged, of another release or kind of database, or if there
        is anything here already. Then nothing is changed.
    """
    with tarfile.open(path) as tar:
        manifest = _checked(tar)
        _require_kind(manifest)
        _require_empty()
        call_command("migrate", verbosity=0)
        _require_release(manifest)
        with transaction.atomic(), none_if_it_fails() as written:
            rows = rows_of(connection)
            _pour(tar, manifest, rows)
            _compare(tar, manifest, rows)
            for name in manifest["files"]:
                written.append(name)
                _restore_file(tar, name, manifest["files"][name])
    return manifest


@contextmanager
def _snapshot() -> Iterator[Rows]:
    """Read everything as it is at one moment, whatever is written meanwhile."""
    rows = rows_of(connection)
    with connection.cursor() as cursor:
        cursor.execute(rows.begin)
        try:
            yield rows
        finally:
            cursor.execute("ROLLBACK")


def _write_parts(tar: tarfile.TarFile, rows: Rows, now: datetime) -> Manifest:
    manifest: Manifest = _head(now) | {
        "tables": {name: _write_table(tar, rows, name) for name in rows.tables()},
        "triggers": rows.triggers(),
        "sequences": rows.sequences(),
        "files": {},
        "missing": [],
    }
    for name in sorted(named_files()):
        facts = _write_file(tar, name)
        if facts:
            manifest["files"][name] = facts
        else:
            manifest["missing"].append(name)
    return manifest


def _head(now: datetime) -> Manifest:
    return {
        "format": FORMAT,
        "made_at": now.isoformat(),
        "release": version("heritage"),
        "migrations": _migrations(),
        "database": connection.vendor,
    }


def _migrations() -> list[list[str]]:
    applied = MigrationRecorder(connection).applied_migrations()
    return sorted([app, name] for app, name in applied)


def _write_table(tar: tarfile.TarFile, rows: Rows, table: str) -> dict[str, Any]:
    columns, count = rows.columns(table), 0
    with tempfile.TemporaryFile(dir=Path(str(tar.name)).parent) as lines:
        for line in rows.lines(table, columns):
            lines.write(line)
            count += 1
        size = lines.tell()
        lines.seek(0)
        digest = _add(tar, f"tables/{table}", lines, size)
    return {"columns": columns, "rows": count, "sha256": digest}


def _write_file(tar: tarfile.TarFile, name: str) -> dict[str, Any] | None:
    """Add a file; None where it is gone, be it a moment ago."""
    try:
        with default_storage.open(name) as stored:
            size = stored.size
            return {"size": size, "sha256": _add(tar, f"files/{name}", stored, size)}
    except FileNotFoundError:
        return None


class _Hashed:
    """A file that is hashed as it is read."""

    def __init__(self, source: Any) -> None:
        self.source, self.digest = source, hashlib.sha256()

    def read(self, size: int = -1) -> bytes:
        data: bytes = self.source.read(size)
        self.digest.update(data)
        return data


def _add(tar: tarfile.TarFile, name: str, source: Any, size: int) -> str:
    entry, hashed = tarfile.TarInfo(name), _Hashed(source)
    entry.size, entry.mode = size, 0o600
    tar.addfile(entry, hashed)
    return hashed.digest.hexdigest()


def _add_manifest(tar: tarfile.TarFile, manifest: Manifest) -> None:
    words = json.dumps(manifest, indent=1, ensure_ascii=False).encode()
    _add(tar, MANIFEST, io.BytesIO(words), len(words))


def _checked(tar: tarfile.TarFile) -> Manifest:
    """Return the manifest, once every part has been found to be as it says."""
    try:
        manifest: Manifest = json.loads(_part(tar, MANIFEST).read())
        known = manifest["format"] == FORMAT
    except (KeyError, ValueError, OSError, tarfile.TarError) as error:
        raise BackupError(
            "This isn't a complete backup of the site. Choose another file."
        ) from error
    if not known:
        raise BackupError(
            "This backup comes from a newer release. Install that one first."
        )
    for name, facts in _parts(manifest):
        try:
            digest = _digest(_part(tar, name))
        except (KeyError, OSError, tarfile.TarError) as error:
            raise BackupError(
                f"{name} is missing from the backup. Use another one."
            ) from error
        if digest != facts["sha256"]:
            raise BackupError(f"{name} in the backup is damaged. Use another one.")
    return manifest


def _parts(manifest: Manifest) -> Iterator[tuple[str, dict[str, Any]]]:
    for kind in ("tables", "files"):
        for name, facts in manifest[kind].items():
            yield f"{kind}/{name}", facts


def _part(tar: tarfile.TarFile, name: str) -> IO[bytes]:
    part = tar.extractfile(name)
    if part is None:
        raise KeyError(name)
    return part


def _digest(source: Any) -> str:
    digest = hashlib.sha256()
    while data := source.read(CHUNK):
        digest.update(data)
    return digest.hexdigest()


def _require_kind(manifest: Manifest) -> None:
    kind = manifest["database"]
    if kind != connection.vendor:
        raise BackupError(f"This backup is from {kind}. Restore it into {kind}.")


def _require_empty() -> None:
    rows = rows_of(connection)
    for table in set(rows.tables()) - MADE_BY_MIGRATING:
        if rows.has_any(table):
            raise BackupError(
                f"There are rows in {table} already. Restore into an empty database, "
                "so that nothing is overwritten."
            )
    if next(stored_files(), None):
        raise BackupError(
            "There are files here already. Restore into an empty folder instead."
        )


def _require_release(manifest: Manifest) -> None:
    if manifest["migrations"] != _migrations():
        raise BackupError(
            f"This backup was made by another state of release {manifest['release']}. "
            "Install that one, restore, and then update."
        )


def _pour(tar: tarfile.TarFile, manifest: Manifest, rows: Rows) -> None:
    with rows.opened():
        rows.empty()
        for table, facts in manifest["tables"].items():
            rows.pour(table, facts["columns"], _part(tar, f"tables/{table}"))
        rows.set_sequences(manifest["sequences"])
        connection.check_constraints()


def _compare(tar: tarfile.TarFile, manifest: Manifest, rows: Rows) -> None:
    """Read every row back, in the order it was written, and compare."""
    for table, facts in manifest["tables"].items():
        there: Iterable[bytes] = rows.lines(table, facts["columns"])
        kept = _part(tar, f"tables/{table}")
        for number, (restored, line) in enumerate(zip_longest(there, kept), 1):
            if restored != line:
                raise BackupError(
                    f"Row {number} of {table} came back changed. Try a new database."
                )
    if rows.triggers() != manifest["triggers"]:
        raise BackupError(
            "The database's own rules differ. Install the release the backup is from."
        )


def _restore_file(tar: tarfile.TarFile, name: str, facts: dict[str, Any]) -> None:
    saved = default_storage.save(name, File(_part(tar, f"files/{name}"), name))
    with default_storage.open(name) as stored:
        if saved != name or _digest(stored) != facts["sha256"]:
            raise BackupError(f"The file {name} came back changed. Try a new folder.")
