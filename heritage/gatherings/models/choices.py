"""What a gathering, a station, a sign-up and a call may be."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from heritage.season.models import Stage

# The stages whose work is done at the dam.
AT_THE_DAM = frozenset({Stage.FILLING_THE_DAM, Stage.RETTING, Stage.LIFTING})


class GatheringStatus(models.TextChoices):
    """Where a gathering stands."""

    DRAFT = "draft", _("draft")
    POSTED = "posted", _("going ahead as posted")
    CALLED_OFF = "called_off", _("called off")


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

    def is_at_water(self, stage: str) -> bool:
        """Whether the work has hands over or at the water, at some stage.

        While the dam is filled, trodden or emptied that is all work there, but for
        driving and talking.
        """
        always = self in {self.STONE, self.TREAD}
        return always or (stage in AT_THE_DAM and self not in {self.DRIVE, self.TALK})

    @property
    def stops_by_sunset(self) -> bool:
        """Whether the work is with machines or at the water: not for the dusk."""
        return self.value in {"drive", "feed", "lift_off", "stone", "tread"}


class SignUpStatus(models.TextChoices):
    """What a sign-up comes to.

    Who has not come in time has given nothing up: their place went to whoever stood
    there, and they have it back if they come while there is room.
    """

    HELD = "held", _("has a place")
    WAITING = "waiting", _("on the waiting list")
    GIVEN_UP = "given_up", _("given up")
    NOT_COME = "not_come", _("not come in time")


class Decision(models.TextChoices):
    """What a call comes to."""

    GO = "go", _("go ahead")
    HOLD = "hold", _("hold")
    OFF = "off", _("call off")


class WhyOff(models.TextChoices):
    """Why an evening is off: chosen when the call is made, never read from words."""

    RAIN = "rain", _("rain")
    WET_CROP = "wet_crop", _("wet crop")
    WIND = "wind", _("wind")
    THUNDER = "thunder", _("thunder")
    HEAT = "heat", _("heat")
    COLD = "cold", _("cold")
    LIGHT = "light", _("too little light")
    SOFT_GROUND = "soft_ground", _("soft ground")
    CROP = "crop", _("lodged or green crop")
    MACHINE = "machine", _("a machine or trailer")
    TOO_FEW = "too_few", _("too few people")
    OTHER = "other", _("something else")

    @property
    def is_wet(self) -> bool:
        """Whether it makes the evening a wet one for the chances of the next."""
        return self in {WhyOff.RAIN, WhyOff.WET_CROP}
