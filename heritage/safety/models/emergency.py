"""What everybody must know in an emergency, and where first aid is."""

from typing import Self

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.people.models import User
from heritage.season.models import Demonstration


class EmergencyPlanQuerySet(OwnedQuerySet["EmergencyPlan"]):
    pass


class EmergencyPlan(models.Model):
    """What everybody must know in an emergency, as the organiser enters it."""

    demonstration = models.OneToOneField(
        Demonstration, models.PROTECT, related_name="emergency_plan"
    )
    controller = models.CharField(_("who decides"), max_length=120, blank=True)
    deputy = models.CharField(_("and if they cannot"), max_length=120, blank=True)
    calls = models.CharField(_("who calls for help"), max_length=160, blank=True)
    number = models.CharField(
        _("number to call"), max_length=40, default="999 or 112", blank=True
    )
    grid_reference = models.CharField(_("grid reference"), max_length=60, blank=True)
    way_in = models.CharField(_("way in for an ambulance"), max_length=300, blank=True)
    hospital = models.CharField(_("nearest hospital"), max_length=300, blank=True)
    meeting_point = models.CharField(_("meeting point"), max_length=200, blank=True)
    shelter = models.CharField(_("shelter from lightning"), max_length=200, blank=True)
    signal = models.CharField(_("signal for everybody out"), max_length=200, blank=True)
    no_signal = models.CharField(
        _("where a telephone has no signal, and what then"), max_length=300, blank=True
    )
    fire = models.CharField(_("fire: what, where"), max_length=300, blank=True)
    water_rescue = models.CharField(
        _("throw-line and pole"), max_length=300, blank=True
    )
    machine_stop = models.CharField(
        _("how the machines are stopped"), max_length=300, blank=True
    )
    lost_child = models.CharField(
        _("where a lost child is taken"), max_length=300, blank=True
    )
    light_failure = models.CharField(
        _("when the light or the power fails"), max_length=300, blank=True
    )
    aed = models.CharField(_("nearest defibrillator (AED)"), max_length=200, blank=True)
    petrol_l = models.DecimalField(
        _("petrol kept here, in litres"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    revised_at = models.DateTimeField(_("last changed"))
    revised_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = EmergencyPlanQuerySet.as_manager()

    def __str__(self) -> str:
        return f"{self.demonstration_id}"


class FirstAidPointQuerySet(OwnedQuerySet["FirstAidPoint"]):
    def in_order(self) -> Self:
        return self.order_by("place", "pk")


class FirstAidPoint(models.Model):
    """Where a first-aid kit is."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="first_aid_points"
    )
    place = models.CharField(_("where"), max_length=160)
    holds = models.CharField(_("what is there"), max_length=200, blank=True)

    objects = FirstAidPointQuerySet.as_manager()

    def __str__(self) -> str:
        return self.place
