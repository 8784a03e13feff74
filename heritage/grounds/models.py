"""The ground itself: how many it holds, its ways out, who stands where."""

from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Briefing
from heritage.common.models import OwnedQuerySet
from heritage.common.privacy import (
    About,
    FreeWords,
    Holds,
    Parted,
)
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


class Ground(models.TextChoices):
    """What an exit leads over, which decides how fast people pass."""

    OPEN_AIR = "open", _("open ground")
    LEVEL = "level", _("level path or gate")
    STEPPED = "stepped", _("steps")


class ExitQuerySet(OwnedQuerySet["Exit"]):
    def in_order(self) -> Self:
        return self.order_by("name", "pk")


class Exit(models.Model):
    """A way out of the ground."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="exits"
    )
    name = models.CharField(_("way out"), max_length=80)
    width_m = models.DecimalField(
        _("width in metres"),
        max_digits=5,
        decimal_places=2,
        validators=[MinValueValidator(0)],
    )
    ground = models.CharField(
        _("over"), max_length=8, choices=Ground, default=Ground.LEVEL
    )

    objects = ExitQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "name"],
                name="exit_name_once",
                violation_error_message=_(
                    "There is already a way out with that name. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(width_m__gt=0, ground__in=Ground.values),
                name="exit_has_a_width",
                violation_error_message=_("Enter a width above 0."),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("an exit"), "grounds:edit_exit")

    def __str__(self) -> str:
        return self.name


class CrowdPlan(models.Model):
    """The ground that visitors may stand on, and how fast it must clear."""

    demonstration = models.OneToOneField(
        Demonstration, models.PROTECT, related_name="crowd_plan"
    )
    area_m2 = models.DecimalField(
        _("ground for visitors, in square metres"),
        max_digits=9,
        decimal_places=1,
        validators=[MinValueValidator(1)],
    )
    taken_m2 = models.DecimalField(
        _("part of it taken up by tables, carts and machines"),
        max_digits=9,
        decimal_places=1,
        default=0,
        validators=[MinValueValidator(0)],
    )
    minutes = models.PositiveSmallIntegerField(
        _("minutes to get everybody out"),
        default=5,
        validators=[MinValueValidator(1), MaxValueValidator(10)],
    )

    objects = OwnedQuerySet["CrowdPlan"].as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(area_m2__gt=models.F("taken_m2")),
                name="crowd_plan_leaves_ground",
                violation_error_message=_(
                    "That leaves visitors no ground to stand on. Check the areas."
                ),
            )
        ]

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.demonstration_id}"


class Duty(models.TextChoices):
    """What a steward stands at."""

    GATE = "gate", _("gate")
    CAR_PARK = "car_park", _("car park")
    CROSSING = "crossing", _("where vehicles cross")
    MACHINE = "machine", _("barrier at the machine")
    DAM = "dam", _("edge of the dam")
    FIRE = "fire", _("fire point")
    LOST_CHILD = "child", _("where a lost child is taken")
    FLOATER = "floater", _("goes about")
    RELIEF = "relief", _("relieves the others")


class StewardPostQuerySet(OwnedQuerySet["StewardPost"]):
    def in_order(self) -> Self:
        return self.select_related("volunteer", "briefing").order_by(
            "duty", "place", "pk"
        )


class StewardPost(models.Model):
    """A post that a steward keeps, and who does."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="steward_posts"
    )
    duty = models.CharField(_("post"), max_length=8, choices=Duty)
    place = models.CharField(_("where"), max_length=160)
    task = models.CharField(_("what they do"), max_length=300, blank=True)
    volunteer = models.ForeignKey(
        Volunteer,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="steward_posts",
        verbose_name=_("who stands there"),
    )
    briefing = models.ForeignKey(
        Briefing,
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="steward_posts",
        verbose_name=_("briefing they hear first"),
    )
    open_days_only = models.BooleanField(_("only when visitors come"), default=True)

    objects = StewardPostQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(duty__in=Duty.values), name="steward_post_duty_known"
            )
        ]

    class Privacy(Holds):
        volunteer = About(
            "steward_posts", _("Posts you keep as a steward"),
            _("To know who stands where."),
            "post=duty place",
            erased=Parted(),
        )  # fmt: skip
        called = _("posts as a steward")
        words = FreeWords(_("a steward's post"), "grounds:edit_post")

    def __str__(self) -> str:
        return f"{self.get_duty_display()}, {self.place}"
