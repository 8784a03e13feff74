"""The decisions on a gathering."""

import uuid
from datetime import UTC, datetime, timedelta
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import OuterRef, Q, Subquery
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models.choices import Decision, WhyOff
from heritage.gatherings.models.gathering import Gathering
from heritage.season.models import Demonstration


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
    why_off = models.CharField(
        _("why it is off"), max_length=11, choices=WhyOff, blank=True
    )
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
            ),
            # Calls made before reasons were chosen have none, and count for nothing.
            models.CheckConstraint(
                condition=Q(why_off="")
                | Q(why_off__in=WhyOff.values, decision=Decision.OFF),
                name="call_why_off_known",
                violation_error_message=_("Only what is called off has a reason."),
            ),
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


class RainAheadQuerySet(OwnedQuerySet["RainAhead"]):
    pass


class RainAhead(models.Model):
    """The rain of the forecast last read for a place: one row for each, kept fresh."""

    demonstration = models.OneToOneField(
        Demonstration, models.CASCADE, related_name="rain_ahead"
    )
    made_at = models.DateTimeField(_("forecast made at"))
    read_at = models.DateTimeField(_("read at"))
    hours = models.JSONField(
        _("hours"),
        default=dict,
        help_text=_("Millimetres of rain, by the hour's beginning."),
    )

    objects = RainAheadQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.demonstration_id}: {self.read_at:%Y-%m-%d %H:%M}"

    def most_between(self, start: datetime, end: datetime) -> float | None:
        """Return the heaviest hour of a span, or None unless all of it is forecast."""
        hour = start.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
        found = []
        while hour < end:
            rain = self.hours.get(hour.isoformat())
            if rain is None:
                return None
            found.append(float(rain))
            hour += timedelta(hours=1)
        return max(found)
