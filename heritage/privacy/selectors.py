"""What every model says that it holds of people, read from its own declaration.

`heritage.common.privacy` says how a model declares it. Here the declarations become
lists that the record, the search, an erasing, a merge and tidying go through.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar

from django.apps import apps
from django.db import models

from heritage.common.privacy import (
    About,
    Column,
    Counted,
    Erased,
    Holds,
    Meets,
    Merged,
    Untold,
    Wrote,
    column,
    holds_of,
    steps,
)
from heritage.people.models import User, Volunteer

Value = str | int | bool | date | datetime | None
Said = TypeVar("Said", About, Wrote, Counted, Untold)

# The order in which somebody reads their own record; what is not named comes last.
ORDER = [
    "details", "account", "addresses", "second_steps", "children", "skills",
    "health_note", "agreements", "sign_ups", "turnout", "treadings", "led", "first_aid",
    "awaited", "head_counts", "slips", "entries", "work", "own_logs", "briefings",
    "briefings_read", "incidents", "weighings", "steward_posts", "pictures", "letters",
    "account_letters", "invitations", "erasures", "merges",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Source:
    """Rows of one kind about one person: what leads to them, and what is said of it."""

    model: type[models.Model]
    field: str
    about: About

    @property
    def is_of_account(self) -> bool:
        """Whether the field leads to an account, and not to a line on the list."""
        return leads_to(self.model, self.field) is User

    @property
    def path(self) -> str:
        """The path from a row to the person's line on the list."""
        if not self.is_of_account:
            return self.field
        return "volunteers" if self.model is User else f"{self.field}__volunteers"

    @property
    def columns(self) -> list[Column]:
        return [column(self.model, one) for one in self.about.columns.split()]

    @property
    def called(self) -> str:
        """What a reader knows the rows as."""
        return called(self.model)

    @property
    def erased(self) -> Sequence[Erased]:
        """What an erasing does with them, of some of them this and of others that."""
        erased = self.about.erased
        return [erased] if isinstance(erased, Erased) else erased


def declared() -> Iterator[tuple[type[models.Model], type[Holds]]]:
    """Go through every model, with what it says that it holds."""
    for model in apps.get_models():
        yield model, holds_of(model)


def facts(kind: type[Said]) -> Iterator[tuple[type[models.Model], str, Said]]:
    """Go through the fields of which one kind of thing is said."""
    for model, holds in declared():
        for field, fact in holds.facts().items():
            if isinstance(fact, kind):
                yield model, field, fact


def sources() -> list[Source]:
    """List every kind of row about a person, in the order in which it is read."""
    listed = [Source(*one) for one in facts(About)]
    places = {key: place for place, key in enumerate(ORDER)}
    return sorted(listed, key=lambda one: places.get(one.about.key, len(ORDER)))


def of_a_line() -> list[tuple[type[models.Model], str, Merged | Meets]]:
    """List every field that leads to a line on the list, and how a merge takes it."""
    fields: list[tuple[type[models.Model], str, About | Untold]]
    fields = [*facts(About), *facts(Untold)]
    return [
        (model, field, fact.merged)
        for model, field, fact in fields
        if field != "pk" and leads_to(model, field) is Volunteer
    ]


def leads_to(model: type[models.Model], field: str) -> type[models.Model]:
    """Return the model to which a field leads; a row's own key to the row."""
    last: Any = steps(model, field)[-1][1]
    return model if last.primary_key else last.related_model


def called(model: type[models.Model]) -> str:
    """Return what a reader knows a model's rows as."""
    return str(holds_of(model).called or model._meta.verbose_name_plural)


def home_path(model: type[models.Model]) -> str | None:
    """Return the path from a row to its demonstration; None where it has none."""
    rows, home = model._default_manager.all(), holds_of(model).home
    path: str | None = getattr(rows, "demonstration_path", home or None)
    return path
