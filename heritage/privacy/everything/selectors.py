"""Every table of one demonstration, row by row, to be taken away."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from django.db import models
from django.utils.translation import gettext as _

from heritage.common.models import private_key
from heritage.kits.tables.write import Cell
from heritage.people.letters.selectors import without_private
from heritage.privacy.selectors import declared, home_path
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class ColumnWords:
    """What one column holds, for the person who opens the file."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Table:
    """One table: its file, what a row is, its columns; the rows come as asked for."""

    name: str
    words: str
    columns: tuple[ColumnWords, ...]
    model: type[models.Model]
    path: str
    home: int

    @property
    def heads(self) -> list[str]:
        """What its columns are called, as in the database."""
        return [column.name for column in self.columns]

    def rows(self) -> Iterator[list[Cell]]:
        """Read the rows for a spreadsheet: one query."""
        for row in self._read():
            yield [cell(value) for value in row]

    def exact(self) -> Iterator[dict[str, Any]]:
        """Read the rows with nothing lost, as JSON can say it: one query."""
        for row in self._read():
            yield dict(zip(self.heads, map(plain, row), strict=True))

    def _read(self) -> Iterator[tuple[Any, ...]]:
        """Read the rows a stretch at a time."""
        rows = self.model._default_manager.filter(**{self.path: self.home})
        values = rows.order_by("pk").values_list(*self.heads)
        yield from values.iterator(chunk_size=2_000)


def tables(
    demonstration: Demonstration, *, health: bool = False, incidents: bool = False
) -> list[Table]:
    """List the tables of a demonstration; no query is made before rows are read."""
    ticked = {"": True, "health": health, "incidents": incidents}
    listed: list[Table] = []
    for model, holds in declared():
        path = home_path(model)
        if path and ticked[holds.apart]:
            listed.append(_table(model, path, demonstration))
            listed += _between(model, path, demonstration)
    return sorted(listed, key=lambda table: table.name)


def _table(model: type[models.Model], path: str, home: Demonstration) -> Table:
    return Table(
        name=f"{model._meta.app_label}-{model._meta.model_name}.csv",
        words=(model.__doc__ or "").strip().split("\n")[0],
        columns=tuple(
            ColumnWords(field.attname, _words(field))
            for field in model._meta.concrete_fields
            if field.default is not private_key
            and not isinstance(field, models.FileField)
        ),
        model=model,
        path=path,
        home=home.pk,
    )


def _between(
    model: type[models.Model], path: str, home: Demonstration
) -> Iterator[Table]:
    """Give out also which rows of two tables belong together."""
    for field in model._meta.local_many_to_many:
        between: Any = field.remote_field.through
        source = field.m2m_field_name()
        yield Table(
            name=f"{model._meta.app_label}-{model._meta.model_name}-{field.name}.csv",
            words=str(field.verbose_name).capitalize() + ".",
            columns=tuple(
                ColumnWords(key.attname, _words(key))
                for key in between._meta.concrete_fields
            ),
            model=between,
            path=f"{source}__{path}",
            home=home.pk,
        )


def _words(field: Any) -> str:
    """Say what a column holds."""
    sentences = [str(field.verbose_name)]
    if field.is_relation:
        sentences.append(_("the number of a row of %s") % field.related_model.__name__)
    if field.flatchoices:
        pairs = (f"{value} = {words}" for value, words in field.flatchoices if value)
        sentences.append("; ".join(pairs))
    if field.help_text:
        sentences.append(str(field.help_text))
    return ". ".join(sentences)


def plain(value: Any) -> Any:
    """Write one value so that a field's ``to_python`` reads the same from it."""
    if value is None or isinstance(value, bool | int | float | dict | list):
        return value
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return without_private(str(value))


def cell(value: Any) -> Cell:
    """Write one value for a spreadsheet: moments in ISO 8601, UTC."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return value
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False)
    return without_private(str(value))
