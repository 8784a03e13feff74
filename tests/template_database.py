"""One migrated database, made once and poured out for every test worker.

Migrating takes half a minute, and each worker used to pay it. The template is kept
in the machine's temporary folder (PostgreSQL: beside the test database) under a name
made of every file that can change its tables, so a stale one is never met.
"""

import fcntl
import hashlib
import os
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from importlib.metadata import version
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

ROOT = Path(__file__).resolve().parents[1]
TEMPORARY = Path(tempfile.gettempdir())


def fingerprint() -> str:
    """Name the state of the tables: migrations, what they call, and their libraries."""
    digest = hashlib.sha256()
    files = [
        *ROOT.glob("heritage/**/migrations/*.py"),
        *ROOT.glob("heritage/common/**/*.py"),
        ROOT / ".deps/constraints.txt",
    ]
    for file in sorted(files):
        digest.update(str(file.relative_to(ROOT)).encode() + file.read_bytes())
    digest.update(version("django").encode() + version("django-allauth").encode())
    return digest.hexdigest()[:16]


def pour_sqlite(name: str) -> sqlite3.Connection:
    """Fill the in-memory test database called ``name``; it lives while this is open."""
    template = TEMPORARY / f"heritage-template-{fingerprint()}.sqlite3"
    with _alone(template):
        if not template.exists():
            part = template.with_suffix(".part")
            part.unlink(missing_ok=True)
            _migrate(f"sqlite:///{part}")
            part.rename(template)
    poured = sqlite3.connect(name, uri=True)
    source = sqlite3.connect(template)
    source.backup(poured)
    source.close()
    return poured


def postgresql_template() -> str:
    """Make the template database if it is missing, and return its name."""
    import psycopg

    address = urlsplit(os.environ["DATABASE_URL"])
    name = f"heritage_template_{fingerprint()}"
    with (
        _alone(TEMPORARY / f"{name}-{address.port}"),
        psycopg.connect(urlunsplit(address), autocommit=True) as connection,
    ):
        row = connection.execute(
            "SELECT datistemplate FROM pg_database WHERE datname = %s", [name]
        ).fetchone()
        if row == (True,):
            return name
        connection.execute(f"DROP DATABASE IF EXISTS {name}")
        connection.execute(f"CREATE DATABASE {name}")
        _migrate(urlunsplit(address._replace(path=f"/{name}")))
        connection.execute(f"ALTER DATABASE {name} IS_TEMPLATE true")
    return name


def _migrate(address: str) -> None:
    """Migrate an empty database from a process of its own."""
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "--verbosity", "0"],
        cwd=ROOT,
        env=os.environ
        | {"DATABASE_URL": address, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        check=True,
    )


@contextmanager
def _alone(path: Path):
    """Hold a lock beside ``path``, so that of several workers one makes it."""
    with path.with_name(path.name + ".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
