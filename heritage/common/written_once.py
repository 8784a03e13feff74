"""Rows that the database lets in only as they should be, and columns written once.

Where a whole table cannot be sealed (`append_only`), because rows move when two lines
of one person are merged or go when their time is over, these migration operations keep
what must not be changed: `WrittenOnce` refuses to change some columns of a row,
`OnlyIf` refuses a new row for which a condition does not hold. Both work on SQLite and
on PostgreSQL, whoever asks.

SQLite makes a table anew to change a column, and the triggers go with the old one:
a later migration that alters such a table ends with these operations again.

So an acknowledgement moves with a merged line and goes after its years, but its
version, moment, way and word stay; and no hearing is let in from before the
publishing, nor a screen's word for somebody else.
"""

from django.db.backends.base.base import BaseDatabaseWrapper

from heritage.common.kept_by_database import KeptByDatabase

REFUSE = """
CREATE OR REPLACE FUNCTION written_once_refuse() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'restrict_violation';
END
$$ LANGUAGE plpgsql
"""


class _Triggered(KeptByDatabase):
    """A trigger that refuses, taken away again on the way back."""

    table: str
    words: str

    def undoing(self, connection: BaseDatabaseWrapper) -> list[str]:
        return [self._drop(connection)]

    def describe(self) -> str:
        return f"{self.table}: {self.words}"

    def _name(self) -> str:
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

    def making(self, connection: BaseDatabaseWrapper) -> list[str]:
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

    def making(self, connection: BaseDatabaseWrapper) -> list[str]:
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
