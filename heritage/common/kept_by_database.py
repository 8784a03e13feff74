"""The ground of migration operations whose rules are the database's triggers."""

from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation


class KeptByDatabase(Operation):
    """Some SQL on the way forwards, its undoing on the way back, no model changed."""

    reversible = True
    reduces_to_sql = True

    def making(self, connection: BaseDatabaseWrapper) -> list[str]:
        """Return the statements that put the rule up, whether or not it stands."""
        raise NotImplementedError

    def undoing(self, connection: BaseDatabaseWrapper) -> list[str]:
        """Return the statements that take the rule down, whether or not it stands."""
        raise NotImplementedError

    def state_forwards(self, app_label: str, state: Any) -> None:
        """Change nothing: Django's picture of the models has no triggers."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        for statement in self.making(schema_editor.connection):
            schema_editor.execute(statement, params=None)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: Any,
        to_state: Any,
    ) -> None:
        for statement in self.undoing(schema_editor.connection):
            schema_editor.execute(statement, params=None)
