"""A database of the release before opens in this one, and keeps what it kept.

The dumps beside this file were made by the release before (`tests.upgrading.make`).
The one for the database in use is loaded into an empty database and migrated there.
"""

import gzip
import os
import sqlite3
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import urlsplit, urlunsplit

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import IntegrityError, connections, transaction
from django.db.migrations.executor import MigrationExecutor

from heritage.common.backup_rows import rows_of
from heritage.common.triggers import KeepRules, LetGoOfRules, sealed
from heritage.dam.models import Ret
from heritage.lots.models import Lot, Move
from heritage.tally.models import Entry
from tests.upgrading.make import POSTGRESQL, SQLITE

HERE = Path(__file__).parent
BEFORE = "release_before"
pytestmark = pytest.mark.django_db(databases=["default", BEFORE])


def dumped(name):
    return gzip.decompress((HERE / name).read_bytes()).decode()


@contextmanager
def loaded_sqlite(folder):
    file = folder / "before.sqlite3"
    loading = sqlite3.connect(file)
    loading.executescript(dumped(SQLITE))
    loading.close()
    yield str(file)


@contextmanager
def loaded_postgresql(folder):
    import psycopg

    address = urlsplit(os.environ["DATABASE_URL"])
    name = f"heritage_before_{os.getpid()}"
    with psycopg.connect(urlunsplit(address), autocommit=True) as server:
        server.execute(f"DROP DATABASE IF EXISTS {name}")
        server.execute(f"CREATE DATABASE {name} TEMPLATE template0")
        with psycopg.connect(urlunsplit(address._replace(path=f"/{name}"))) as loading:
            loading.execute(dumped(POSTGRESQL))
        yield name
        server.execute(f"DROP DATABASE {name} WITH (FORCE)")


def counted(connection):
    """Return how many rows each table holds."""
    with connection.cursor() as cursor:
        tables = connection.introspection.table_names(cursor)
        found = {}
        for table in tables:
            cursor.execute(f'SELECT COUNT(*) FROM "{table}"')  # noqa: S608
            found[table] = cursor.fetchone()[0]
    return found


class Before(NamedTuple):
    """The database of the release before, migrated, with what stood in it before.

    ``held`` is how many rows each table had, ``book`` the tables that were sealed.
    """

    connection: Any
    held: dict[str, int]
    book: list[str]


@pytest.fixture(scope="module")
def before(tmp_path_factory, django_db_setup, django_db_blocker):
    default = connections["default"]
    kinds = {"sqlite": loaded_sqlite, "postgresql": loaded_postgresql}
    folder = tmp_path_factory.mktemp("before")
    with django_db_blocker.unblock(), kinds[default.vendor](folder) as name:
        connections.settings[BEFORE] = default.settings_dict | {"NAME": name}
        connection = connections[BEFORE]
        held, book = counted(connection), sealed(connection)
        call_command("migrate", database=BEFORE, verbosity=0)
        yield Before(connection, held, book)
        connection.close()
        del connections[BEFORE]
        del connections.settings[BEFORE]


def models_of_the_release(held):
    """Return our models whose tables the release before had, and filled."""
    models = [one for one in apps.get_models() if one.__module__.startswith("heritage")]
    return [one for one in models if held.get(one._meta.db_table)]


def test_every_row_is_there_and_read_by_its_model(before):
    models = models_of_the_release(before.held)
    assert len(models) > 60
    for model in models:
        rows = list(model._base_manager.using(BEFORE))
        assert len(rows) == before.held[model._meta.db_table], model


def test_every_sealed_table_refuses_to_change_or_lose_a_row(before):
    assert before.book
    assert {*before.book} <= {*sealed(before.connection)}
    for table in before.book:
        assert before.held[table], f"{table} was empty"
        refused(before.connection, f'UPDATE "{table}" SET id = id')  # noqa: S608
        refused(before.connection, f'DELETE FROM "{table}"')  # noqa: S608
    now = counted(before.connection)
    assert [one for one in before.book if now[one] != before.held[one]] == []


def test_the_crop_of_before_is_in_lots_and_each_ret_holds_its_beets(before):
    rets = list(Ret.objects.using(BEFORE))
    assert rets
    for ret in rets:
        into = Move.objects.using(BEFORE).filter(filled__ret=ret, target="dam")
        assert sum(into.values_list("beets", flat=True)) == ret.beets
    pulled = Entry.objects.using(BEFORE).values_list("gathering", "plot").distinct()
    lots = Lot.objects.using(BEFORE).filter(gathering__isnull=False)
    assert set(lots.values_list("gathering", "plot")) == set(pulled.order_by())


def refused(connection, statement):
    with (
        pytest.raises(IntegrityError, match="only ever added to"),
        transaction.atomic(using=BEFORE),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)


def test_the_rules_kept_by_triggers_are_those_of_a_new_database(before):
    anew = rows_of(connections["default"]).triggers()
    assert rows_of(before.connection).triggers() == anew


@pytest.mark.django_db
def test_a_new_database_has_every_rule_that_its_migrations_keep():
    """SQLite drops a table's triggers with it where `WithRulesAside` is forgotten."""
    connection = connections["default"]
    standing = {name.rpartition(".")[2] for name in rows_of(connection).triggers()}
    assert standing
    assert standing == rules_kept(connection)


def rules_kept(connection):
    """Name every trigger that our migrations put up and did not let go."""
    executor, kept = MigrationExecutor(connection), set()
    leaves = executor.loader.graph.leaf_nodes()
    for migration, _ in executor.migration_plan(leaves, clean_start=True):
        for one in migration.operations:
            if isinstance(one, KeepRules):
                rules = [rule.triggers_on(connection.vendor) for rule in one.rules]
                names = {trigger.name for triggers in rules for trigger in triggers}
                kept = kept - names if isinstance(one, LetGoOfRules) else kept | names
    return kept


def test_every_table_has_the_columns_of_a_new_database(before):
    assert columns_of(before.connection) == columns_of(connections["default"])


def columns_of(connection):
    """Return each table's columns with whether they may be empty."""
    introspection = connection.introspection
    with connection.cursor() as cursor:
        return {
            table: {
                (column.name, column.null_ok)
                for column in introspection.get_table_description(cursor, table)
            }
            for table in introspection.table_names(cursor)
        }


def test_no_change_of_a_table_is_without_its_migration(before):
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
