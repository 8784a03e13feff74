"""The lines of the book that count other work than pulling."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer


class WorkKind(models.TextChoices):
    """Other work, each kind in its own whole unit."""

    BANDS = "bands", _("bands cut")
    LOADS = "loads", _("loads carted")
    CARTED = "carted", _("beets carted")
    MINUTES = "minutes", _("minutes of other work")
    RUNNING = "running", _("minutes the machine ran")
    STOPPED = "stopped", _("minutes the machine stood")

    @property
    def is_of_machine(self) -> bool:
        return self.value in {"running", "stopped"}


class WorkQuerySet(OwnedQuerySet["Work"]):
    demonstration_path = "gathering__demonstration"

    def for_book(self) -> Self:
        """Keep all, with what a page of the book shows beside each."""
        return self.select_related("volunteer", "entered_by").order_by(
            "entered_at", "pk"
        )

    def sums(self) -> dict[str, int]:
        """Add up the work of each kind, corrections counted: one query."""
        rows = self.order_by().values_list("kind").annotate(models.Sum("amount"))
        return dict(rows)

    def sums_by_gathering(self) -> dict[tuple[int, str], int]:
        """Add up each gathering's work of each kind: one query."""
        return self._sums_by("gathering")

    def sums_by_person(self) -> dict[tuple[int, str], int]:
        """Add up each person's work of each kind: one query."""
        return self._sums_by("volunteer")

    def _sums_by(self, key: str) -> dict[tuple[int, str], int]:
        rows = self.order_by().values_list(key, "kind")
        return {
            (row, kind): amount
            for row, kind, amount in rows.annotate(models.Sum("amount"))
        }


class Work(models.Model):
    """A line of other work: never changed, never removed, only countered."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="work")
    kind = models.CharField(_("work"), max_length=8, choices=WorkKind)
    amount = models.IntegerField(_("how much"))
    volunteer = models.ForeignKey(
        Volunteer, models.PROTECT, null=True, blank=True, related_name="work"
    )
    note = models.CharField(_("note"), max_length=200, blank=True)
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    entered_at = models.DateTimeField(_("entered at"))
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = WorkQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "work"
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__gt=0, corrects__isnull=True)
                | Q(corrects__isnull=False) & ~Q(amount=0) & ~Q(note=""),
                name="work_counts_up_unless_it_corrects",
                violation_error_message=_(
                    "Write at least 1; only a correction, with its reason, takes away."
                ),
            ),
            models.CheckConstraint(
                condition=Q(amount__range=(-10_000, 10_000)),
                name="work_amount_possible",
                violation_error_message=_("One line holds at most 10,000."),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=WorkKind.values), name="work_kind_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.amount}"
