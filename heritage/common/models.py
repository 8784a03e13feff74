"""What the models of every subject share: the one door to rows, and the site's work.

Visible means: to the demonstration's members or, where a row is public by nature, to
everybody. ``visible_to(user)`` takes one argument; a page adds ``.of(demonstration)``.
"""

import secrets
from typing import Any, Protocol, Self, TypeVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.privacy import (
    Holds,
)

Row = TypeVar("Row", bound=models.Model, covariant=True)


class Viewer(Protocol):
    """The person who asks: an account, or a visitor without one."""

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


class Chore(models.TextChoices):
    """Work of the site's own that a timer, or a watch on the site, calls."""

    TEND = "tend", _("every few minutes")
    TIDY = "tidy", _("each night")
    READY = "ready", _("when a watch asks whether it can write")


class LastRunQuerySet(models.QuerySet["LastRun"]):
    def by_chore(self) -> dict[str, "LastRun"]:
        """Return what is known of each chore: one query."""
        return {row.chore: row for row in self.order_by("pk")}


class LastRun(models.Model):
    """When the site last did one of its chores, and what of it failed."""

    chore = models.CharField(_("chore"), max_length=8, choices=Chore, unique=True)
    at = models.DateTimeField(_("last done at"))
    trouble = models.CharField(_("what failed"), max_length=200, blank=True)

    objects = LastRunQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(chore__in=Chore.values), name="last_run_chore_known"
            )
        ]

    class Privacy(Holds):
        unsearched = {"trouble": "Names of tasks."}
        not_given = "The installation's own, of no demonstration."

    def __str__(self) -> str:
        return f"{self.chore}: {self.at:%Y-%m-%d %H:%M}"
