"""How much ground was cleared, as the lead measured it."""

from collections.abc import Iterable
from typing import Self

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models import Gathering
from heritage.season.models import Plot


class PulledAreaQuerySet(OwnedQuerySet["PulledArea"]):
    demonstration_path = "gathering__demonstration"

    def in_order(self) -> Self:
        return self.order_by("entered_at", "pk")

    def for_book(self) -> Self:
        return self.select_related("plot", "entered_by").in_order()


class PulledArea(models.Model):
    """Ground that one gathering cleared of one plot; the newest measure holds.

    Measured again, it is a new line; the old ones stay. Nothing at all takes the
    measure back.
    """

    gathering = models.ForeignKey(
        Gathering, models.PROTECT, related_name="pulled_areas"
    )
    plot = models.ForeignKey(Plot, models.PROTECT, related_name="pulled_areas")
    area_m2 = models.DecimalField(
        _("square metres cleared"),
        max_digits=12,
        decimal_places=2,
        validators=[MinValueValidator(0)],
    )
    entered_at = models.DateTimeField(_("entered at"))
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = PulledAreaQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(area_m2__gte=0),
                name="pulled_area_not_negative",
                violation_error_message=_("Ground cleared is never below nothing."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.plot_id}: {self.area_m2} m²"


def newest_measures(rows: Iterable[PulledArea]) -> dict[tuple[int, int], PulledArea]:
    """Keep the newest of each gathering and plot, from rows in their order."""
    return {(row.gathering_id, row.plot_id): row for row in rows}
