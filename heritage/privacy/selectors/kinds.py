"""What a part of somebody's record is made of: a kind of row, and its columns."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import models

# Words that are translated when they are read, for which Django names no type.
Words = Any
Value = str | int | bool | date | datetime | None


@dataclass(frozen=True, slots=True)
class Column:
    """One thing said in each row; ``path`` is where it stands, by the row's model."""

    key: str
    label: Words
    path: str


@dataclass(frozen=True, slots=True)
class Source:
    """Rows of one kind about one person.

    ``person`` is the path from the row to the volunteer, or to the account with
    ``by_account``; ``home`` is the path to the demonstration, asked of an account's
    rows alone, for a volunteer is of one demonstration only.
    """

    key: str
    title: Words
    why: Words
    model: type[models.Model]
    person: str
    columns: Sequence[Column]
    order: Sequence[str] = ("pk",)
    by_account: bool = False
    home: str = ""

    @property
    def relation(self) -> str:
        """The field that leads to the person, as ``app.Model.field``."""
        return relation(self.model, self.person)


@dataclass(frozen=True, slots=True)
class Count:
    """Rows an account wrote about others: counted, never shown to this person."""

    what: Words
    model: type[models.Model]
    person: str
    when: str
    home: str

    @property
    def relation(self) -> str:
        """The field that leads to the account, as ``app.Model.field``."""
        return relation(self.model, self.person)


def line(*columns: tuple[str, Any, str] | Column) -> list[Column]:
    """Return columns, each given whole or as key, words and path."""
    return [one if isinstance(one, Column) else Column(*one) for one in columns]


def relation(model: type[models.Model], path: str) -> str:
    """Name the first step of a path, as ``app.Model.field``."""
    return f"{model._meta.label}.{path.split('__')[0]}"


def said(model: type[models.Model], path: str) -> dict[object, str]:
    """Return the words of a field's choices; empty where it has none."""
    steps = path.split("__")
    for step in steps[:-1]:
        related = model._meta.get_field(step).related_model
        if not isinstance(related, type):
            return {}
        model = related
    field = model._meta.get_field(steps[-1])
    return {value: str(words) for value, words in getattr(field, "flatchoices", ())}
