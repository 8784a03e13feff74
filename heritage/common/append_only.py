"""Tables that are only ever added to, by order of the database itself.

A book whose lines nobody may rub out must not hang on the good manners of the code
that writes it. `AppendOnly` is a migration operation: after it the database refuses
to update or delete the table's rows, whoever asks, on SQLite and on PostgreSQL
(there also to truncate it).

SQLite makes a table anew to change a column, and the triggers go with the old one:
a later migration that alters a sealed table ends with `AppendOnly` again.

The tests' flush and a fresh show open such a table for a moment (`unsealed`).
"""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db.backends.base.base import BaseDatabaseWrapper

from heritage.common.kept_by_database import KeptByDatabase

PREFIX = "append_only_"
REFUSE = """
CREATE OR REPLACE FUNCTION append_only_refuse() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION 'The rows of % are only ever added to.', TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation';
END
$$ LANGUAGE plpgsql
"""


def seal(connection: BaseDatabaseWrapper, table: str) -> None:
    """Make the database refuse to change or remove a table's rows."""
    _run(connection, _sealing(connection, table))


def unseal(connection: BaseDatabaseWrapper, table: str) -> None:
    """Let a table's rows be changed and removed again."""
    _run(connection, _unsealing(connection, table))


def sealed(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the tables that are sealed now, by name."""
    if connection.vendor == "postgresql":
        found = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    else:
        found = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    with connection.cursor() as cursor:
        cursor.execute(found)
        names = [name for (name,) in cursor.fetchall()]
    start, end = PREFIX, "_delete"
    return sorted(
        name.removeprefix(start).removesuffix(end)
        for name in names
        if name.startswith(start) and name.endswith(end)
    )


@contextmanager
def unsealed(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Open every sealed table for as long as it takes to empty the database."""
    tables = sealed(connection)
    for table in tables:
        unseal(connection, table)
    try:
        yield
    finally:
        for table in tables:
            seal(connection, table)


class AppendOnly(KeptByDatabase):
    """Seal a table from here on; going back opens it again."""

    def __init__(self, table: str) -> None:
        self.table = table

    def making(self, connection: BaseDatabaseWrapper) -> list[str]:
        return _sealing(connection, self.table)

    def undoing(self, connection: BaseDatabaseWrapper) -> list[str]:
        return _unsealing(connection, self.table)

    def describe(self) -> str:
        return f"Let {self.table} only be added to"


def _sealing(connection: BaseDatabaseWrapper, table: str) -> list[str]:
    opened = _unsealing(connection, table)
    if connection.vendor == "postgresql":
        return [*opened, REFUSE, *_on_postgresql(connection, table)]
    return [*opened, *_on_sqlite(connection, table)]


def _unsealing(connection: BaseDatabaseWrapper, table: str) -> list[str]:
    on = ""
    if connection.vendor == "postgresql":
        on = f" ON {connection.ops.quote_name(table)}"
    names = [_trigger(connection, table, what) for what in _refused(connection)]
    return [f"DROP TRIGGER IF EXISTS {name}{on}" for name in names]


def _refused(connection: BaseDatabaseWrapper) -> list[str]:
    refused = ["update", "delete"]
    return [*refused, "truncate"] if connection.vendor == "postgresql" else refused


def _trigger(connection: BaseDatabaseWrapper, table: str, what: str) -> str:
    return connection.ops.quote_name(f"{PREFIX}{table}_{what}")


def _on_sqlite(connection: BaseDatabaseWrapper, table: str) -> list[str]:
    words = f"The rows of {table} are only ever added to.".replace("'", "''")
    return [
        f"CREATE TRIGGER {_trigger(connection, table, what)} "
        f"BEFORE {what.upper()} ON {connection.ops.quote_name(table)} "
        f"BEGIN SELECT RAISE(ABORT, '{words}'); END"
        for what in _refused(connection)
    ]


def _on_postgresql(connection: BaseDatabaseWrapper, table: str) -> list[str]:
    return [
        f"CREATE TRIGGER {_trigger(connection, table, what)} "
        f"BEFORE {what.upper()} ON {connection.ops.quote_name(table)} "
        f"FOR EACH {'STATEMENT' if what == 'truncate' else 'ROW'} "
        "EXECUTE FUNCTION append_only_refuse()"
        for what in _refused(connection)
    ]


def _run(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
