"""Patterns: gatherings as the organiser means to post them again, and runs of them."""

from datetime import date, datetime
from typing import Self

from django.db import models
from django.db.models import Count, F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models.asked import StationAsked
from heritage.gatherings.models.choices import GatheringStatus, StationKind
from heritage.people.models import AgeBand, User
from heritage.season.models import Demonstration, Stage


class PatternQuerySet(OwnedQuerySet["Pattern"]):
    def by_title(self) -> Self:
        return self.order_by("title", "pk")


class Pattern(models.Model):
    """A kind of gathering with its stations, from which others are posted."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="patterns"
    )
    title = models.CharField(_("title"), max_length=100)
    stage = models.CharField(_("stage"), max_length=20, choices=Stage)
    bring = models.CharField(_("what to bring"), max_length=300, blank=True)
    note = models.TextField(_("about the work"), max_length=2000, blank=True)

    objects = PatternQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "title"],
                name="pattern_title_once",
                violation_error_message=_("There is a pattern of that name already."),
            ),
            models.CheckConstraint(
                condition=Q(stage__in=Stage.values), name="pattern_stage_known"
            ),
        ]

    def __str__(self) -> str:
        return self.title


class PatternStationQuerySet(OwnedQuerySet["PatternStation"]):
    demonstration_path = "pattern__demonstration"

    def in_order(self) -> Self:
        return self.order_by("pk")


class PatternStation(StationAsked):
    """One station of a pattern: how many it needs and what it asks of them."""

    pattern = models.ForeignKey(Pattern, models.CASCADE, related_name="stations")

    objects = PatternStationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["pattern", "title"],
                name="pattern_station_title_once",
                violation_error_message=_("This pattern has a station of that name."),
            ),
            models.CheckConstraint(
                condition=Q(places__gte=1, fewest__lte=F("places")),
                name="pattern_station_fewest_within_places",
                violation_error_message=_(
                    "The fewest needed cannot be more than the places."
                ),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=StationKind.values, least_age__in=AgeBand.values),
                name="pattern_station_choices_known",
            ),
        ]


class RunQuerySet(OwnedQuerySet["Run"]):
    def newest_first(self) -> Self:
        return self.order_by("-first_day", "-pk")

    def with_counts(self, now: datetime) -> Self:
        """Count the evenings of each, and those to come that are still on."""
        on = ~Q(gatherings__status=GatheringStatus.CALLED_OFF)
        to_come = Q(gatherings__starts_at__gt=now) & on
        return self.annotate(
            evenings=Count("gatherings"),
            to_come=Count("gatherings", filter=to_come),
        )

    def running(self, day: date) -> Self:
        return self.filter(last_day__gte=day, ended_at__isnull=True)


class Run(models.Model):
    """A run of evenings posted together: these weekdays, between these days."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="runs"
    )
    title = models.CharField(_("title"), max_length=100)
    weekdays = models.JSONField(
        _("on"), default=list, help_text=_("0 for Monday to 6 for Sunday.")
    )
    first_day = models.DateField(_("from"))
    last_day = models.DateField(_("until at the latest"))
    starts = models.TimeField(_("starts"))
    ends = models.TimeField(_("ends"))
    left_out = models.JSONField(_("but not on"), default=list, blank=True)
    made_at = models.DateTimeField(_("posted at"))
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(_("ended at"), null=True, blank=True)

    # Filled in by `with_counts` alone.
    evenings: int
    to_come: int

    objects = RunQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="run_goes_forward",
                violation_error_message=_("A run ends on or after its first day."),
            )
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("gatherings:run", args=[self.demonstration.slug, self.pk])
