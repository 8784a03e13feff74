"""A plot's sowing, what was seen of the crop, and how warm each day was."""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from heritage.calc.crop import DayHeat, FlaxStage
from heritage.common.models import OwnedQuerySet, Viewer
from heritage.common.privacy import CODE, Counted, FreeWords, Holds, Wrote
from heritage.common.questions import Question
from heritage.season.models import Demonstration, Plot

# The gatherings stand above, and know who leads one.
leads_any = Question[[Viewer, Demonstration], bool](
    "whether somebody leads a gathering"
)


@dataclass(frozen=True, slots=True)
class Pulled:
    """What was pulled of a plot so far, and when last."""

    beets: int
    last: datetime


# The tally stands above, and knows what was pulled, by the plot's key; none if nobody
# said of which.
pulled_of = Question[[Demonstration], Mapping[int | None, Pulled]](
    "what was pulled of each plot"
)


class Way(models.TextChoices):
    """How the seed went on."""

    DRILLED = "drilled", _("drilled in rows")
    FIDDLE = "fiddle", _("with a fiddle")
    BROADCAST = "broadcast", _("broadcast by hand")


class SowingQuerySet(OwnedQuerySet["Sowing"]):
    demonstration_path = "plot__demonstration"


class Sowing(models.Model):
    """How one plot was sown; the day stands with the plot itself (``sown_on``)."""

    plot = models.OneToOneField(Plot, models.PROTECT, related_name="how_sown")
    variety = models.CharField(_("variety"), max_length=60, blank=True)
    thousand_seed_g = models.DecimalField(
        _("weight of a thousand seeds, in grams"),
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(20)],
    )
    kg_per_ha = models.DecimalField(
        _("seed, in kilograms a hectare"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(2000)],
    )
    way = models.CharField(_("how"), max_length=10, choices=Way, blank=True)
    row_cm = models.DecimalField(
        _("from row to row, in centimetres"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(200)],
    )
    depth_cm = models.DecimalField(
        _("how deep, in centimetres"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(30)],
    )
    ground = models.CharField(_("the ground"), max_length=200, blank=True)
    crop_before = models.CharField(_("crop before it"), max_length=60, blank=True)
    years_since_flax = models.PositiveSmallIntegerField(
        _("years since flax grew here"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(300)],
    )
    note = models.CharField(_("note"), max_length=300, blank=True)

    objects = SowingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(way="") | Q(way__in=Way.values), name="sowing_way_known"
            ),
            models.CheckConstraint(
                condition=(Q(thousand_seed_g__isnull=True) | Q(thousand_seed_g__gt=0))
                & (Q(kg_per_ha__isnull=True) | Q(kg_per_ha__gt=0)),
                name="sowing_seed_weighs_something",
                violation_error_message=_("Enter a weight of seed above 0."),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a sowing"), "growth:sow", ["plot"])

    def __str__(self) -> str:
        return f"{self.plot_id}"


STAGE_WORDS: dict[FlaxStage, Any] = {
    FlaxStage.SOIL_CRACKS: _("the soil cracks"),
    FlaxStage.COTYLEDONS: _("just up: seed leaves showing (braird)"),
    FlaxStage.FIRST_LEAVES: _("first leaves"),
    FlaxStage.TWO_LEAVES: _("two leaves"),
    FlaxStage.FOUR_LEAVES: _("four leaves, 3 cm"),
    FlaxStage.TALL_5_CM: _("5 cm tall"),
    FlaxStage.TALL_7_CM: _("7 cm tall"),
    FlaxStage.TALL_10_CM: _("10 cm tall"),
    FlaxStage.TALL_20_CM: _("20 cm tall"),
    FlaxStage.TALL_30_CM: _("30 cm tall"),
    FlaxStage.TALL_40_CM: _("40 cm tall"),
    FlaxStage.TALL_50_CM: _("50 cm tall"),
    FlaxStage.TALL_60_CM: _("60 cm tall"),
    FlaxStage.TALL_70_CM: _("70 cm tall"),
    FlaxStage.TALL_80_CM: _("80 cm tall"),
    FlaxStage.FINAL_HEIGHT: _("as tall as it gets"),
    FlaxStage.BUDS: _("buds"),
    FlaxStage.FLOWER_START: _("first flowers (one in ten buds)"),
    FlaxStage.FLOWER_FULL: _("full flower (the blue bow)"),
    FlaxStage.FLOWER_END: _("flowers over"),
    FlaxStage.RIPENING: _("beginning to ripen"),
    FlaxStage.RIPE: _("ripe"),
}
# The published table's codes while the crop stands; what is after is not seen here.
STAGES = [(int(stage), words) for stage, words in STAGE_WORDS.items()]


class Flower(models.TextChoices):
    """How far the flowering is."""

    NONE = "none", _("no flowers yet")
    START = "start", _("first flowers open")
    FULL = "full", _("in full flower")
    END = "end", _("flowers over")


class Weeds(models.TextChoices):
    """How many weeds stand among the crop."""

    NONE = "none", _("hardly any")
    FEW = "few", _("some, up to 20 in a square metre")
    MANY = "many", _("many, over 20 in a square metre")


# What an observation may say; each may be left out, but not all of them.
SAYS = (
    "height_cm",
    "bbch",
    "frame_m2",
    "bolls_green",
    "bolls_yellow",
    "bolls_brown",
    "stems_yellow",
    "leaves_fallen",
    "lodged",
)
SAYS_IN_WORDS = ("flower", "weeds", "note")


def _says_something() -> Q:
    said = Q()
    for name in SAYS:
        said |= Q(**{f"{name}__isnull": False})
    for name in SAYS_IN_WORDS:
        said |= ~Q(**{name: ""})
    return said


def _share(words: Any) -> Any:
    return models.PositiveSmallIntegerField(
        words, null=True, blank=True, validators=[MaxValueValidator(100)]
    )


def _bolls(words: Any) -> Any:
    return models.PositiveSmallIntegerField(
        words, null=True, blank=True, validators=[MaxValueValidator(1000)]
    )


class ObservationQuerySet(OwnedQuerySet["Observation"]):
    demonstration_path = "plot__demonstration"

    def newest_first(self) -> Self:
        return self.select_related("plot", "by").order_by("-seen_on", "-pk")

    def in_order(self) -> Self:
        return self.order_by("seen_on", "pk")

    def changeable_by(self, user: Viewer) -> Self:
        """Keep a reader's own, and all of the demonstrations they organise."""
        seen, managed = self.visible_to(user), self.managed_by(user)
        own = Q(pk__in=seen.filter(by=user).values("pk"))
        return self.filter(own | Q(pk__in=managed.values("pk")))


class Observation(models.Model):
    """What somebody saw of a plot's crop on one day.

    Shares are in per cent: of the stem, yellow or bare from below; of the plot, lying
    flat (0 is all upright, 100 all flat).
    """

    plot = models.ForeignKey(Plot, models.PROTECT, related_name="observations")
    seen_on = models.DateField(_("seen on"))
    height_cm = models.PositiveSmallIntegerField(
        _("height in centimetres"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(200)],
    )
    bbch = models.PositiveSmallIntegerField(
        _("stage by the table"), null=True, blank=True, choices=STAGES
    )
    frame_m2 = models.DecimalField(
        _("size of the frame, in square metres"),
        max_digits=5,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.005")), MaxValueValidator(10)],
    )
    counts = models.JSONField(_("plants counted"), default=list, blank=True)
    weeds = models.CharField(_("weeds"), max_length=5, choices=Weeds, blank=True)
    flower = models.CharField(_("flower"), max_length=5, choices=Flower, blank=True)
    bolls_green = _bolls(_("green bolls"))
    bolls_yellow = _bolls(_("yellow bolls"))
    bolls_brown = _bolls(_("brown bolls"))
    stems_yellow = _share(_("stem yellow from below, per cent"))
    leaves_fallen = _share(_("stem bare of leaves from below, per cent"))
    lodged = _share(_("lying flat, per cent of the plot"))
    note = models.CharField(_("note"), max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(_("entered at"))
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)

    objects = ObservationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=_says_something(),
                name="observation_says_something",
                violation_error_message=_("Say at least one thing that you saw."),
            ),
            models.CheckConstraint(
                condition=Q(flower="") | Q(flower__in=Flower.values),
                name="observation_flower_known",
            ),
            models.CheckConstraint(
                condition=Q(weeds="") | Q(weeds__in=Weeds.values),
                name="observation_weeds_known",
            ),
            models.CheckConstraint(
                condition=Q(
                    bolls_green__isnull=True,
                    bolls_yellow__isnull=True,
                    bolls_brown__isnull=True,
                )
                | Q(bolls_green__isnull=False, bolls_green__gt=0)
                | Q(bolls_yellow__isnull=False, bolls_yellow__gt=0)
                | Q(bolls_brown__isnull=False, bolls_brown__gt=0),
                name="observation_has_bolls",
                violation_error_message=_(
                    "Count at least one boll, or leave it empty."
                ),
            ),
            models.CheckConstraint(
                condition=Q(frame_m2__isnull=True, counts=[])
                | Q(frame_m2__isnull=False, frame_m2__gt=0) & ~Q(counts=[]),
                name="observation_counts_with_their_frame",
                violation_error_message=_(
                    "Give both: the size of the frame and what you counted in it."
                ),
            ),
            models.CheckConstraint(
                condition=Q(stems_yellow__isnull=True) | Q(stems_yellow__lte=100),
                name="observation_stems_within_whole",
            ),
            models.CheckConstraint(
                condition=Q(leaves_fallen__isnull=True) | Q(leaves_fallen__lte=100),
                name="observation_leaves_within_whole",
            ),
            models.CheckConstraint(
                condition=Q(lodged__isnull=True) | Q(lodged__lte=100),
                name="observation_lodged_within_whole",
            ),
        ]
        indexes = [models.Index(fields=["plot", "seen_on"], name="observation_by_day")]

    class Privacy(Holds):
        by = Wrote(
            "observations",
            _("What you saw of the crop"),
            "plot__name note entered_at seen_on",
        )
        called = _("observations of the crop")
        words = FreeWords(_("an observation"), "growth:edit_observation")
        unsearched = {"counts": CODE}

    def __str__(self) -> str:
        return f"{self.plot_id}, {self.seen_on}"

    @property
    def bolls(self) -> tuple[int, int, int] | None:
        """Bolls counted green, yellow and brown; None where none were."""
        counted = (self.bolls_green, self.bolls_yellow, self.bolls_brown)
        green, yellow, brown = (count or 0 for count in counted)
        return (green, yellow, brown) if green + yellow + brown else None


class WarmDayQuerySet(OwnedQuerySet["WarmDay"]):
    def in_order(self) -> Self:
        return self.order_by("day")

    def newest_first(self) -> Self:
        return self.order_by("-day")

    def since(self, day: date) -> Self:
        return self.filter(day__gte=day)


class WarmDay(models.Model):
    """The lowest and the highest air temperature of a day at the place.

    A day that was forecast counts until it is measured.
    """

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="warm_days"
    )
    day = models.DateField(_("day"))
    tmin_c = models.DecimalField(
        _("lowest, °C"),
        max_digits=4,
        decimal_places=1,
        validators=[MinValueValidator(-60), MaxValueValidator(60)],
    )
    tmax_c = models.DecimalField(
        _("highest, °C"),
        max_digits=4,
        decimal_places=1,
        validators=[MinValueValidator(-60), MaxValueValidator(60)],
    )
    is_forecast = models.BooleanField(
        _("forecast, not measured"), default=False, editable=False
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(_("entered at"))

    objects = WarmDayQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "day"],
                name="warm_day_once",
                violation_error_message=_("That day already has its temperatures."),
            ),
            models.CheckConstraint(
                condition=Q(tmax_c__gte=F("tmin_c")),
                name="warm_day_lowest_first",
                violation_error_message=_(
                    "The highest can't be below the lowest. Are they the wrong way "
                    "round?"
                ),
            ),
        ]

    class Privacy(Holds):
        by = Counted(_("temperatures of days"), "entered_at")

    def __str__(self) -> str:
        return f"{self.day}: {self.tmin_c} to {self.tmax_c}"

    @property
    def heat(self) -> DayHeat:
        """The day as the calculation takes it."""
        return DayHeat(self.day, float(self.tmin_c), float(self.tmax_c))
