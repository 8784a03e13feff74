"""Hazards and their controls, and how they were changed."""

from datetime import date
from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Count, F, Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.people.models import User
from heritage.season.models import Demonstration

GRADES = [MinValueValidator(1), MaxValueValidator(5)]


class HazardQuerySet(OwnedQuerySet["Hazard"]):
    def worst_first(self) -> Self:
        return self.order_by("-severity", "-likelihood", "title", "pk")

    def with_controls(self) -> Self:
        return self.prefetch_related("controls")

    def overdue(self, day: date) -> Self:
        """Keep those whose day to be looked at again is past."""
        return self.filter(review_on__lt=day)

    def for_page(self) -> Self:
        """Keep all, with what a page always says of a hazard."""
        return self.with_controls().select_related("assessed_by", "demonstration")

    def with_uses(self) -> Self:
        """Count for each the briefings that name it."""
        return self.annotate(uses=Count("briefings"))


class Mark(models.TextChoices):
    """The shapes of ISO 3864 that a caution may stand beside."""

    WARNING = "warning", _("warning: a danger")
    PROHIBITION = "prohibition", _("do not")
    MANDATORY = "mandatory", _("you must")
    SAFE = "safe", _("the safe way")


class Hazard(models.Model):
    """Something on this ground that can hurt somebody."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="hazards"
    )
    title = models.CharField(_("hazard"), max_length=80)
    harm = models.CharField(_("who may be hurt, and how"), max_length=400)
    where = models.CharField(
        _("where"),
        max_length=120,
        help_text=_("The place on your ground. “Everywhere” is a place too."),
    )
    severity = models.PositiveSmallIntegerField(_("severity"), validators=GRADES)
    likelihood = models.PositiveSmallIntegerField(_("likelihood"), validators=GRADES)
    severity_after = models.PositiveSmallIntegerField(
        _("severity with the controls"), validators=GRADES
    )
    likelihood_after = models.PositiveSmallIntegerField(
        _("likelihood with the controls"), validators=GRADES
    )
    severity_reason = models.CharField(
        _("why it would be less severe"),
        max_length=240,
        blank=True,
        help_text=_(
            "Needed when the controls lower the severity: most only make harm rarer."
        ),
    )
    caution = models.CharField(
        _("caution for the briefing"),
        max_length=200,
        blank=True,
        help_text=_("One short sentence that is shown beside a safety mark."),
    )
    mark = models.CharField(
        _("mark beside the caution"), max_length=12, choices=Mark, default=Mark.WARNING
    )
    stages = models.JSONField(
        _("at these stages"), default=list, blank=True, help_text=_("None: at all.")
    )
    works = models.JSONField(
        _("at these stations"), default=list, blank=True, help_text=_("None: at all.")
    )
    review_on = models.DateField(
        _("look at it again on"),
        null=True,
        blank=True,
        help_text=_("Past that day no briefing that names it can be published."),
    )
    assessed_at = models.DateTimeField(_("assessed at"), null=True, blank=True)
    assessed_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    controller = models.CharField(
        _("person named to control it"),
        max_length=120,
        blank=True,
        help_text=_("A hazard of severity 5 must have one, however unlikely it is."),
    )

    objects = HazardQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "title"],
                name="hazard_title_once",
                violation_error_message=_("There is a hazard of that name already."),
            ),
            models.CheckConstraint(
                condition=Q(severity__range=(1, 5), likelihood__range=(1, 5)),
                name="hazard_grades_one_to_five",
            ),
            models.CheckConstraint(
                condition=Q(
                    severity_after__range=(1, 5), likelihood_after__range=(1, 5)
                ),
                name="hazard_grades_after_one_to_five",
            ),
            models.CheckConstraint(
                condition=Q(
                    severity_after__lte=F("severity"),
                    likelihood_after__lte=F("likelihood"),
                ),
                name="hazard_controls_do_not_worsen",
                violation_error_message=_(
                    "Controls cannot make the hazard worse than it was before."
                ),
            ),
            models.CheckConstraint(
                condition=Q(severity_after=F("severity")) | ~Q(severity_reason=""),
                name="hazard_lower_severity_has_reason",
                violation_error_message=_(
                    "Say why the harm itself would be less severe, "
                    "or leave the severity as it was."
                ),
            ),
            models.CheckConstraint(
                condition=Q(mark__in=Mark.values), name="hazard_mark_known"
            ),
        ]

    def __str__(self) -> str:
        return self.title


class HazardChangeQuerySet(OwnedQuerySet["HazardChange"]):
    def newest_first(self) -> Self:
        return self.select_related("by").order_by("-at", "-pk")


class HazardChange(models.Model):
    """One change to an assessment, as it was before and after; never rubbed out."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="hazard_changes"
    )
    # The number, not a key: the history outlives a hazard that is taken off.
    hazard_number = models.PositiveBigIntegerField(_("hazard"))
    title = models.CharField(_("called"), max_length=80)
    what = models.JSONField(_("what changed"))
    at = models.DateTimeField(_("at"))
    by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = HazardChangeQuerySet.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["demonstration", "hazard_number"], name="hazard_past")
        ]

    def __str__(self) -> str:
        return f"{self.title}: {self.at:%Y-%m-%d}"


class ControlKind(models.TextChoices):
    """The order in which controls are looked for, the strongest first."""

    ELIMINATE = "1_eliminate", _("take it away")
    SUBSTITUTE = "2_substitute", _("use something safer")
    ENGINEER = "3_engineer", _("guard or fence it")
    ORGANISE = "4_organise", _("arrange the work")
    PROTECT = "5_protect", _("protect the person")


class Control(models.Model):
    """One thing that is done about a hazard, said as an instruction."""

    hazard = models.ForeignKey(Hazard, models.CASCADE, related_name="controls")
    kind = models.CharField(_("kind"), max_length=12, choices=ControlKind)
    text = models.CharField(_("what is done"), max_length=240)

    class Meta:
        ordering = ["kind", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=ControlKind.values), name="control_kind_known"
            )
        ]

    def __str__(self) -> str:
        return self.text
