"""Whether somebody of 16 or 17 may work at the machines: weighed, and written down."""

from typing import Self

from django.db import models
from django.db.models import OuterRef, Q, Subquery
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models.choices import StationKind
from heritage.people.models import PersonalQuerySet, User, Volunteer


class WeighingQuerySet(PersonalQuerySet["Weighing"]):
    def newest_first(self) -> Self:
        return self.select_related("volunteer", "weighed_by").order_by(
            "-weighed_at", "-pk"
        )

    def holding(self) -> Self:
        """Keep the newest of each person and work: it is the one that holds."""
        newest = (
            self.model._default_manager.filter(
                volunteer=OuterRef("volunteer"), work=OuterRef("work")
            )
            .order_by("-weighed_at", "-pk")
            .values("pk")[:1]
        )
        return self.filter(pk=Subquery(newest))

    def among(self, people: list[int]) -> Self:
        """Keep those about some people, who are named by their keys."""
        return self.filter(volunteer__in=people)


class Weighing(models.Model):
    """That an organiser weighed whether one young person may do one kind of work.

    The rule behind it is `AgeRule.review_below`. Nothing is put right by changing a
    row: the newest decision on a person and a work holds, and the older ones stay.
    """

    volunteer = models.ForeignKey(Volunteer, models.CASCADE, related_name="weighings")
    work = models.CharField(_("work"), max_length=10, choices=StationKind)
    may = models.BooleanField(_("they may"))
    why = models.CharField(_("what was weighed"), max_length=400)
    weighed_at = models.DateTimeField(_("decided at"))
    weighed_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects = WeighingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(work__in=StationKind.values), name="weighing_work_known"
            ),
            models.CheckConstraint(
                condition=~Q(why=""),
                name="weighing_has_reasons",
                violation_error_message=_("Write down what you weighed."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.work}"
