"""Rules over more than one row, kept by the database itself.

A check constraint sees one row. Where a rule counts rows, `KeptByTriggers` is a
migration operation that makes triggers for it, in the words of each database: after
it a row that breaks the rule is refused, whoever writes it.

SQLite makes a table anew to change a column, and cannot while a trigger elsewhere
speaks of that table: a later migration that alters one of the tables begins with
`LetGoOfTriggers` and ends with `KeptByTriggers` again, over the same rules.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.backends.base.base import BaseDatabaseWrapper

from heritage.common.kept_by_database import KeptByDatabase


@dataclass(frozen=True, slots=True)
class Rule:
    """One trigger: its name, its table, and how each database makes it.

    ``postgresql`` is the body of a function in PL/pgSQL, run when ``fires`` says;
    ``sqlite`` is what is selected to refuse, which ends in ``RAISE``.
    """

    name: str
    table: str
    fires: str
    sqlite: str
    postgresql: str

    def made_on(self, vendor: str) -> list[str]:
        """Return the statements that make the trigger."""
        if vendor == "postgresql":
            return [
                f"CREATE OR REPLACE FUNCTION {self.name}() RETURNS trigger AS $$"
                f" BEGIN {self.postgresql} RETURN NEW; END $$ LANGUAGE plpgsql",
                f"CREATE TRIGGER {self.name} {self.fires} ON {self.table}"
                f" FOR EACH ROW EXECUTE FUNCTION {self.name}()",
            ]
        return [
            f"CREATE TRIGGER {self.name} {self.fires} ON {self.table}"
            f" BEGIN {self.sqlite}; END"
        ]

    def dropped_on(self, vendor: str) -> list[str]:
        """Return the statements that let it go."""
        if vendor == "postgresql":
            return [
                f"DROP TRIGGER IF EXISTS {self.name} ON {self.table}",
                f"DROP FUNCTION IF EXISTS {self.name}()",
            ]
        return [f"DROP TRIGGER IF EXISTS {self.name}"]


class KeptByTriggers(KeptByDatabase):
    """Let the database keep some rules from here on; going back lets them go."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        self.rules = rules

    def making(self, connection: BaseDatabaseWrapper) -> list[str]:
        vendor = connection.vendor
        made = [
            [*rule.dropped_on(vendor), *rule.made_on(vendor)] for rule in self.rules
        ]
        return [statement for rule in made for statement in rule]

    def undoing(self, connection: BaseDatabaseWrapper) -> list[str]:
        vendor = connection.vendor
        return [words for rule in self.rules for words in rule.dropped_on(vendor)]

    def describe(self) -> str:
        return "Keep by triggers: " + ", ".join(rule.name for rule in self.rules)


class LetGoOfTriggers(KeptByTriggers):
    """Let the rules go, so that their tables can be altered; going back keeps them."""

    def making(self, connection: BaseDatabaseWrapper) -> list[str]:
        return super().undoing(connection)

    def undoing(self, connection: BaseDatabaseWrapper) -> list[str]:
        return super().making(connection)

    def describe(self) -> str:
        return "Let go of " + ", ".join(rule.name for rule in self.rules)
