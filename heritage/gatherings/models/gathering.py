"""A posted meeting, and the jobs at it."""

import uuid
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Self

from django.db import models
from django.db.models import Count, F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.gatherings.models.asked import StationAsked
from heritage.gatherings.models.choices import (
    GatheringStatus,
    SignUpStatus,
    StationKind,
)
from heritage.people.models import AgeBand, User, Volunteer
from heritage.season.models import Demonstration, Plot, Stage


def new_uid() -> str:
    """Return a calendar identity for life: no name, no address in it."""
    return uuid.uuid4().hex


# How long a place is kept for somebody who has not come: a house rule, no source.
GRACE = timedelta(minutes=30)
# How long before and after a gathering its first-aider reads what may be needed.
FIRST_AID_WINDOW = timedelta(hours=12)


def _about_now(now: datetime) -> Q:
    return Q(
        status=GatheringStatus.POSTED,
        starts_at__lte=now + FIRST_AID_WINDOW,
        ends_at__gte=now - FIRST_AID_WINDOW,
    )


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

    def first_aid_by(self, user: Viewer, now: datetime) -> Self:
        """Keep those whose health notes a user may read: organised, or the day's own.

        The day's first-aider reads them from 12 hours before to 12 hours after; the
        lead and everybody else never do.
        """
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        if not isinstance(user, User):
            return self.none()
        aider = Q(first_aider__user=user, first_aider__left_at__isnull=True)
        return self.filter(organised | (aider & _about_now(now)))

    def emergency_by(self, user: Viewer, now: datetime) -> Self:
        """Keep those whose emergency contacts a user may read: also the day's lead."""
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        if not isinstance(user, User):
            return self.none()
        aider = Q(first_aider__user=user, first_aider__left_at__isnull=True)
        lead = Q(lead__user=user, lead__left_at__isnull=True)
        return self.filter(organised | ((aider | lead) & _about_now(now)))

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

    def of_keys(self, keys: Iterable[int]) -> Self:
        return self.filter(pk__in=list(keys))

    def not_called_off(self) -> Self:
        return self.exclude(status=GatheringStatus.CALLED_OFF)

    def between(self, start: datetime, end: datetime) -> Self:
        """Keep those that lie, in part at least, between two moments."""
        return self.filter(starts_at__lt=end, ends_at__gt=start)

    def drafts(self) -> Self:
        return self.filter(status=GatheringStatus.DRAFT)

    def expecting(self, volunteer: Volunteer) -> Self:
        """Keep those where the volunteer has a place or a turn."""
        live = [SignUpStatus.HELD, SignUpStatus.WAITING]
        there = Q(sign_ups__volunteer=volunteer, sign_ups__status__in=live)
        return self.filter(there).distinct()

    def starting_after(self, moment: datetime) -> Self:
        return self.filter(starts_at__gt=moment).order_by("starts_at", "pk")

    def starting_by(self, moment: datetime) -> Self:
        return self.filter(starts_at__lte=moment)

    def awaiting_answers(self, now: datetime) -> Self:
        """Keep those where a place was not answered for in time."""
        return self.filter(sign_ups__answer_by__lte=now).distinct()

    def with_queue(self) -> Self:
        """Keep those where somebody waits for a place."""
        waiting = SignUpStatus.WAITING
        return self.filter(sign_ups__status=waiting).distinct()

    def for_page(self) -> Self:
        """Keep all, with what a page always says of a gathering."""
        return self.select_related(
            "demonstration", "plot", "lead", "first_aider", "run"
        )


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
    first_aider = models.ForeignKey(
        Volunteer,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="first_aid_at",
        verbose_name=_("first-aider"),
        help_text=_("Somebody with first aid confirmed, and nothing else to do."),
    )
    run = models.ForeignKey(
        "gatherings.Run",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="gatherings",
        verbose_name=_("run of evenings"),
    )
    status = models.CharField(
        _("state"),
        max_length=10,
        choices=GatheringStatus,
        default=GatheringStatus.POSTED,
    )
    moved_from = models.DateTimeField(
        _("moved from"), null=True, blank=True, editable=False
    )
    moved_from_place = models.CharField(
        _("moved from, the place"), max_length=160, blank=True, editable=False
    )
    uid = models.CharField(max_length=64, unique=True, default=new_uid, editable=False)
    sequence = models.PositiveIntegerField(default=0, editable=False)
    revised_at = models.DateTimeField(_("last changed"), editable=False)
    entered_at = models.DateTimeField(
        _("entered afterwards"), null=True, blank=True, editable=False
    )

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
            models.CheckConstraint(
                condition=Q(moved_from__isnull=True) | ~Q(moved_from=F("starts_at")),
                name="gathering_moved_from_elsewhen",
            ),
            models.CheckConstraint(
                condition=Q(moved_from_place="") | ~Q(moved_from_place=F("place")),
                name="gathering_moved_from_elsewhere",
            ),
            models.CheckConstraint(
                condition=Q(entered_at__isnull=True) | Q(entered_at__gte=F("ends_at")),
                name="gathering_entered_after_its_end",
                violation_error_message=_(
                    "This was entered after the evening. It can't end later than that."
                ),
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
    def has_moved(self) -> bool:
        """Whether it is at another time or place than was first announced."""
        return self.moved_from is not None or bool(self.moved_from_place)

    @property
    def grace_ends_at(self) -> datetime:
        """From when the places of those who have not come may be freed."""
        return self.starts_at + GRACE

    @property
    def is_posted(self) -> bool:
        return self.status == GatheringStatus.POSTED

    @property
    def is_draft(self) -> bool:
        return self.status == GatheringStatus.DRAFT


class StationQuerySet(OwnedQuerySet["Station"]):
    demonstration_path = "gathering__demonstration"

    def of_kind(self, kind: str) -> Self:
        return self.filter(kind=kind)

    def in_order(self) -> Self:
        return self.order_by("pk")

    def with_counts(self) -> Self:
        """Count for each the places held, the turns waited for, the answers due."""
        return self.annotate(
            held=Count("sign_ups", filter=Q(sign_ups__status=SignUpStatus.HELD)),
            waiting=Count("sign_ups", filter=Q(sign_ups__status=SignUpStatus.WAITING)),
            unanswered=Count("sign_ups", filter=Q(sign_ups__answer_by__isnull=False)),
        )


class Station(StationAsked):
    """One job at a gathering: how many it needs and what it asks of them."""

    gathering = models.ForeignKey(Gathering, models.CASCADE, related_name="stations")

    # Filled in by `with_counts` alone.
    held: int
    waiting: int
    unanswered: int

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
                condition=Q(fewest__lte=F("places")),
                name="station_fewest_within_places",
                violation_error_message=_(
                    "The fewest needed cannot be more than the places."
                ),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=StationKind.values), name="station_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(least_age__in=AgeBand.values), name="station_age_known"
            ),
        ]

    @property
    def work(self) -> StationKind:
        """The job as a choice rather than its stored word."""
        return StationKind(self.kind)
