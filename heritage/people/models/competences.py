"""What people can do: the organiser's own list, and who can do which."""

from collections.abc import Iterable
from datetime import date
from typing import Self

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.people.models.accounts import User
from heritage.people.models.volunteers import Volunteer
from heritage.season.models import Demonstration


class CompetenceQuerySet(OwnedQuerySet["Competence"]):
    def by_title(self) -> Self:
        return self.order_by("title", "pk")

    def first_aid(self) -> Self:
        return self.filter(is_first_aid=True)


class Competence(models.Model):
    """Something the organiser wants to know that somebody can do."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="competences"
    )
    title = models.CharField(_("can do"), max_length=60)
    asks = models.CharField(
        _("what shows it"),
        max_length=200,
        blank=True,
        help_text=_("A certificate, or that you have watched them do it."),
    )
    is_first_aid = models.BooleanField(
        _("whoever can do this may be the day's first-aider"), default=False
    )

    objects = CompetenceQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                F("demonstration"),
                Lower("title"),
                name="competence_title_once",
                violation_error_message=_("That is on the list already."),
            )
        ]

    def __str__(self) -> str:
        return self.title


class SkillQuerySet(OwnedQuerySet["Skill"]):
    demonstration_path = "volunteer__demonstration"

    def confirmed(self, day: date) -> Self:
        """Keep those an organiser confirmed, and that have not run out."""
        current = Q(runs_out_on__isnull=True) | Q(runs_out_on__gte=day)
        return self.filter(current, confirmed_by__isnull=False)

    def claimed(self) -> Self:
        """Keep those somebody says of themselves and nobody has answered."""
        return self.filter(confirmed_by__isnull=True, refused_at__isnull=True)

    def in_force(self) -> Self:
        """Keep those of people who have not left."""
        return self.filter(volunteer__left_at__isnull=True)

    def among(self, people: Iterable[int], competences: Iterable[int]) -> Self:
        """Keep those of some people in some things, all named by their keys."""
        return self.filter(volunteer__in=list(people), competence__in=list(competences))

    def for_page(self) -> Self:
        return self.select_related("competence", "volunteer").order_by(
            "volunteer__name", "competence__title", "pk"
        )


class Skill(models.Model):
    """That one person says, or an organiser confirms, that they can do something."""

    volunteer = models.ForeignKey(Volunteer, models.CASCADE, related_name="skills")
    competence = models.ForeignKey(Competence, models.PROTECT, related_name="skills")
    said_at = models.DateTimeField(_("said at"))
    confirmed_at = models.DateTimeField(_("confirmed at"), null=True, blank=True)
    confirmed_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    runs_out_on = models.DateField(_("good until"), null=True, blank=True)
    refused_at = models.DateTimeField(_("refused at"), null=True, blank=True)
    refused_because = models.CharField(
        _("why it was refused"), max_length=200, blank=True
    )

    objects = SkillQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["volunteer", "competence"],
                name="skill_once_each",
                violation_error_message=_("That is noted of them already."),
            ),
            models.CheckConstraint(
                condition=Q(confirmed_at__isnull=True, confirmed_by__isnull=True)
                | Q(confirmed_at__isnull=False, confirmed_by__isnull=False),
                name="skill_confirmed_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(runs_out_on__isnull=True) | Q(confirmed_at__isnull=False),
                name="skill_good_until_is_confirmed",
            ),
            models.CheckConstraint(
                condition=Q(refused_at__isnull=True) | Q(confirmed_at__isnull=True),
                name="skill_confirmed_or_refused",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.competence_id}"

    @property
    def is_waiting(self) -> bool:
        """Whether it was said, and no organiser has answered."""
        return self.confirmed_at is None and self.refused_at is None

    def is_good_on(self, day: date) -> bool:
        """Tell whether it is confirmed, and has not run out, on a day."""
        return self.confirmed_at is not None and not self.has_run_out(day)

    def has_run_out(self, day: date) -> bool:
        """Tell whether what was confirmed is past its last day."""
        return self.runs_out_on is not None and self.runs_out_on < day
