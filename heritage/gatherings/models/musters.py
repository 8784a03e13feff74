"""Everybody out: a head-count in an emergency."""

import uuid
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models.gathering import Gathering
from heritage.people.models import Volunteer


class MusterQuerySet(OwnedQuerySet["Muster"]):
    demonstration_path = "gathering__demonstration"

    def open(self) -> Self:
        return self.filter(closed_at__isnull=True)

    def newest_first(self) -> Self:
        """Order by which was written last: a clock may have been set back since."""
        return self.order_by("-pk")

    def keyed(self, key: uuid.UUID) -> Self:
        return self.filter(key=key)

    def with_names(self) -> Self:
        return self.select_related("called_by", "closed_by")


class Muster(models.Model):
    """That everybody was called out of the field, and counted at the meeting point."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="musters")
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    why = models.CharField(_("why"), max_length=200, blank=True)
    called_at = models.DateTimeField(_("called at"))
    called_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    closed_at = models.DateTimeField(_("ended at"), null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    note = models.CharField(_("how it ended"), max_length=300, blank=True)

    objects = MusterQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gathering"],
                condition=Q(closed_at__isnull=True),
                name="muster_one_open",
                violation_error_message=_("Everybody has been called out already."),
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(closed_at__gte=F("called_at")),
                name="muster_ends_after_it_is_called",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.gathering_id}: {self.called_at:%H:%M}"


class AwaitedQuerySet(OwnedQuerySet["Awaited"]):
    demonstration_path = "muster__gathering__demonstration"

    def with_people(self) -> Self:
        return self.select_related("volunteer__guardian")

    def of_person(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)


class Awaited(models.Model):
    """That one person was here when everybody was called out, or came while counted.

    It is written at the press and never worked out from times, so no clock can take
    anybody out of a head-count.
    """

    muster = models.ForeignKey(Muster, models.CASCADE, related_name="awaited")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="+")
    since = models.DateTimeField(_("to be counted from"))

    objects = AwaitedQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "awaited"
        constraints = [
            models.UniqueConstraint(
                fields=["muster", "volunteer"], name="awaited_once_each"
            )
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.muster_id}"


class SafeQuerySet(OwnedQuerySet["Safe"]):
    demonstration_path = "muster__gathering__demonstration"

    def for_page(self) -> Self:
        return self.select_related("volunteer__guardian", "seen_by").order_by("pk")

    def among(self, musters: MusterQuerySet) -> Self:
        return self.filter(muster__in=musters)

    def of_person(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)


class Safe(models.Model):
    """That one person was seen at the meeting point."""

    muster = models.ForeignKey(Muster, models.CASCADE, related_name="safe")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="+")
    seen_at = models.DateTimeField(_("seen at"))
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )

    objects = SafeQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["muster", "volunteer"], name="safe_once_each"
            )
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id} at {self.muster_id}"
