"""The lines of the tally book that count beets."""

import uuid
from dataclasses import dataclass
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.season.models import Plot


class Way(models.TextChoices):
    """How the flax was pulled."""

    HAND = "hand", _("by hand")
    MACHINE = "machine", _("by machine")


class Source(models.TextChoices):
    """Where a line of the book came from."""

    FIELD = "field", _("the field page")
    LEAD = "lead", _("the lead's form")
    OWN = "own", _("their own log, confirmed")
    PAPER = "paper", _("a paper sheet")


@dataclass(frozen=True, slots=True)
class Sums:
    """What the entries of one volunteer, or of one gathering, come to."""

    key: int
    beets: int
    gatherings: int
    volunteers: int


# Two lines that were found to be one person count as one.
_PERSON = Coalesce("volunteer__merged_into", "volunteer")


class EntryQuerySet(OwnedQuerySet["Entry"]):
    demonstration_path = "gathering__demonstration"

    def in_order(self) -> Self:
        return self.order_by("entered_at", "pk")

    def for_book(self) -> Self:
        """Keep all, with what a page of the book shows beside each."""
        return self.select_related(
            "volunteer", "plot", "entered_by", "corrects"
        ).in_order()

    def by(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def pulled(self, way: str) -> Self:
        return self.filter(way=way)

    def summed_by(self, key: str) -> list["Sums"]:
        """Add up the book by ``"volunteer"`` or ``"gathering"``: one query."""
        rows = (
            self.order_by()
            .values(key)
            .annotate(
                total=models.Sum("beets"),
                gatherings=models.Count("gathering", distinct=True),
                volunteers=models.Count(_PERSON, distinct=True),
            )
        )
        return [
            Sums(row[key], row["total"], row["gatherings"], row["volunteers"])
            for row in rows
        ]

    def summed_by_person_and_evening(self) -> dict[tuple[int, int], int]:
        """Add up each person's beets at each gathering: one query."""
        rows = self.order_by().values_list("volunteer", "gathering")
        return {
            (volunteer, gathering): beets
            for volunteer, gathering, beets in rows.annotate(models.Sum("beets"))
        }

    def best_evening(self) -> tuple[int, int, int] | None:
        """Return the most beets of one person at one gathering, and whose and when.

        It gives the volunteer, the gathering and the beets: one query. Of equals the
        earlier gathering stands.
        """
        rows = self.order_by().values_list("volunteer", "gathering")
        best = rows.annotate(total=models.Sum("beets")).order_by(
            "-total", "gathering__starts_at", "volunteer"
        )
        return best.first()

    def summed_by_plot(self) -> dict[int | None, int]:
        """Add up the beets of each plot, and of no plot in particular: one query."""
        rows = self.order_by().values_list("plot").annotate(models.Sum("beets"))
        return dict(rows)

    def beets(self) -> int:
        """Return the sum of the beets, corrections counted."""
        total: int | None = self.aggregate(beets=models.Sum("beets"))["beets"]
        return total or 0


class Entry(models.Model):
    """A line of the tally book: never changed, never removed, only countered."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="entries")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="entries")
    plot = models.ForeignKey(
        Plot, models.PROTECT, related_name="entries", null=True, blank=True
    )
    way = models.CharField(_("pulled"), max_length=8, choices=Way, default=Way.HAND)
    beets = models.IntegerField(_("beets"))
    source = models.CharField(
        _("comes from"), max_length=8, choices=Source, default=Source.LEAD
    )
    crew = models.UUIDField(
        null=True,
        blank=True,
        editable=False,
        help_text=_("The same for all shares of what one crew pulled together."),
    )
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    entered_at = models.DateTimeField(_("entered at"))
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = EntryQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(beets__gt=0, corrects__isnull=True)
                | Q(beets__lt=0, corrects__isnull=False) & ~Q(reason="")
                | Q(beets__gt=0, corrects__isnull=False) & ~Q(reason=""),
                name="entry_counts_up_unless_it_corrects",
                violation_error_message=_(
                    "An entry counts at least one beet; only a correction, with its "
                    "reason, takes beets away."
                ),
            ),
            models.CheckConstraint(
                condition=Q(beets__range=(-10_000, 10_000)),
                name="entry_beets_possible",
                violation_error_message=_("One entry holds at most 10,000 beets."),
            ),
            models.CheckConstraint(
                condition=Q(way__in=Way.values), name="entry_way_known"
            ),
            models.CheckConstraint(
                condition=Q(source__in=Source.values), name="entry_source_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.beets}"
