"""Rules that a check constraint cannot say, kept by the database's triggers.

`KeepRules` is a migration operation over a list of rules: after it the database refuses
what breaks one of them, no matter who asks, on SQLite and on PostgreSQL.

- `OnlyAddedTo`: no row of a table is changed or removed (on PostgreSQL it is not
  truncated either). A book whose lines nobody may rub out must not hang on the good
  manners of the code that writes it.
- `WrittenOnce`: some columns of a row are never changed. So an acknowledgement moves
  with a merged line and goes after its years, but its version, moment, way and word
  stay.
- `OnlyIf`: no row is let in for which a condition does not hold.
- `Never`: no change leaves behind what a condition describes, which may count rows.

Each trigger is named after its table, and on PostgreSQL its function is named alike.

SQLite makes a table anew to change a column: the table's triggers go with the old
one, and it cannot while a trigger elsewhere speaks of that table. So a migration that
alters a table with rules, or one that a rule reads, does it in `WithRulesAside`. One
that changes what a rule reads lets it go (`LetGoOfRules`) and keeps it anew.

The tests' flush and a fresh show open the sealed tables for a moment (`unsealed`).
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Protocol

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations import SeparateDatabaseAndState
from django.db.migrations.operations.base import Operation

from heritage.common.backup_rows import rows_of

SEALED = "_no_delete"


@dataclass(frozen=True, slots=True)
class Trigger:
    """One refusal: on which table, when it looks, what it refuses and in which words.

    ``broken`` is SQL that both databases read, on ``OLD`` and ``NEW``; it is made by
    the code alone. ``first`` is run before it on PostgreSQL, to hold rows.
    """

    name: str
    table: str
    fires: str
    words: str
    broken: str = "TRUE"
    each: str = "ROW"
    first: str = ""
    code: str = "restrict_violation"

    def made_on(self, vendor: str) -> list[str]:
        """Return the statements that make the trigger."""
        head = f'CREATE TRIGGER "{self.name}" {self.fires} ON "{self.table}"'
        words = self.words.replace("'", "''")
        if vendor != "postgresql":
            refuse = f"SELECT RAISE(ABORT, '{words}') WHERE {self.broken}"
            return [f"{head} BEGIN {refuse}; END"]
        function = f"""
CREATE OR REPLACE FUNCTION "{self.name}"() RETURNS trigger AS $$
BEGIN
    {self.first}
    IF {self.broken} THEN
        RAISE EXCEPTION USING MESSAGE = '{words}', ERRCODE = '{self.code}';
    END IF;
    RETURN NEW;
END
$$ LANGUAGE plpgsql
"""
        call = f'FOR EACH {self.each} EXECUTE FUNCTION "{self.name}"()'
        return [function, f"{head} {call}"]

    def dropped_on(self, vendor: str) -> list[str]:
        """Return the statements that let it go, whether or not it stands."""
        if vendor != "postgresql":
            return [f'DROP TRIGGER IF EXISTS "{self.name}"']
        return [
            f'DROP TRIGGER IF EXISTS "{self.name}" ON "{self.table}"',
            f'DROP FUNCTION IF EXISTS "{self.name}"()',
        ]


class Rule(Protocol):
    """What the triggers of one rule are, and the rule in words."""

    @property
    def described(self) -> str: ...

    def triggers_on(self, vendor: str) -> list[Trigger]: ...


@dataclass(frozen=True, slots=True)
class OnlyAddedTo:
    """The rows of a table are never changed or removed."""

    table: str

    @property
    def described(self) -> str:
        return f"Let {self.table} only be added to"

    def triggers_on(self, vendor: str) -> list[Trigger]:
        whole = {"truncate": "STATEMENT"} if vendor == "postgresql" else {}
        return [
            Trigger(
                f"{self.table}_no_{what}",
                self.table,
                f"BEFORE {what.upper()}",
                f"The rows of {self.table} are only ever added to.",
                each=each,
            )
            for what, each in {"update": "ROW", "delete": "ROW", **whole}.items()
        ]


@dataclass(frozen=True, slots=True)
class WrittenOnce:
    """Some columns of a table's rows are never changed."""

    table: str
    columns: Sequence[str]
    words: str

    @property
    def described(self) -> str:
        return f"{self.table}: {self.words}"

    def triggers_on(self, vendor: str) -> list[Trigger]:
        differs = "IS DISTINCT FROM" if vendor == "postgresql" else "IS NOT"
        changed = [f'OLD."{one}" {differs} NEW."{one}"' for one in self.columns]
        return [
            Trigger(
                f"{self.table}_written_once",
                self.table,
                "BEFORE UPDATE",
                self.words,
                " OR ".join(changed),
            )
        ]


@dataclass(frozen=True, slots=True)
class OnlyIf:
    """A new row is let in only if a condition on ``NEW`` holds.

    ``name`` tells it from the table's others.
    """

    table: str
    name: str
    condition: str
    words: str

    @property
    def described(self) -> str:
        return f"{self.table}: {self.words}"

    def triggers_on(self, vendor: str) -> list[Trigger]:
        return [
            Trigger(
                f"{self.table}_only_if_{self.name}",
                self.table,
                "BEFORE INSERT",
                self.words,
                f"NOT ({self.condition})",
            )
        ]


@dataclass(frozen=True, slots=True)
class Never:
    """A change never leaves behind what ``broken`` describes, looked at ``after`` it.

    ``after`` is what changed: an insert, or an update of some columns. Where two at
    once must not each count the other, ``hold`` is the row to hold on PostgreSQL, as
    what follows ``FROM``; SQLite has one writer at a time.
    """

    table: str
    name: str
    after: str
    broken: str
    words: str
    hold: str = ""

    @property
    def described(self) -> str:
        return f"{self.table}: {self.words}"

    def triggers_on(self, vendor: str) -> list[Trigger]:
        return [
            Trigger(
                f"{self.table}_{self.name}",
                self.table,
                f"AFTER {self.after}",
                self.words,
                self.broken,
                first=f"PERFORM 1 FROM {self.hold} FOR UPDATE;" if self.hold else "",
                code="check_violation",
            )
        ]


class KeepRules(Operation):
    """Let the database keep some rules from here on; going back lets them go."""

    reversible = True
    reduces_to_sql = True

    def __init__(self, rules: Sequence[Rule]) -> None:
        self.rules = rules

    def state_forwards(self, app_label: str, state: Any) -> None:
        """Change nothing: Django's picture of the models has no triggers."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        for statement in making(self.rules, schema_editor.connection.vendor):
            schema_editor.execute(statement, params=None)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        for statement in undoing(self.rules, schema_editor.connection.vendor):
            schema_editor.execute(statement, params=None)

    def describe(self) -> str:
        return "; ".join(rule.described for rule in self.rules)


class LetGoOfRules(KeepRules):
    """Let the rules go, so that their tables can be altered; going back keeps them."""

    database_forwards = KeepRules.database_backwards
    database_backwards = KeepRules.database_forwards

    def describe(self) -> str:
        return "Let go of: " + super().describe()


class WithRulesAside(SeparateDatabaseAndState):
    """Do some operations while SQLite's triggers are laid aside, then put them back.

    PostgreSQL alters a table as it stands, rules and all.
    """

    def __init__(self, operations: Sequence[Operation]) -> None:
        super().__init__(operations, operations)

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        with rows_of(schema_editor.connection).opened():
            super().database_forwards(app_label, schema_editor, from_state, to_state)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        with rows_of(schema_editor.connection).opened():
            super().database_backwards(app_label, schema_editor, from_state, to_state)


def making(rules: Sequence[Rule], vendor: str) -> list[str]:
    """Return the statements that put rules up, whether or not they stand."""
    triggers = [one for rule in rules for one in rule.triggers_on(vendor)]
    put_up = [statement for one in triggers for statement in one.made_on(vendor)]
    return [*undoing(rules, vendor), *put_up]


def undoing(rules: Sequence[Rule], vendor: str) -> list[str]:
    """Return the statements that take rules down, whether or not they stand."""
    triggers = [one for rule in rules for one in rule.triggers_on(vendor)]
    return [statement for one in triggers for statement in one.dropped_on(vendor)]


def seal(connection: BaseDatabaseWrapper, table: str) -> None:
    """Make the database refuse to change or remove a table's rows."""
    _run(connection, making([OnlyAddedTo(table)], connection.vendor))


def unseal(connection: BaseDatabaseWrapper, table: str) -> None:
    """Let a table's rows be changed and removed again."""
    _run(connection, undoing([OnlyAddedTo(table)], connection.vendor))


def sealed(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the tables that are sealed now, by name."""
    if connection.vendor == "postgresql":
        query = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    else:
        query = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    with connection.cursor() as cursor:
        cursor.execute(query)
        names = [name for (name,) in cursor.fetchall() if name.endswith(SEALED)]
    return sorted(name.removesuffix(SEALED) for name in names)


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


def _run(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
