"""What volunteers say they pulled, and what a lead answered."""

import uuid
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.tally.models.entry import Entry, Way


class OwnLogQuerySet(OwnedQuerySet["OwnLog"]):
    demonstration_path = "gathering__demonstration"

    def unanswered(self) -> Self:
        return self.filter(answer__isnull=True)

    def for_page(self) -> Self:
        """Keep all, in the order they were written, with who and where."""
        return self.select_related(
            "volunteer", "gathering", "said_by", "answer__entry", "answer__answered_by"
        ).order_by("said_at", "pk")

    def beets(self) -> int:
        total: int | None = self.aggregate(beets=models.Sum("beets"))["beets"]
        return total or 0

    def beets_by_person(self) -> dict[int, int]:
        rows = self.order_by().values_list("volunteer").annotate(models.Sum("beets"))
        return dict(rows)


class OwnLog(models.Model):
    """Beets that somebody says they pulled: no line of the book until confirmed."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="own_logs")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="own_logs")
    way = models.CharField(_("pulled"), max_length=8, choices=Way, default=Way.HAND)
    beets = models.PositiveIntegerField(
        _("beets"), validators=[MinValueValidator(1), MaxValueValidator(1000)]
    )
    note = models.CharField(_("note"), max_length=200, blank=True)
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    said_at = models.DateTimeField(_("written at"))
    said_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = OwnLogQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(beets__range=(1, 1000)),
                name="own_log_beets_possible",
                violation_error_message=_("One log holds 1 to 1,000 beets."),
            ),
            models.CheckConstraint(
                condition=Q(way__in=Way.values), name="own_log_way_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.beets}"

    @property
    def is_answered(self) -> bool:
        return hasattr(self, "answer")


class Answer(models.Model):
    """A lead's answer to somebody's own log: an entry in the book, or why not."""

    own_log = models.OneToOneField(OwnLog, models.PROTECT, related_name="answer")
    entry = models.OneToOneField(
        Entry, models.PROTECT, null=True, blank=True, related_name="answer"
    )
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    answered_at = models.DateTimeField(_("answered at"))
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(entry__isnull=False) | ~Q(reason=""),
                name="answer_confirms_or_says_why",
                violation_error_message=_("Say why it is not confirmed."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.own_log_id}: {'confirmed' if self.entry_id else 'refused'}"
