"""The server is killed while phones send: what was acknowledged is there, once.

The whole trial, a thousand posts, is `python -m tests.fieldlog.kill_server`.
"""

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection

from tests import template_database
from tests.fieldlog.kill_server import Trial


@contextmanager
def own_database(folder: Path) -> Iterator[str]:
    """Give the address of a new database of the kind that the tests run on."""
    if connection.vendor == "sqlite":
        file = folder / "kill.sqlite3"
        template_database.pour_sqlite(f"file:{file}").close()
        yield f"sqlite:///{file}"
        return
    import psycopg
    from psycopg import sql

    said = settings.DATABASES["default"]
    name = f"kill_{uuid.uuid4().hex[:12]}"
    at = {
        "host": said["HOST"],
        "port": said["PORT"],
        "user": said["USER"],
        "password": said["PASSWORD"],
    }
    at = {key: value for key, value in at.items() if value}
    with psycopg.connect(dbname="postgres", autocommit=True, **at) as server:
        template = template_database.postgresql_template()
        create = sql.SQL("CREATE DATABASE {} TEMPLATE {}")
        server.execute(create.format(sql.Identifier(name), sql.Identifier(template)))
        try:
            user = ":".join(at[key] for key in ("user", "password") if key in at)
            place = f"{at.get('host', '')}:{at.get('port', '')}".rstrip(":")
            yield f"postgres://{user}@{place}/{name}"
        finally:
            drop = sql.SQL("DROP DATABASE {} WITH (FORCE)")
            server.execute(drop.format(sql.Identifier(name)))


@pytest.mark.long
@pytest.mark.django_db
def test_every_acknowledged_slip_is_in_the_book_exactly_once(tmp_path):
    with own_database(tmp_path) as database:
        trial = Trial(database)
        book = trial.go(posts=160, kills=4)
    assert (trial.kills, len(trial.acknowledged)) == (4, 160)
    assert sorted(book) == sorted(trial.acknowledged)
