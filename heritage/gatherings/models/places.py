"""Places held and waited for, and who came."""

from collections.abc import Iterable
from datetime import datetime
from typing import Self

from django.db import models
from django.db.models import Count, Exists, F, Max, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models.choices import GatheringStatus, SignUpStatus
from heritage.gatherings.models.gathering import Gathering, Station
from heritage.people.models import AgeBand, Volunteer

# The states in which a sign-up counts: one of them each, at one gathering.
LIVE = [SignUpStatus.HELD, SignUpStatus.WAITING]


class SignUpQuerySet(OwnedQuerySet["SignUp"]):
    demonstration_path = "gathering__demonstration"

    def held(self) -> Self:
        return self.filter(status=SignUpStatus.HELD)

    def waiting(self) -> Self:
        """Keep those in the queue, in the order of their turn."""
        return self.filter(status=SignUpStatus.WAITING).order_by("asked_at", "pk")

    def live(self) -> Self:
        """Keep the places and the turns that count."""
        return self.filter(status__in=LIVE)

    def not_come(self) -> Self:
        """Keep those whose place was freed because they had not come in time."""
        return self.filter(status=SignUpStatus.NOT_COME)

    def expected(self) -> Self:
        """Keep the places of whoever may still come, in time or not."""
        return self.filter(status__in=[SignUpStatus.HELD, SignUpStatus.NOT_COME])

    def standing(self) -> Self:
        """Keep what nobody gave up."""
        return self.exclude(status=SignUpStatus.GIVEN_UP)

    def not_among(self, turnout: "TurnoutQuerySet") -> Self:
        """Keep those of people who are not on a turnout yet."""
        return self.exclude(volunteer__in=turnout.values("volunteer"))

    def over(self) -> Self:
        """Keep what counts no more: given up, or freed."""
        return self.exclude(status__in=LIVE)

    def unanswered(self) -> Self:
        """Keep the places of those who moved up and have yet to say that they come."""
        return self.filter(answer_by__isnull=False)

    def overdue(self, now: datetime) -> Self:
        """Keep the places not answered for in time, the longest overdue first."""
        return self.filter(answer_by__lte=now).order_by("answer_by", "pk")

    def for_answers(self) -> Self:
        """Keep all, with their station and where letters reach them."""
        return self.select_related(
            "station", "volunteer__user", "volunteer__guardian__user"
        )

    def asked_before(self, moment: datetime) -> Self:
        return self.filter(asked_at__lt=moment)

    def by(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def by_any(self, people: Iterable[int]) -> Self:
        return self.filter(volunteer__in=list(people))

    def only_with(self, volunteer: Volunteer) -> Self:
        """Keep those of the children who come only with a volunteer, by name."""
        rows = self.filter(
            volunteer__guardian=volunteer, volunteer__age_band=AgeBand.UNDER_13
        )
        return rows.select_related("volunteer", "station").order_by(
            "volunteer__name", "pk"
        )

    def alone(self) -> Self:
        """Keep those of children under 13 beside whose no adult's stands.

        A place needs a place beside it; a turn needs a place or a turn.
        """
        beside = self.model._default_manager.filter(
            Q(status=SignUpStatus.HELD) | Q(status=OuterRef("status")),
            gathering=OuterRef("gathering"),
            volunteer=OuterRef("volunteer__guardian"),
        )
        children = self.filter(volunteer__age_band=AgeBand.UNDER_13)
        return children.exclude(Exists(beside))

    def answered_for_by(self, volunteer: Volunteer) -> Self:
        """Keep those of the volunteer and of the children they are guardian of."""
        return self.filter(Q(volunteer=volunteer) | Q(volunteer__guardian=volunteer))

    def at(self, station: "Station") -> Self:
        return self.filter(station=station)

    def at_any(self, gatherings: Iterable[Gathering]) -> Self:
        return self.filter(gathering__in=list(gatherings))

    def last_asked(self) -> datetime | None:
        """Return when the last of them asked."""
        found: datetime | None = self.aggregate(last=Max("asked_at"))["last"]
        return found

    def at_work(self, people: list[int], works: Iterable[str]) -> Self:
        """Keep some people's places at stations of some kinds, soonest first."""
        rows = self.filter(volunteer__in=people, station__kind__in=list(works))
        return rows.select_related("station", "gathering").order_by(
            "gathering__starts_at", "pk"
        )

    def to_come(self, moment: datetime) -> Self:
        """Keep those of posted gatherings that are not over."""
        return self.filter(
            gathering__ends_at__gt=moment, gathering__status=GatheringStatus.POSTED
        )

    def for_page(self) -> Self:
        """Keep all, in the order they asked, with who they are."""
        return self.select_related(
            "volunteer__guardian__user", "volunteer__user", "station__briefing"
        ).order_by("asked_at", "pk")

    def with_wishes(self) -> Self:
        """Read with each where else they would work."""
        return self.prefetch_related("also")

    def coming_up(self, now: datetime) -> Self:
        """Keep places and turns at gatherings that are not over, the next first."""
        posted = self.live().filter(gathering__ends_at__gt=now)
        return posted.order_by("gathering__starts_at", "volunteer__name", "pk")

    def with_turns(self) -> Self:
        """Count for each who waits at their station and asked before them."""
        before = Q(asked_at__lt=OuterRef("asked_at")) | Q(
            asked_at=OuterRef("asked_at"), pk__lt=OuterRef("pk")
        )
        ahead = (
            self.model._default_manager.filter(
                before, station=OuterRef("station"), status=SignUpStatus.WAITING
            )
            .order_by()
            .values("station")
            .annotate(count=Count("pk"))
            .values("count")
        )
        return self.annotate(ahead=Coalesce(Subquery(ahead), 0))


class SignUp(models.Model):
    """One volunteer's place at a station, or their turn in its waiting list."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="sign_ups")
    station = models.ForeignKey(Station, models.PROTECT, related_name="sign_ups")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="sign_ups")
    status = models.CharField(_("state"), max_length=8, choices=SignUpStatus)
    asked_at = models.DateTimeField(_("asked at"))
    changed_at = models.DateTimeField(_("changed at"))
    answer_by = models.DateTimeField(
        _("to be answered by"),
        null=True,
        blank=True,
        help_text=_("Set when somebody moves up, until they say that they come."),
    )
    also = models.ManyToManyField(
        Station,
        related_name="also_wished",
        blank=True,
        verbose_name=_("would also work at"),
    )

    # Filled in by `with_turns` alone.
    ahead: int

    objects = SignUpQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering", "volunteer"],
                condition=Q(status__in=LIVE),
                name="sign_up_one_live_each",
                violation_error_message=_("You are already signed up."),
            ),
            models.CheckConstraint(
                condition=Q(status__in=SignUpStatus.values), name="sign_up_status_known"
            ),
            models.CheckConstraint(
                condition=Q(answer_by__isnull=True) | Q(status=SignUpStatus.HELD),
                name="sign_up_only_held_is_answered",
            ),
        ]
        indexes = [
            models.Index(fields=["station", "status", "asked_at"], name="sign_up_queue")
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.station_id}: {self.status}"

    @property
    def is_held(self) -> bool:
        return self.status == SignUpStatus.HELD


class TurnoutQuerySet(OwnedQuerySet["Turnout"]):
    demonstration_path = "gathering__demonstration"

    def by_name(self) -> Self:
        return self.order_by("volunteer__name", "pk")

    def by(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def with_people(self) -> Self:
        return self.select_related("volunteer__guardian").by_name()

    def here_at(self, moment: datetime) -> Self:
        """Keep those who are on the list and have not gone by a moment.

        When they came is not asked: whoever is on the list is here, even if a clock
        that was set back says that they come later.
        """
        return self.filter(Q(left_at__isnull=True) | Q(left_at__gt=moment))


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

    def is_here_at(self, moment: datetime) -> bool:
        """Whether they have not gone by a moment, as ``here_at`` asks it."""
        return self.left_at is None or self.left_at > moment
