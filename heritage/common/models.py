"""What the models of every trade share: the one door to rows."""

import secrets
from typing import Any, Protocol, Self, TypeVar

from django.db import models

Row = TypeVar("Row", bound=models.Model, covariant=True)


class Viewer(Protocol):
    """Whoever is asking: an account, or a visitor without one."""

    @property
    def is_authenticated(self) -> Any: ...


def demonstrations_of(user: Viewer, *, organised: bool = False) -> Any:
    """Return the keys of the demonstrations a user belongs to, or organises.

    A visitor belongs to none. The account model answers for an account.
    """
    ask = getattr(user, "demonstration_keys", None)
    return ask(organised=organised) if ask else []


class OwnedQuerySet(models.QuerySet[Row]):
    """Rows that belong to one demonstration, directly or by ``demonstration_path``."""

    demonstration_path = "demonstration"

    def of(self, demonstration: models.Model) -> Self:
        """Keep the rows of one demonstration."""
        return self.filter(**{self.demonstration_path: demonstration})

    def visible_to(self, user: Viewer) -> Self:
        """Keep the rows of the demonstrations that the user belongs to."""
        keys = demonstrations_of(user)
        return self.filter(**{f"{self.demonstration_path}__in": keys})

    def managed_by(self, user: Viewer) -> Self:
        """Keep the rows of the demonstrations that the user organises."""
        keys = demonstrations_of(user, organised=True)
        return self.filter(**{f"{self.demonstration_path}__in": keys})


class ManagedQuerySet(OwnedQuerySet[Row]):
    """Rows that only those who organise their demonstration may read."""

    def visible_to(self, user: Viewer) -> Self:
        """Keep the rows of the demonstrations that the user organises."""
        return self.managed_by(user)


def private_key() -> str:
    """Return an address nobody can guess: 192 random bits, safe in a URL."""
    return secrets.token_urlsafe(24)
