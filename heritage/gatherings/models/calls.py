"""The decisions on a gathering."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import OuterRef, Q, Subquery
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models.choices import (
    Decision,
)
from heritage.gatherings.models.gathering import Gathering


class CallQuerySet(OwnedQuerySet["Call"]):
    demonstration_path = "gathering__demonstration"

    def newest_first(self) -> Self:
        return self.select_related("made_by").order_by("-made_at", "-pk")

    def newest_of_each(self) -> Self:
        """Keep the one of each gathering that holds."""
        newest = (
            self.model._default_manager.filter(gathering=OuterRef("gathering"))
            .order_by("-made_at", "-pk")
            .values("pk")[:1]
        )
        return self.filter(pk=Subquery(newest))


# How each condition is written on a page.
WORDS = {
    "rain_mm_per_h": _("rain %s mm an hour"),
    "wind_ms": _("wind %s m/s"),
    "temp_c": _("%s °C"),
    "relative_humidity": _("humidity %s %%"),
    "minutes_since_thunder": _("thunder %s min ago"),
    "flash_to_bang_s": _("flash to bang %s s"),
    "canopy_wet_mm": _("water on the crop %s mm"),
    "light_hours": _("light for %s h"),
}


class Call(models.Model):
    """The decision on a gathering, with its reasons; the newest one holds."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="calls")
    decision = models.CharField(_("decision"), max_length=4, choices=Decision)
    advice = models.CharField(
        _("what the figures advise"), max_length=4, choices=Decision
    )
    reasons = models.JSONField(_("reasons"), default=list)
    conditions = models.JSONField(_("conditions"), default=dict)
    sources = models.JSONField(
        _("where they were read"),
        default=dict,
        blank=True,
        help_text=_("Of each condition read from a forecast: for when, and when read."),
    )
    note = models.CharField(_("in the organiser's words"), max_length=300, blank=True)
    made_at = models.DateTimeField(_("made at"))
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)

    objects = CallQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(decision__in=Decision.values, advice__in=Decision.values),
                name="call_decision_known",
            )
        ]

    def __str__(self) -> str:
        return f"{self.gathering_id}: {self.decision}"

    @property
    def conditions_in_words(self) -> list[str]:
        """What was weighed, each with the forecast it came from, if it did."""
        said = []
        for name, value in self.conditions.items():
            words = str(WORDS[name]) % f"{value:.1f}".removesuffix(".0")
            source = self.sources.get(name)
            if source:
                words += " " + _("(forecast for %(hour)s, read at %(read)s)") % source
            said.append(words)
        return said
