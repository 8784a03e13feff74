"""Briefings, their words as published, and who has heard them."""

from datetime import datetime
from typing import Self

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.people.models import User, Volunteer
from heritage.safety.models.hazards import Hazard
from heritage.season.models import Demonstration


class BriefingQuerySet(OwnedQuerySet["Briefing"]):
    def by_title(self) -> Self:
        return self.order_by("title", "pk")

    def with_hazards(self) -> Self:
        """Keep all, with the hazards that each names, the worst first."""
        worst = Hazard.objects.worst_first().with_controls()
        return self.prefetch_related(models.Prefetch("hazards", worst))

    def told_by(self, user: Viewer, since: datetime) -> Self:
        """Keep those that the user may tick off for others.

        That is all of theirs for an organiser, and for a lead those of a
        demonstration where they lead a gathering that ends after ``since``.
        """
        if not isinstance(user, User):
            return self.none()
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        leading = user.volunteers.active().leading_after(since)
        led = Q(demonstration__in=leading.values("demonstration"))
        return self.filter(organised | led)


class Briefing(models.Model):
    """What somebody is told before they take up a station; changed by publishing."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="briefings"
    )
    title = models.CharField(_("title"), max_length=80)
    task = models.CharField(_("the work"), max_length=300)
    plan = models.CharField(_("today's plan"), max_length=300, blank=True)
    in_charge = models.CharField(
        _("person in charge"),
        max_length=120,
        blank=True,
        help_text=_("A briefing without one cannot be published."),
    )
    stop_signal = models.CharField(_("stop signal"), max_length=200, blank=True)
    no_go = models.CharField(
        _("where nobody goes, and the barriers"), max_length=300, blank=True
    )
    machine_stop = models.CharField(
        _("how the machines are stopped"), max_length=300, blank=True
    )
    lifting = models.CharField(_("the rule for lifting"), max_length=300, blank=True)
    weather = models.CharField(
        _("when the weather stops the work"), max_length=300, blank=True
    )
    clothing = models.CharField(_("what to wear"), max_length=200, blank=True)
    first_aid = models.CharField(
        _("first-aider and first aid kit"), max_length=300, blank=True
    )
    aed = models.CharField(_("nearest defibrillator (AED)"), max_length=200, blank=True)
    hospital = models.CharField(_("nearest hospital"), max_length=300, blank=True)
    emergency = models.CharField(
        _("in an emergency"),
        max_length=400,
        blank=True,
        help_text=_("Who calls, on what number, the way in for an ambulance."),
    )
    grid_reference = models.CharField(_("grid reference"), max_length=60, blank=True)
    assembly_point = models.CharField(_("meeting point"), max_length=200, blank=True)
    lost_child = models.CharField(_("a lost child"), max_length=300, blank=True)
    welfare = models.CharField(_("water, shade, toilets"), max_length=200, blank=True)
    not_for = models.CharField(_("who may not do this"), max_length=300, blank=True)
    photos = models.CharField(_("photographs"), max_length=200, blank=True)
    hazards = models.ManyToManyField(
        Hazard, related_name="briefings", blank=True, verbose_name=_("hazards")
    )

    objects = BriefingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "title"],
                name="briefing_title_once",
                violation_error_message=_("There is a briefing of that name already."),
            )
        ]

    def __str__(self) -> str:
        return self.title


class BriefingVersionQuerySet(OwnedQuerySet["BriefingVersion"]):
    demonstration_path = "briefing__demonstration"

    def current(self) -> Self:
        """Keep the newest version of each briefing."""
        newest = (
            self.model._default_manager.filter(briefing=models.OuterRef("briefing"))
            .order_by("-number")
            .values("pk")[:1]
        )
        return self.filter(pk=models.Subquery(newest))


class BriefingVersion(models.Model):
    """A briefing as it was published: its words are frozen."""

    briefing = models.ForeignKey(Briefing, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField(_("version"))
    content = models.JSONField(_("words"))
    published_at = models.DateTimeField(_("published at"))
    published_by = models.ForeignKey(User, models.PROTECT, null=True, blank=True)

    objects = BriefingVersionQuerySet.as_manager()

    class Meta:
        ordering = ["briefing", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["briefing", "number"], name="briefing_version_once"
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1), name="briefing_version_counts_from_one"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.briefing_id} v{self.number}"


class HeardHow(models.TextChoices):
    """How somebody heard a briefing."""

    SCREEN = "screen", _("read on a screen")
    ALOUD = "aloud", _("heard it at the gate")
    PAPER = "paper", _("signed the sheet")


class AcknowledgementQuerySet(OwnedQuerySet["Acknowledgement"]):
    demonstration_path = "version__briefing__demonstration"

    def holding(self) -> Self:
        """Keep those of a briefing's newest version: older ones are void."""
        return self.filter(version__in=BriefingVersion.objects.current())

    def void(self) -> Self:
        return self.exclude(version__in=BriefingVersion.objects.current())


class Acknowledgement(models.Model):
    """That one person heard one version of one briefing."""

    version = models.ForeignKey(
        BriefingVersion, models.PROTECT, related_name="acknowledgements"
    )
    volunteer = models.ForeignKey(
        Volunteer, models.PROTECT, related_name="acknowledgements"
    )
    heard_at = models.DateTimeField(_("heard at"))
    how = models.CharField(_("how"), max_length=6, choices=HeardHow)
    recorded_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    read_by = models.ForeignKey(
        Volunteer,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("read out by"),
    )

    objects = AcknowledgementQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["version", "volunteer"],
                name="acknowledgement_once_each",
                violation_error_message=_("This briefing has been acknowledged."),
            ),
            models.CheckConstraint(
                condition=Q(how__in=HeardHow.values), name="acknowledgement_how_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.version_id}"
