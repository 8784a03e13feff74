"""How a small row is kept and taken away, and how two writers take turns."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

Row = TypeVar("Row", bound=models.Model)


def lock(row: Row) -> Row:
    """Hold a row until the transaction ends, and return it as it is now."""
    rows = type(row)._default_manager.select_for_update(no_key=True)
    return rows.get(pk=row.pk)


@transaction.atomic
def keep_record(*, row: Row, values: Mapping[str, Any]) -> Row:
    """Fill in a row of a demonstration, check it whole, and save it.

    Raises
    ------
    ValidationError
        By field, if a value cannot be or a rule of the table is broken.
    """
    lock(row.demonstration)  # type: ignore[attr-defined]
    return fill_in(row, values)


@transaction.atomic
def remove_record(*, row: models.Model) -> None:
    """Take a row of a demonstration away."""
    lock(row.demonstration)  # type: ignore[attr-defined]
    row.delete()


def fill_in(row: Row, values: Mapping[str, Any]) -> Row:
    """Put values into a row, check it whole and save it."""
    for name, value in values.items():
        setattr(row, name, value)
    row.full_clean()
    with broken_rules_said(type(row)):
        row.save()
    return row


def add_together(rows: Sequence[models.Model], *, parent: str) -> None:
    """Save new rows at once: their fields are checked here, rules by the database.

    ``parent`` names the field that points at the row to which they all belong.
    """
    for row in rows:
        row.clean_fields(exclude={parent})
    if rows:
        model = type(rows[0])
        with broken_rules_said(model):
            model._default_manager.bulk_create(rows)


@contextmanager
def broken_rules_said(model: type[models.Model]) -> Iterator[None]:
    """Turn a rule that the database found broken into that rule's own sentence.

    For a batch, where asking about each rule first costs a query each, and for the
    moment when two writers are through their checks together.
    """
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        for rule in model._meta.constraints:
            if _is_broken(model, rule, error):
                raise ValidationError(
                    rule.get_violation_error_message(), code=rule.name
                ) from error
        raise


def _is_broken(
    model: type[models.Model], rule: models.BaseConstraint, error: IntegrityError
) -> bool:
    """Tell whether the database spoke of this rule: by its name or, on SQLite, columns.

    SQLite names a check or an index over expressions, but of a unique rule only its
    columns.
    """
    if rule.name in str(error):
        return True
    if not isinstance(rule, models.UniqueConstraint) or not rule.fields:
        return False
    column_of = {field.name: field.column for field in model._meta.concrete_fields}
    table = model._meta.db_table
    columns = ", ".join(f"{table}.{column_of[name]}" for name in rule.fields)
    return str(error) == f"UNIQUE constraint failed: {columns}"
