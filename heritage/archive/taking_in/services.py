"""A package is taken in by an empty site, whole or not at all.

Its rows come in with their own numbers, so that each still points where it did, and
the database keeps its rules: every check and every unique rule asks each row, and the
sealed books stay sealed. Only the rules that look at what else is there when a row is
written are laid aside, since they were kept when it was, and what they looked at may
have changed since; they stand again before anything else is done.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import islice
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction
from django.utils.translation import gettext as _

from heritage.archive.selectors import kept_pictures, one_by_one
from heritage.archive.taking_in.selectors import (
    Package,
    account_columns,
    opened,
    unreadable,
    why_not_here,
)
from heritage.common.backup_rows import rows_of
from heritage.common.rows import broken_rules_said
from heritage.common.store import none_if_it_fails
from heritage.people.accounts.services import open_again
from heritage.people.letters.services import stop_all
from heritage.people.models import User
from heritage.pictures.services import keep_again
from heritage.season.models import Demonstration

AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came in, and what could not."""

    demonstration: Demonstration
    rows: int
    pictures: int
    # Pictures without a file, columns at their usual value, people who cannot sign in.
    lost: int
    as_usual: list[str]
    shut_out: int


def take_in(
    *, file: IO[bytes], tell: Callable[[str, int], None] = lambda what, count: None
) -> TakenIn:
    """Take a package in again; ``tell`` hears of each table and of the pictures.

    Raises
    ------
    ValidationError
        If the site is not empty, or the package damaged, unknown or against a rule.
    """
    refuse_if_not_empty()
    with opened(file) as package, transaction.atomic(), none_if_it_fails() as written:
        refuse_if_not_empty()
        accounts = _accounts(package)
        rows = _rows(package, accounts, tell)
        home = _home()
        stop_all(demonstration=home)
        pictures, lost = _pictures(package, home, written, tell)
        shut_out = User.objects.filter(pk__in=accounts.values(), is_active=False)
        return TakenIn(
            demonstration=home,
            rows=rows,
            pictures=pictures,
            lost=lost,
            as_usual=package.as_usual(),
            shut_out=shut_out.count(),
        )


def refuse_if_not_empty() -> None:
    """Refuse where a site holds anything already.

    Raises
    ------
    ValidationError
        With what there is.
    """
    if why_not := why_not_here():
        raise ValidationError(why_not)


def _accounts(package: Package) -> dict[int, int]:
    """Make an account for each that the rows speak of; return their numbers here."""
    lines = {
        row["user_id"]: (str(row["name"]), str(row["email"]))
        for row in package.rows("people-volunteer")
        if row["user_id"]
    }
    return open_again(numbers=sorted(package.head.accounts), lines=lines)


def _rows(
    package: Package, accounts: dict[int, int], tell: Callable[[str, int], None]
) -> int:
    count = 0
    connection.check_constraints()
    with rows_of(connection).opened_to_new_rows():
        for name in package.head.tables:
            model = package.tables[name].model
            rows = (_row(model, row, accounts) for row in package.rows(name))
            poured = _pour(model, name, rows)
            count += poured
            tell(name, poured)
        try:
            connection.check_constraints()
        except DatabaseError as error:
            raise unreadable(_("a row points at one that isn't there")) from error
    _go_on_numbering(one.model for one in package.tables.values())
    return count


def _pour(model: type[models.Model], name: str, rows: Iterable[models.Model]) -> int:
    count, coming = 0, iter(rows)
    while some := list(islice(coming, AT_ONCE)):
        try:
            with broken_rules_said(model):
                model._base_manager.bulk_create(some)
        # A text too long, a number too large: what only one of the databases says.
        except (DatabaseError, ValueError, OverflowError) as error:
            raise unreadable(name) from error
        count += len(some)
    return count


def _row(
    model: type[models.Model], said: dict[str, Any], accounts: dict[int, int]
) -> models.Model:
    """Make a row of what a package says of it, each value as its field reads it."""
    values = dict(said)
    for name in account_columns(model):
        if values.get(name) is not None:
            values[name] = accounts.get(values[name])
    try:
        for name, value in values.items():
            values[name] = _value(model._meta.get_field(name), value)
    except (ValidationError, TypeError, ValueError) as error:
        raise unreadable(f"{model._meta.label}, {name}") from error
    return model(**values)


def _value(column: Any, value: Any) -> Any:
    read = column.to_python(value)
    longest = getattr(column, "max_length", None)
    if longest and isinstance(read, str) and len(read) > longest:
        raise ValueError(column.name)
    return read


def _go_on_numbering(kinds: Iterable[type[models.Model]]) -> None:
    """Let new rows be numbered after those that came."""
    reset = connection.ops.sequence_reset_sql(no_style(), [User, *kinds])
    with connection.cursor() as cursor:
        for statement in reset:
            cursor.execute(statement)


def _home() -> Demonstration:
    try:
        return Demonstration.objects.get()
    except (Demonstration.DoesNotExist, Demonstration.MultipleObjectsReturned) as error:
        raise unreadable("season-demonstration") from error


def _pictures(
    package: Package,
    home: Demonstration,
    written: list[str],
    tell: Callable[[str, int], None],
) -> tuple[int, int]:
    """Bring in each original, and draw its copies anew; count those done and lost."""
    done = lost = 0
    for picture in one_by_one(kept_pictures(home)):
        original = package.original(picture.pk, settings.PICTURE_MAX_BYTES)
        if keep_again(picture=picture, original=original, written=written):
            done += 1
        else:
            lost += 1
    tell("pictures", done)
    return done, lost
