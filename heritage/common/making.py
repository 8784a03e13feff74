"""What takes a while is made beside everything else: asked for, made once, and kept.

A row says how far it is, and names its file once that is whole: so what broke off is
found by nobody, and the nightly round takes it away.
"""

import errno
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Self, TypeVar

from django.core.files.storage import default_storage
from django.db import models, transaction
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import ManagedQuerySet, private_key

log = logging.getLogger(__name__)
# Longer than this without a sign of life, and nobody is making one any more.
QUIET = timedelta(minutes=15)
Row = TypeVar("Row", bound="Making", covariant=True)


class State(models.TextChoices):
    """How far it is."""

    ASKED = "asked", _("waiting to be made")
    MAKING = "making", _("being made")
    MADE = "made", _("made")
    FAILED = "failed", _("not made")


GOING = (State.ASKED, State.MAKING)


class WhyNot(models.TextChoices):
    """Why it was not made."""

    NO_ROOM = "no_room", _("There is no room left where files are kept.")
    BROKE_OFF = "broke_off", _("Something went wrong, and it broke off.")
    ERASED = "erased", _("Somebody was deleted while it was being made.")


class MakingQuerySet(ManagedQuerySet[Row]):
    """What is made, is being made, or was not; its rows are an organiser's to read."""

    def newest_first(self) -> Self:
        return self.order_by("-pk")

    def made(self) -> Self:
        return self.filter(state=State.MADE)

    def going(self) -> Self:
        return self.filter(state__in=GOING)

    def failed(self) -> Self:
        return self.filter(state=State.FAILED)

    def over(self) -> Self:
        return self.exclude(state__in=GOING)

    def quiet_since(self, moment: datetime) -> Self:
        """Keep those that are going on, and of which nothing was heard since."""
        return self.going().filter(told_at__lt=moment)


class Making(models.Model):
    """Something asked for, with how far it is."""

    key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )
    state = models.CharField(
        _("state"), max_length=6, choices=State, default=State.ASKED
    )
    why_not = models.CharField(
        _("why it was not made"), max_length=9, choices=WhyNot, blank=True
    )
    asked_at = models.DateTimeField(_("asked for at"))
    told_at = models.DateTimeField(_("last heard of at"))
    made_at = models.DateTimeField(_("made at"), null=True, blank=True)

    class Meta:
        abstract = True

    @property
    def is_going(self) -> bool:
        return self.state in GOING

    def is_quiet(self, now: datetime) -> bool:
        """Whether it goes on by its row, and nobody makes it any more."""
        return self.is_going and self.told_at < now - QUIET


def not_made_with_why(model: str, said: Any) -> models.CheckConstraint:
    """Return the rule that what was not made says why, and nothing else does."""
    return models.CheckConstraint(
        condition=Q(state=State.FAILED, why_not__in=WhyNot.values)
        | (~Q(state=State.FAILED) & Q(state__in=State.values, why_not="")),
        name=f"{model}_not_made_with_why",
        violation_error_message=said,
    )


def give_up_quiet(rows: MakingQuerySet[Any], now: datetime) -> None:
    """Say of those that nobody makes any more that they broke off."""
    rows.quiet_since(now - QUIET).update(state=State.FAILED, why_not=WhyNot.BROKE_OFF)


def begin(rows: MakingQuerySet[Any], now: datetime) -> bool:
    """Take what was asked for in hand, unless somebody does or did."""
    asked = rows.filter(state=State.ASKED)
    return bool(asked.update(state=State.MAKING, told_at=now))


@contextmanager
def told_if_it_fails(rows: MakingQuerySet[Any]) -> Iterator[None]:
    """Write down why something was not made, if that breaks off; it ends here."""
    try:
        yield
    except Exception as error:
        log.exception("What was being made broke off.")
        full = isinstance(error, OSError) and error.errno == errno.ENOSPC
        why_not = WhyNot.NO_ROOM if full else WhyNot.BROKE_OFF
        rows.going().update(state=State.FAILED, why_not=why_not)


def drop(rows: MakingQuerySet[Any]) -> None:
    """Delete what was made, with its files."""
    for row in rows:
        if row.file:
            transaction.on_commit(partial(default_storage.delete, str(row.file.name)))
        row.delete()
