"""Gatherings: their stations, places, calls and turnout."""

import uuid
from datetime import datetime
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.people.models import AgeBand, User, Volunteer
from heritage.safety.models import Briefing
from heritage.season.models import Demonstration, Plot, Stage


class GatheringStatus(models.TextChoices):
    """Where a gathering stands."""

    DRAFT = "draft", _("draft")
    POSTED = "posted", _("going ahead as posted")
    CALLED_OFF = "called_off", _("called off")


def new_uid() -> str:
    """Return a calendar identity for life: no name, no address in it."""
    return uuid.uuid4().hex


class GatheringQuerySet(OwnedQuerySet["Gathering"]):
    def visible_to(self, user: Viewer) -> Self:
        """Keep what is posted where the user may look; drafts for organisers."""
        member = Q(demonstration__in=demonstrations_of(user))
        public = Q(demonstration__is_public=True)
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        drafted = Q(status=GatheringStatus.DRAFT)
        return self.filter(((member | public) & ~drafted) | organised)

    def led_by(self, user: Viewer) -> Self:
        """Keep the gatherings that the user leads, or organises."""
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        if not isinstance(user, User):
            return self.none()
        return self.filter(organised | Q(lead__user=user, lead__left_at__isnull=True))

    def published(self) -> Self:
        """Keep all but the drafts; a gathering called off stays to be seen."""
        return self.exclude(status=GatheringStatus.DRAFT)

    def going_ahead(self) -> Self:
        return self.filter(status=GatheringStatus.POSTED)

    def upcoming(self, now: datetime) -> Self:
        return self.filter(ends_at__gt=now).order_by("starts_at", "pk")

    def over(self, now: datetime) -> Self:
        return self.filter(ends_at__lte=now).order_by("-starts_at", "-pk")

    def in_order(self) -> Self:
        return self.order_by("starts_at", "pk")


class Gathering(models.Model):
    """A posted meeting of volunteers with a time, a place and work to do."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="gatherings"
    )
    title = models.CharField(_("title"), max_length=100)
    stage = models.CharField(_("stage"), max_length=20, choices=Stage)
    plot = models.ForeignKey(
        Plot, models.PROTECT, null=True, blank=True, verbose_name=_("plot")
    )
    place = models.CharField(_("where to meet"), max_length=160)
    starts_at = models.DateTimeField(_("starts"))
    ends_at = models.DateTimeField(_("ends"))
    bring = models.CharField(_("what to bring"), max_length=300, blank=True)
    note = models.TextField(_("about the work"), max_length=2000, blank=True)
    lead = models.ForeignKey(
        Volunteer,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="led_gatherings",
        verbose_name=_("lead"),
    )
    status = models.CharField(
        _("state"),
        max_length=10,
        choices=GatheringStatus,
        default=GatheringStatus.POSTED,
    )
    uid = models.CharField(max_length=64, unique=True, default=new_uid, editable=False)
    sequence = models.PositiveIntegerField(default=0, editable=False)
    revised_at = models.DateTimeField(_("last changed"), editable=False)

    objects = GatheringQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")),
                name="gathering_ends_after_it_starts",
                violation_error_message=_("A gathering ends after it starts."),
            ),
            models.CheckConstraint(
                condition=Q(status__in=GatheringStatus.values),
                name="gathering_status_known",
            ),
            models.CheckConstraint(
                condition=Q(stage__in=Stage.values), name="gathering_stage_known"
            ),
        ]
        indexes = [
            models.Index(fields=["demonstration", "starts_at"], name="gathering_by_day")
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("gatherings:gathering", args=[self.demonstration.slug, self.pk])

    @property
    def is_called_off(self) -> bool:
        return self.status == GatheringStatus.CALLED_OFF

    @property
    def is_draft(self) -> bool:
        return self.status == GatheringStatus.DRAFT


class StationKind(models.TextChoices):
    """The jobs that a gathering may have."""

    PULL = "pull", _("pull")
    TIE = "tie", _("tie")
    LAY_BANDS = "lay_bands", _("lay bands")
    DRIVE = "drive", _("drive")
    FEED = "feed", _("feed the puller")
    LIFT_OFF = "lift_off", _("lift off")
    FORK = "fork", _("fork")
    STONE = "stone", _("stone")
    TREAD = "tread", _("tread")
    STEWARD = "steward", _("steward")
    TALK = "talk", _("talk to visitors")
    OTHER = "other", _("other work")


class StationQuerySet(OwnedQuerySet["Station"]):
    demonstration_path = "gathering__demonstration"

    def in_order(self) -> Self:
        return self.order_by("pk")


class Station(models.Model):
    """One job at a gathering: how many it needs and what it asks of them."""

    gathering = models.ForeignKey(Gathering, models.CASCADE, related_name="stations")
    kind = models.CharField(_("job"), max_length=10, choices=StationKind)
    title = models.CharField(_("called"), max_length=60)
    places = models.PositiveSmallIntegerField(
        _("places"), validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    least_age = models.CharField(
        _("least age"), max_length=8, choices=AgeBand, default=AgeBand.FROM_16
    )
    briefing = models.ForeignKey(
        Briefing,
        models.PROTECT,
        null=True,
        blank=True,
        verbose_name=_("briefing to have heard"),
    )
    note = models.CharField(_("what the work is"), max_length=240, blank=True)

    objects = StationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering", "title"],
                name="station_title_once",
                violation_error_message=_("This gathering has a station of that name."),
            ),
            models.CheckConstraint(
                condition=Q(places__gte=1),
                name="station_has_a_place",
                violation_error_message=_("A station has at least one place."),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=StationKind.values), name="station_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(least_age__in=AgeBand.values), name="station_age_known"
            ),
        ]

    def __str__(self) -> str:
        return self.title


class SignUpStatus(models.TextChoices):
    """What a sign-up comes to."""

    HELD = "held", _("has a place")
    WAITING = "waiting", _("on the waiting list")
    GIVEN_UP = "given_up", _("given up")


class SignUpQuerySet(OwnedQuerySet["SignUp"]):
    demonstration_path = "gathering__demonstration"

    def held(self) -> Self:
        return self.filter(status=SignUpStatus.HELD)

    def waiting(self) -> Self:
        """Keep those in the queue, in the order of their turn."""
        return self.filter(status=SignUpStatus.WAITING).order_by("asked_at", "pk")

    def live(self) -> Self:
        return self.exclude(status=SignUpStatus.GIVEN_UP)


class SignUp(models.Model):
    """One volunteer's place at a station, or their turn in its waiting list."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="sign_ups")
    station = models.ForeignKey(Station, models.PROTECT, related_name="sign_ups")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="sign_ups")
    status = models.CharField(_("state"), max_length=8, choices=SignUpStatus)
    asked_at = models.DateTimeField(_("asked at"))
    changed_at = models.DateTimeField(_("changed at"))

    objects = SignUpQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering", "volunteer"],
                condition=~Q(status=SignUpStatus.GIVEN_UP),
                name="sign_up_one_live_each",
                violation_error_message=_("You are already signed up."),
            ),
            models.CheckConstraint(
                condition=Q(status__in=SignUpStatus.values), name="sign_up_status_known"
            ),
        ]
        indexes = [
            models.Index(fields=["station", "status", "asked_at"], name="sign_up_queue")
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.station_id}: {self.status}"


class Decision(models.TextChoices):
    """What a call comes to."""

    GO = "go", _("go ahead")
    HOLD = "hold", _("hold")
    OFF = "off", _("call off")


class Call(models.Model):
    """The decision on a gathering, with its reasons; the newest one holds."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="calls")
    decision = models.CharField(_("decision"), max_length=4, choices=Decision)
    advice = models.CharField(
        _("what the figures advise"), max_length=4, choices=Decision
    )
    reasons = models.JSONField(_("reasons"), default=list)
    conditions = models.JSONField(_("conditions"), default=dict)
    note = models.CharField(_("in the organiser's words"), max_length=300, blank=True)
    made_at = models.DateTimeField(_("made at"))
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

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


class TurnoutQuerySet(OwnedQuerySet["Turnout"]):
    demonstration_path = "gathering__demonstration"

    def by_name(self) -> Self:
        return self.order_by("volunteer__name", "pk")


class Turnout(models.Model):
    """That somebody came to a gathering, from when to when."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="turnout")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="turnout")
    arrived_at = models.DateTimeField(_("came at"))
    left_at = models.DateTimeField(_("left at"), null=True, blank=True)

    objects = TurnoutQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering", "volunteer"],
                name="turnout_once_each",
                violation_error_message=_("They are on the list already."),
            ),
            models.CheckConstraint(
                condition=Q(left_at__isnull=True) | Q(left_at__gte=F("arrived_at")),
                name="turnout_leaves_after_coming",
                violation_error_message=_("Nobody leaves before they came."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.gathering_id}"
