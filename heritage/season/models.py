"""The demonstration, its ground and its stages."""

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Self, cast
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Max, OuterRef, Q, Subquery
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.calc.dam import BEET_KG, Band, weighed_beet
from heritage.calc.tally import PartStooks as PartStookRule
from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.common.privacy import (
    CODE,
    FreeWords,
    Holds,
)


class Part(models.TextChoices):
    """The three parts of the work, in their order."""

    FIELD = "field", _("in the field")
    WATER = "water", _("at the water")
    FIBRE = "fibre", _("from straw to yarn")


@dataclass(frozen=True, slots=True)
class Kind:
    """What kind of work a stage is.

    Work out of doors stops for light and thunder. What is fed to a machine is fed to
    a puller, unless it is fibre work, which is ``at_breaker``.

    The crop's moves show it where they bring something to a place (``fills``) or take
    it away (``empties``); it goes on while something is at ``lasts_at``.
    """

    part: Part
    indoors: bool = False
    at_breaker: bool = False
    fills: str = ""
    empties: str = ""
    lasts_at: str = ""


FIELD, WATER, FIBRE = Kind(Part.FIELD), Kind(Part.WATER), Kind(Part.FIBRE)
BREAKER = Kind(Part.FIBRE, at_breaker=True)


def _while_at(place: str, kind: Kind) -> Kind:
    """Return a kind of work that lasts while something is at a place."""
    return replace(kind, fills=place, empties=place, lasts_at=place)


def _taking_from(place: str, *, indoors: bool = False) -> Kind:
    """Return the breaking of fibre that takes what waits for it at a place."""
    kind = Kind(Part.FIBRE, indoors=indoors, at_breaker=True)
    return replace(kind, empties=place, lasts_at=place)


class Stage(models.TextChoices):
    """The steps from seed to fibre, in their order, with what kind of work each is.

    Everything else about stages follows from this one list, but for the words of
    their sheets (`heritage/public/process_sheets.json`).
    """

    SOWING = "sowing", FIELD, _("sowing")
    FLOWERING = "flowering", FIELD, _("flowering")
    CUTTING_BANDS = "cutting_bands", FIELD, _("cutting bands")
    PULLING = "pulling", FIELD, _("pulling")
    STOOKING = "stooking", _while_at("stook", FIELD), _("stooking")
    CARTING = "carting", _while_at("cart", FIELD), _("carting")
    FILLING_THE_DAM = (
        "filling_the_dam",
        replace(WATER, fills="dam"),
        _("filling the dam"),
    )
    RETTING = "retting", _while_at("dam", WATER), _("retting")
    LIFTING = "lifting", replace(WATER, empties="dam"), _("lifting")
    GRASSING = "grassing", _while_at("grass", FIBRE), _("grassing")
    DRYING = "drying", _while_at("store", FIBRE), _("drying")
    BREAKING = "breaking", _while_at("brake", BREAKER), _("breaking")
    SCUTCHING = "scutching", _taking_from("scutch"), _("scutching")
    HACKLING = "hackling", _taking_from("hackle", indoors=True), _("hackling")
    SPINNING = "spinning", Kind(Part.FIBRE, indoors=True), _("spinning")

    kind: Kind

    def __new__(cls, value: str, *kind: Kind) -> "Stage":
        stage = str.__new__(cls, value)
        stage._value_ = value
        (stage.kind,) = kind
        return stage

    @classmethod
    def of_part(cls, part: Part) -> "list[Stage]":
        """Return the stages of one part of the work, in their order."""
        return [stage for stage in cls if stage.kind.part == part]


class Tool(models.TextChoices):
    """What the work is done with, from seed to cloth, each with the works it is for.

    A work is a stage, or ``stage/sheet`` where a sheet of its own tells it. The tools
    on a stage's page and on its sheets follow from this one list.
    """

    SEED_FIDDLE = "seed_fiddle", "sowing", _("seed fiddle")
    RAKE = "rake", "sowing", _("rake")
    ROLLER = "roller", "sowing", _("roller")
    BASKET = "basket", "flowering/weeding", _("weeding basket")
    SICKLE = "sickle", "cutting_bands", _("sickle")
    BAND = "band", "cutting_bands pulling pulling/tying", _("rush band")
    RIPPLE_COMB = "ripple_comb", "stooking/rippling", _("ripple comb")
    CART = "cart", "carting", _("cart")
    SPADE = "spade", "filling_the_dam", _("spade")
    BARROW = "barrow", "filling_the_dam/stoning", _("stone barrow")
    LEVER = "lever", "filling_the_dam filling_the_dam/stoning lifting", _("stone lever")
    THERMOMETER = "thermometer", "retting", _("water thermometer")
    SOUNDING_POLE = "sounding_pole", "retting/treading", _("sounding pole")
    SAFETY_LINE = "safety_line", "retting/treading", _("safety line")
    TURNING_POLE = "turning_pole", "grassing", _("turning pole")
    BRAKE = "brake", "breaking", _("brake")
    SCUTCHING_BOARD = "scutching_board", "scutching", _("scutching board")
    SCUTCHING_BLADE = "scutching_blade", "scutching", _("scutching blade")
    HACKLE = "hackle", "hackling", _("hackle")
    DISTAFF = "distaff", "spinning", _("distaff")
    WHEEL = "wheel", "spinning", _("spinning wheel")
    LOOM = "loom", "spinning/weaving", _("loom")
    SHUTTLE = "shuttle", "spinning/weaving", _("shuttle")

    works: tuple[str, ...]

    def __new__(cls, value: str, *works: str) -> "Tool":
        tool = str.__new__(cls, value)
        tool._value_ = value
        tool.works = tuple(works[0].split())
        return tool

    @classmethod
    def of_work(cls, work: str) -> "list[Tool]":
        """Return the tools of one work, in their order."""
        return [tool for tool in cls if work in tool.works]

    @classmethod
    def of_stage(cls, stage: Stage) -> "list[Tool]":
        """Return the tools of a stage and of the works within it, in their order."""
        return [
            tool
            for tool in cls
            if stage in {work.partition("/")[0] for work in tool.works}
        ]


AT_THE_DAM = frozenset(Stage.of_part(Part.WATER))
AT_BREAKER = frozenset(stage for stage in Stage if stage.kind.at_breaker)


class Jurisdiction(models.TextChoices):
    """Whose rules on young people and machines are shown and applied."""

    GREAT_BRITAIN = "gb", _("England, Scotland or Wales")
    NORTHERN_IRELAND = "ni", _("Northern Ireland")
    IRELAND = "ie", _("Republic of Ireland")
    ELSEWHERE = "elsewhere", _("somewhere else")


class PartStooks(models.TextChoices):
    """What happens to the beets that do not fill a stook when pay is reckoned."""

    CARRY = "carry", _("carried over, paid when the stook is full")
    PRO_RATA = "pro_rata", _("paid by the beet")
    DROP = "drop", _("not paid")


class RootEnd(models.TextChoices):
    """Which end of the beets goes down in the dam: both are printed practice.

    Down: Spon's Encyclopaedia, and American Agriculturist, 1853. Up: the Flax Society's
    directions as printed in 1846.
    """

    DOWN = "down", _("root end down")
    UP = "up", _("root end up")


def require_zone(name: str) -> None:
    """Refuse a time zone that the time zone data does not know."""
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError) as error:
        raise ValidationError(
            _("We don't know the time zone “%(name)s”. Write it like Europe/London."),
            params={"name": name},
        ) from error


class DemonstrationQuerySet(models.QuerySet["Demonstration"]):
    demonstration_path = "pk"

    def visible_to(self, user: Viewer) -> Self:
        """Keep what the user may see: the public ones and their own."""
        return self.filter(Q(is_public=True) | Q(pk__in=demonstrations_of(user)))

    def managed_by(self, user: Viewer) -> Self:
        return self.filter(pk__in=demonstrations_of(user, organised=True))

    def newest_first(self) -> Self:
        return self.order_by("-year", "name", "pk")

    def keeping_dates(self) -> Self:
        """Keep those that ask for dates of birth rather than ages."""
        return self.filter(asks_birth_date=True).order_by("pk")

    def last_days(
        self, demonstration: "Demonstration", meetings: models.QuerySet[Any, Any]
    ) -> dict[str, Any]:
        """Return the last day planned, the last done, and when the last meeting ends.

        The meetings' rows have a ``demonstration`` and ``ends_at``.
        """
        here = meetings.filter(demonstration=OuterRef("pk")).order_by("-ends_at")
        rows = self.filter(pk=demonstration.pk).annotate(
            last_meeting=Subquery(here.values("ends_at")[:1])
        )
        return rows.aggregate(
            planned=Max("stage_records__planned_to"),
            finished=Max("stage_records__finished_on"),
            gathered=Max("last_meeting"),
        )


class Demonstration(models.Model):
    """One crop, in one place, in one year; everything else belongs to one of these."""

    name = models.CharField(_("name"), max_length=80)
    slug = models.SlugField(_("short name for addresses"), unique=True, max_length=60)
    year = models.PositiveSmallIntegerField(
        _("year"), validators=[MinValueValidator(1900), MaxValueValidator(2200)]
    )
    crop = models.CharField(_("crop"), max_length=40, default="flax")
    place_name = models.CharField(_("place"), max_length=120)
    directions = models.TextField(_("how to find it"), blank=True, max_length=2000)
    latitude = models.DecimalField(
        _("latitude"),
        max_digits=8,
        decimal_places=5,
        validators=[MinValueValidator(-90), MaxValueValidator(90)],
        help_text=_(
            "Degrees north, for example 54.60000; south of the equator, minus."
        ),
    )
    longitude = models.DecimalField(
        _("longitude"),
        max_digits=8,
        decimal_places=5,
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
        help_text=_("Degrees east, for example -6.40000; west of Greenwich, minus."),
    )
    time_zone = models.CharField(
        _("time zone"),
        max_length=60,
        default="Europe/London",
        validators=[require_zone],
    )
    skyline_deg = models.DecimalField(
        _("height of the western skyline"),
        max_digits=4,
        decimal_places=1,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(45)],
        help_text=_("Degrees. A hill of 2 degrees hides the sun well before sunset."),
    )
    stop_margin_min = models.PositiveSmallIntegerField(
        _("stop this long before the end of dusk"),
        default=15,
        validators=[MaxValueValidator(180)],
        help_text=_("Minutes before the end of civil dusk."),
    )
    jurisdiction = models.CharField(
        _("whose rules apply"),
        max_length=10,
        choices=Jurisdiction,
        help_text=_("Decides which rules on young people are applied to stations."),
    )
    beets_per_stook = models.PositiveSmallIntegerField(
        _("beets to a stook"),
        default=12,
        validators=[MinValueValidator(1), MaxValueValidator(60)],
        help_text=_("Twelve in one printed account, six in another: use your own."),
    )
    weighed_beets = models.PositiveSmallIntegerField(
        _("dry beets weighed together"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
        help_text=_("Ten or more from all over the field."),
    )
    weighed_kg = models.DecimalField(
        _("what they weigh together, kg"),
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.5"))],
        help_text=_("Dry, from the stook: a green beet is mostly water."),
    )
    token_rate_farthings = models.PositiveIntegerField(
        _("token pay for a stook, in farthings"),
        default=0,
        validators=[MaxValueValidator(960_000)],
    )
    part_stooks = models.CharField(
        _("part stooks"), max_length=8, choices=PartStooks, default=PartStooks.CARRY
    )
    root_end = models.CharField(
        _("how beets stand in the dam"),
        max_length=4,
        choices=RootEnd,
        default=RootEnd.DOWN,
        help_text=_("Printed directions differ: say how it's done here."),
    )
    asks_birth_date = models.BooleanField(
        _("keep dates of birth rather than ages"),
        default=False,
        help_text=_(
            "An age such as 13 to 15 is enough for every rule. Keep dates only if you "
            "must."
        ),
    )
    answer_hours = models.PositiveSmallIntegerField(
        _("hours to answer when a place comes free"),
        default=12,
        validators=[MinValueValidator(1), MaxValueValidator(168)],
        help_text=_("After that the place goes to the next on the waiting list."),
    )
    contact = models.CharField(
        _("how to reach the organiser"),
        max_length=200,
        blank=True,
        help_text=_(
            "Shown on the public page: an e-mail address or a telephone number."
        ),
    )
    story = models.TextField(
        _("what this is, for visitors"), blank=True, max_length=4000
    )
    parking = models.CharField(_("parking"), max_length=200, blank=True)
    footwear = models.CharField(_("what to wear"), max_length=200, blank=True)
    dogs = models.CharField(_("dogs"), max_length=200, blank=True)
    toilets = models.CharField(_("toilets"), max_length=200, blank=True)
    access = models.CharField(
        _("getting about"),
        max_length=200,
        blank=True,
        help_text=_("For wheels, sticks and prams: gates, ground, somewhere to sit."),
    )
    is_public = models.BooleanField(_("the public page is open"), default=True)
    created_at = models.DateTimeField(_("set up at"))

    objects = DemonstrationQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude__gte=-90, latitude__lte=90),
                name="demonstration_latitude_on_earth",
                violation_error_message=_("Enter a latitude from -90 to 90 degrees."),
            ),
            models.CheckConstraint(
                condition=Q(longitude__gte=-180, longitude__lte=180),
                name="demonstration_longitude_on_earth",
                violation_error_message=_(
                    "Enter a longitude from -180 to 180 degrees."
                ),
            ),
            models.CheckConstraint(
                condition=Q(beets_per_stook__gte=1, beets_per_stook__lte=60),
                name="demonstration_stook_has_beets",
                violation_error_message=_("Enter 1 to 60 beets to a stook."),
            ),
            models.CheckConstraint(
                condition=Q(skyline_deg__gte=0, skyline_deg__lte=45),
                name="demonstration_skyline_possible",
                violation_error_message=_("Enter a skyline from 0 to 45 degrees high."),
            ),
            models.CheckConstraint(
                condition=Q(jurisdiction__in=Jurisdiction.values),
                name="demonstration_jurisdiction_known",
            ),
            models.CheckConstraint(
                condition=Q(weighed_beets__isnull=True, weighed_kg__isnull=True)
                | Q(
                    weighed_beets__gte=1,
                    weighed_kg__gte=F("weighed_beets") * Decimal("0.5"),
                    weighed_kg__lte=F("weighed_beets") * 20,
                    weighed_beets__isnull=False,
                    weighed_kg__isnull=False,
                ),
                name="demonstration_beets_weighed_possible",
                violation_error_message=_(
                    "Give both: how many beets, and what they weigh together. A dry "
                    "beet weighs between half a kilogram and 20 kg."
                ),
            ),
            models.CheckConstraint(
                condition=Q(part_stooks__in=PartStooks.values),
                name="demonstration_part_stooks_known",
            ),
            models.CheckConstraint(
                condition=Q(root_end__in=RootEnd.values),
                name="demonstration_root_end_known",
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("the demonstration's own words"), "desk:settings", [])
        unsearched = {"crop": CODE, "time_zone": CODE}

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("public:demonstration", args=[self.slug])

    @property
    def zone(self) -> ZoneInfo:
        """The demonstration's own time zone."""
        return ZoneInfo(self.time_zone)

    @property
    def beet_kg(self) -> Band:
        """The dry weight of a beet: as weighed here, or the default until then."""
        if self.weighed_beets is None or self.weighed_kg is None:
            return BEET_KG
        return weighed_beet(self.weighed_beets, float(self.weighed_kg))

    @property
    def part_stooks_rule(self) -> PartStookRule:
        """The part-stook rule as the calculation names it."""
        return cast(PartStookRule, self.part_stooks)


class PlotQuerySet(OwnedQuerySet["Plot"]):
    def in_order(self) -> Self:
        return self.order_by("name", "pk")


class AreaMeasure(models.TextChoices):
    """The measure in which a plot's area was given; it is kept in square metres."""

    SQUARE_METRES = "m2", _("square metres")
    HECTARES = "ha", _("hectares")
    ACRES = "acre", _("statute acres")
    ROODS = "rood", _("roods")
    PERCHES = "perch", _("perches")
    IRISH_ACRES = "irish_acre", _("Irish acres")


class Plot(models.Model):
    """A measured piece of the field."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="plots"
    )
    name = models.CharField(_("name"), max_length=60)
    area_m2 = models.DecimalField(
        _("area in square metres"),
        max_digits=12,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.01"))],
    )
    entered_in = models.CharField(
        _("measure"), max_length=12, choices=AreaMeasure, default=AreaMeasure.ACRES
    )
    expected_beets = models.PositiveIntegerField(
        _("beets expected"),
        null=True,
        blank=True,
        help_text=_("Leave empty to use the estimate from the area, with its range."),
    )
    sown_on = models.DateField(_("sown on"), null=True, blank=True)

    objects = PlotQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "name"],
                name="plot_name_once",
                violation_error_message=_(
                    "There is already a plot with that name. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(area_m2__gt=0),
                name="plot_has_area",
                violation_error_message=_("Enter an area above 0."),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a plot"), "desk:plot_edit")

    def __str__(self) -> str:
        return self.name


class StageRecordQuerySet(OwnedQuerySet["StageRecord"]):
    def at_stage(self, stage: str) -> Self:
        return self.filter(stage=stage)

    def going_on(self) -> Self:
        """Keep those that have begun and not finished."""
        return self.filter(started_on__isnull=False, finished_on__isnull=True)

    def of_the_crop(self) -> "tuple[StageRecord | None, StageRecord | None]":
        """Return what is said of flowering, and of pulling: one query."""
        said = {row.stage: row for row in self.order_by("pk")}
        return said.get(Stage.FLOWERING), said.get(Stage.PULLING)


class StageRecord(models.Model):
    """One stage of one demonstration: when it is planned, and when it was done."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="stage_records"
    )
    stage = models.CharField(_("stage"), max_length=20, choices=Stage)
    planned_from = models.DateField(_("planned from"), null=True, blank=True)
    planned_to = models.DateField(_("planned to"), null=True, blank=True)
    started_on = models.DateField(_("began on"), null=True, blank=True)
    finished_on = models.DateField(_("finished on"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=300, blank=True)

    objects = StageRecordQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "stage"], name="stage_record_once_each"
            ),
            models.CheckConstraint(
                condition=Q(stage__in=Stage.values), name="stage_record_stage_known"
            ),
            models.CheckConstraint(
                condition=Q(planned_from__isnull=True)
                | Q(planned_to__isnull=True)
                | Q(planned_to__gte=F("planned_from")),
                name="stage_record_plan_runs_forward",
                violation_error_message=_(
                    "Choose a planned end on or after the planned start."
                ),
            ),
            models.CheckConstraint(
                condition=Q(finished_on__isnull=True)
                | Q(started_on__isnull=False, finished_on__gte=F("started_on")),
                name="stage_record_ends_after_it_begins",
                violation_error_message=_(
                    "Choose an end on or after the day it began."
                ),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a stage"), "desk:stage", ["stage"])

    def __str__(self) -> str:
        return f"{self.get_stage_display()} ({self.demonstration_id})"
