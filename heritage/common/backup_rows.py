"""A database's rows as lines of text, and back, exactly as they are stored."""

import json
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper

# How both databases write down a trigger that looks at a new row.
NEW = re.compile(r"(BEFORE|AFTER) INSERT ON")


class Rows:
    """What both kinds of database share."""

    begin: str

    def __init__(self, connection: BaseDatabaseWrapper) -> None:
        self.connection = connection

    def tables(self) -> list[str]:
        """Return the site's tables that are there, by name."""
        names = self.connection.introspection.django_table_names(only_existing=True)
        return sorted(names)

    def columns(self, table: str) -> list[str]:
        with self.connection.cursor() as cursor:
            columns = self.connection.introspection.get_table_description(cursor, table)
        return [column.name for column in columns]

    def has_any(self, table: str) -> bool:
        return bool(self.ask(f'SELECT 1 FROM "{table}" LIMIT 1'))  # noqa: S608

    def lines(self, table: str, columns: list[str]) -> Iterator[bytes]:
        """Give each row as a line, in the order of its key."""
        raise NotImplementedError

    def pour(self, table: str, columns: list[str], lines: Iterable[bytes]) -> None:
        """Write lines back as rows."""
        raise NotImplementedError

    def triggers(self) -> dict[str, str]:
        """Return the triggers that stand now, each with its words."""
        raise NotImplementedError

    def opened(self) -> Any:
        """Lay the triggers aside for a while."""
        raise NotImplementedError

    def opened_to_new_rows(self) -> Any:
        """Lay those aside that look at a new row; what is sealed stays sealed."""
        raise NotImplementedError

    def empty(self) -> None:
        raise NotImplementedError

    def sequences(self) -> dict[str, Any]:
        """Return where each table's numbering stands: no number is given twice."""
        raise NotImplementedError

    def set_sequences(self, stand: dict[str, Any]) -> None:
        raise NotImplementedError

    def ask(self, statement: str, params: Any = None) -> list[Any]:
        with self.connection.cursor() as cursor:
            cursor.execute(statement, params)
            return list(cursor.fetchall())

    def do(self, statement: str, params: Any = None) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute(statement, params)

    def _order(self, table: str) -> list[str]:
        with self.connection.cursor() as cursor:
            names = self.connection.introspection.get_primary_key_columns(cursor, table)
        return list(names or [])


class OnSqlite(Rows):
    # A reader's transaction: with its write-ahead log nobody waits for it.
    begin = "BEGIN DEFERRED"

    def lines(self, table: str, columns: list[str]) -> Iterator[bytes]:
        # The plus takes the column's declared type away, so that no converter runs.
        plain = ", ".join(f'+"{column}"' for column in columns)
        order = ", ".join(f'"{column}"' for column in self._order(table))
        with self.connection.cursor() as cursor:
            cursor.execute(f'SELECT {plain} FROM "{table}" ORDER BY {order}')  # noqa: S608
            for row in cursor:
                words = json.dumps(row, ensure_ascii=False, default=_as_hex)
                yield f"{words}\n".encode()

    def pour(self, table: str, columns: list[str], lines: Iterable[bytes]) -> None:
        names = ", ".join(f'"{column}"' for column in columns)
        marks = ", ".join("?" * len(columns))
        self.connection.connection.executemany(
            f'INSERT INTO "{table}" ({names}) VALUES ({marks})',  # noqa: S608
            (json.loads(line, object_hook=_from_hex) for line in lines),
        )

    def triggers(self) -> dict[str, str]:
        return dict(
            self.ask(
                "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY 1"
            )
        )

    def opened(self) -> Any:
        return self._without(self.triggers())

    def opened_to_new_rows(self) -> Any:
        triggers = self.triggers().items()
        return self._without({k: words for k, words in triggers if NEW.search(words)})

    @contextmanager
    def _without(self, standing: dict[str, str]) -> Iterator[None]:
        for name in standing:
            self.do(f'DROP TRIGGER "{name}"')
        yield
        for words in standing.values():
            self.do(words)

    def empty(self) -> None:
        for table in self.tables():
            self.do(f'DELETE FROM "{table}"')  # noqa: S608

    def sequences(self) -> dict[str, Any]:
        numbers = dict(self.ask("SELECT name, seq FROM sqlite_sequence ORDER BY name"))
        return {name: numbers[name] for name in self.tables() if name in numbers}

    def set_sequences(self, stand: dict[str, Any]) -> None:
        for table, number in stand.items():
            self.do("DELETE FROM sqlite_sequence WHERE name = %s", [table])
            self.do("INSERT INTO sqlite_sequence VALUES (%s, %s)", [table, number])


class OnPostgresql(Rows):
    begin = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"

    def lines(self, table: str, columns: list[str]) -> Iterator[bytes]:
        names = ", ".join(f'"{column}"' for column in columns)
        # By the bytes of its text, the same on every machine.
        order = ", ".join(f'"{key}"::text COLLATE "C"' for key in self._order(table))
        select = f'SELECT {names} FROM "{table}" ORDER BY {order}'  # noqa: S608
        rest = b""
        with (
            self.connection.cursor() as cursor,
            cursor.copy(f"COPY ({select}) TO STDOUT") as copy,
        ):
            for data in copy:
                *whole, rest = (rest + bytes(data)).split(b"\n")
                yield from (line + b"\n" for line in whole)

    def pour(self, table: str, columns: list[str], lines: Iterable[bytes]) -> None:
        names = ", ".join(f'"{column}"' for column in columns)
        with (
            self.connection.cursor() as cursor,
            cursor.copy(f'COPY "{table}" ({names}) FROM STDIN') as copy,
        ):
            for line in lines:
                copy.write(line)

    def triggers(self) -> dict[str, str]:
        return dict(
            self.ask(
                "SELECT c.relname || '.' || t.tgname, concat_ws(' ', t.tgenabled,"
                " pg_get_triggerdef(t.oid), p.prosrc) FROM pg_trigger t"
                " JOIN pg_class c ON c.oid = t.tgrelid"
                " JOIN pg_proc p ON p.oid = t.tgfoid WHERE NOT t.tgisinternal"
                " AND c.relnamespace = current_schema()::regnamespace ORDER BY 1"
            )
        )

    def opened(self) -> Any:
        return self._without([(table, "USER") for table in self.tables()])

    def opened_to_new_rows(self) -> Any:
        triggers = self.triggers().items()
        names = [name.split(".", 1) for name, words in triggers if NEW.search(words)]
        return self._without([(table, f'"{trigger}"') for table, trigger in names])

    @contextmanager
    def _without(self, standing: list[tuple[str, str]]) -> Iterator[None]:
        for table, trigger in standing:
            self.do(f'ALTER TABLE "{table}" DISABLE TRIGGER {trigger}')
        yield
        for table, trigger in standing:
            self.do(f'ALTER TABLE "{table}" ENABLE TRIGGER {trigger}')

    def empty(self) -> None:
        self.do("TRUNCATE " + ", ".join(f'"{table}"' for table in self.tables()))

    def sequences(self) -> dict[str, Any]:
        return {
            name: list(self.ask(f'SELECT last_value, is_called FROM "{name}"')[0])  # noqa: S608
            for name in self._names()
        }

    def set_sequences(self, stand: dict[str, Any]) -> None:
        for name, (number, is_called) in stand.items():
            self.ask(
                "SELECT setval(quote_ident(%s)::regclass, %s, %s)",
                [name, number, is_called],
            )

    def _names(self) -> list[str]:
        with self.connection.cursor() as cursor:
            return [
                row["name"]
                for table in self.tables()
                for row in self.connection.introspection.get_sequences(cursor, table)
            ]


def rows_of(connection: BaseDatabaseWrapper) -> Rows:
    """Return the way of reading and writing rows on this kind of database."""
    kinds = {"sqlite": OnSqlite, "postgresql": OnPostgresql}
    return kinds[connection.vendor](connection)


def _as_hex(value: bytes) -> dict[str, str]:
    return {"hex": value.hex()}


def _from_hex(value: dict[str, str]) -> bytes:
    return bytes.fromhex(value["hex"])
