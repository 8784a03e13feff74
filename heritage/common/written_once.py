"""Rows that the database lets in only as they should be, and columns written once.

Where a whole table cannot be sealed (`append_only`), because rows move when two lines
of one person are merged or go when their time is over, these migration operations keep
what must not be changed: `WrittenOnce` refuses to change some columns of a row,
`OnlyIf` refuses a new row for which a condition does not hold. Both work on SQLite and
on PostgreSQL, whoever asks.

SQLite makes a table anew to change a column, and the triggers go with the old one:
a later migration that alters such a table ends with these operations again.
"""

from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation

REFUSE = """
CREATE OR REPLACE FUNCTION written_once_refuse() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'restrict_violation';
END
$$ LANGUAGE plpgsql
"""


class _Triggered(Operation):
    """A trigger that refuses, taken away again on the way back."""

    reversible = True
    reduces_to_sql = True
    table: str
    words: str

    def state_forwards(self, app_label: str, state: Any) -> None:
        """Change nothing: Django's picture of the models has no triggers."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        for statement in self._statements(schema_editor.connection):
            schema_editor.execute(statement, params=None)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        schema_editor.execute(self._drop(schema_editor.connection), params=None)

    def describe(self) -> str:
        return f"{self.table}: {self.words}"

    def _name(self) -> str:
        raise NotImplementedError

    def _statements(self, connection: BaseDatabaseWrapper) -> list[str]:
        raise NotImplementedError

    def _drop(self, connection: BaseDatabaseWrapper) -> str:
        on = f' ON "{self.table}"' if connection.vendor == "postgresql" else ""
        return f'DROP TRIGGER IF EXISTS "{self._name()}"{on}'

    def _quoted(self) -> str:
        return self.words.replace("'", "''")


class WrittenOnce(_Triggered):
    """Let nobody change some columns of a table's rows."""

    def __init__(self, table: str, columns: list[str], words: str) -> None:
        self.table, self.columns, self.words = table, columns, words

    def _name(self) -> str:
        return f"written_once_{self.table}"

    def _statements(self, connection: BaseDatabaseWrapper) -> list[str]:
        is_postgresql = connection.vendor == "postgresql"
        differs = "IS DISTINCT FROM" if is_postgresql else "IS NOT"
        changed = " OR ".join(f'OLD."{x}" {differs} NEW."{x}"' for x in self.columns)
        head = (
            f'CREATE TRIGGER "{self._name()}" BEFORE UPDATE ON "{self.table}" '
            f"FOR EACH ROW WHEN ({changed}) "
        )
        if not is_postgresql:
            refuse = f"BEGIN SELECT RAISE(ABORT, '{self._quoted()}'); END"
            return [self._drop(connection), head + refuse]
        call = f"EXECUTE FUNCTION written_once_refuse('{self._quoted()}')"
        return [self._drop(connection), REFUSE, head + call]


class OnlyIf(_Triggered):
    """Let no row into a table for which a condition on ``NEW`` does not hold.

    ``name`` tells it from the table's others. The condition is SQL that SQLite and
    PostgreSQL both read, and is made by the code alone.
    """

    def __init__(self, table: str, name: str, condition: str, words: str) -> None:
        self.table, self.name = table, name
        self.condition, self.words = condition, words

    def _name(self) -> str:
        return f"only_if_{self.table}_{self.name}"

    def _statements(self, connection: BaseDatabaseWrapper) -> list[str]:
        head = (
            f'CREATE TRIGGER "{self._name()}" BEFORE INSERT ON "{self.table}" '
            "FOR EACH ROW "
        )
        drop, refused = self._drop(connection), f"NOT ({self.condition})"
        if connection.vendor != "postgresql":
            refuse = f"BEGIN SELECT RAISE(ABORT, '{self._quoted()}'); END"
            return [drop, f"{head}WHEN ({refused}) {refuse}"]
        # PostgreSQL allows no other tables in a trigger's WHEN.
        function = f"""
CREATE OR REPLACE FUNCTION "{self._name()}"() RETURNS trigger AS $$
BEGIN
    IF {refused} THEN
        RAISE EXCEPTION '{self._quoted()}' USING ERRCODE = 'restrict_violation';
    END IF;
    RETURN NEW;
END
$$ LANGUAGE plpgsql
"""
        return [drop, function, f'{head}EXECUTE FUNCTION "{self._name()}"()']
