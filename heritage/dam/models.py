"""Dams and their water, rets, readings, readiness checks, and the treading rota."""

import re
from collections.abc import Callable, Collection, Iterable
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Case, F, Q, Value, When
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Asking, Briefing
from heritage.calc.dam import Basin
from heritage.calc.retting import SignKind, StemPlace
from heritage.common.models import (
    ManagedQuerySet,
    OwnedQuerySet,
    Viewer,
    demonstrations_of,
)
from heritage.common.privacy import (
    SEALED,
    About,
    FreeWords,
    Holds,
    Kept,
    Meets,
    Parted,
    Stays,
    Wrote,
)
from heritage.gatherings.models import WHO_WAS_THERE, Gathering
from heritage.lots.models import Lot, Move, Place
from heritage.machines.models import Stone
from heritage.people.models import Competence, Volunteer
from heritage.season.models import Demonstration


def up_to(most: int) -> list[Callable[[Any], None]]:
    """Return the validators of a length in metres, above nothing."""
    return [MinValueValidator(Decimal("0.10")), MaxValueValidator(most)]


class DamQuerySet(OwnedQuerySet["Dam"]):
    def by_name(self) -> Self:
        return self.order_by("name", "pk")

    def names(self, demonstration: Demonstration) -> Iterable[str]:
        """Return the names of a demonstration's dams."""
        return self.of(demonstration).by_name().values_list("name", flat=True)


class Dam(models.Model):
    """A pond for steeping flax, measured at its rim and at its bottom."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="dams"
    )
    name = models.CharField(_("name"), max_length=60)
    top_length_m = models.DecimalField(
        _("length at the rim, m"), max_digits=6, decimal_places=2, validators=up_to(200)
    )
    top_width_m = models.DecimalField(
        _("width at the rim, m"), max_digits=6, decimal_places=2, validators=up_to(100)
    )
    bottom_length_m = models.DecimalField(
        _("length at the bottom, m"),
        max_digits=6,
        decimal_places=2,
        validators=up_to(200),
    )
    bottom_width_m = models.DecimalField(
        _("width at the bottom, m"),
        max_digits=6,
        decimal_places=2,
        validators=up_to(100),
    )
    depth_m = models.DecimalField(
        _("depth, m"), max_digits=6, decimal_places=2, validators=up_to(3)
    )
    inflow_lps = models.DecimalField(
        _("inflow, litres a second"),
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
    )
    stone_density = models.PositiveSmallIntegerField(
        _("density of the stone, kg/m³"),
        default=2650,
        validators=[MinValueValidator(1200), MaxValueValidator(3500)],
        help_text=_("Granite about 2650, basalt 2900, limestone 2500, sandstone 2400."),
    )
    stone_kg = models.DecimalField(
        _("weight of one stone, kg"),
        max_digits=5,
        decimal_places=1,
        default=Decimal(12),
        validators=[MinValueValidator(Decimal("0.5"))],
    )

    objects = DamQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "name"],
                name="dam_name_once",
                violation_error_message=_(
                    "There is already a dam with that name. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(
                    top_length_m__gt=0,
                    top_width_m__gt=0,
                    bottom_length_m__gt=0,
                    bottom_width_m__gt=0,
                    depth_m__gt=0,
                ),
                name="dam_has_size",
                violation_error_message=_("Enter every measure of the dam, above 0."),
            ),
            models.CheckConstraint(
                condition=Q(
                    bottom_length_m__lte=F("top_length_m"),
                    bottom_width_m__lte=F("top_width_m"),
                ),
                name="dam_sides_do_not_overhang",
                violation_error_message=_(
                    "A dam can't be wider at the bottom than at the rim. Check both."
                ),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a dam"), "dam:edit")

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("dam:dam", args=[self.demonstration.slug, self.pk])

    @property
    def name_in_sentence(self) -> str:
        """The name after a first word: "in the school dam", not "in The school dam"."""
        return re.sub(r"^The\b", "the", self.name)

    @property
    def basin(self) -> Basin:
        """The dam's shape, in metres, for the calculations."""
        return Basin(
            top_length=float(self.top_length_m),
            top_width=float(self.top_width_m),
            bottom_length=float(self.bottom_length_m),
            bottom_width=float(self.bottom_width_m),
            depth=float(self.depth_m),
        )


class Water(models.TextChoices):
    """What the water of a dam is, from one clean filling to the next."""

    CLEAN = "clean", _("clean")
    WORKING = "working", _("working: there is flax in it")
    SPENT = "spent", _("spent, waiting for an answer")
    LET_GO = "let_go", _("let out, with permission")
    SPREAD = "spread", _("spread on land, with permission")
    RESTED = "rested", _("left to rest in the dam, with permission")


# What spent water may come to, each only with somebody's leave.
WENT = [(water.value, water.label) for water in (Water.LET_GO, Water.SPREAD)]
WENT += [(Water.RESTED.value, Water.RESTED.label)]


class Straw(models.TextChoices):
    """How the flax went in."""

    GREEN = "green", _("green, fresh from the field")
    DRY = "dry", _("dry")


class Topped(models.TextChoices):
    """Whether fresh water came in while the flax lay in it."""

    STILL = "still", _("left as it was")
    TOPPED = "topped", _("topped up, or fresh water running through")


class RetQuerySet(OwnedQuerySet["Ret"]):
    demonstration_path = "dam__demonstration"

    def in_dam(self, dam: Dam) -> Self:
        return self.filter(dam=dam)

    def beets(self) -> int:
        """Return how many beets all the rets have taken, lifted or not."""
        total: int | None = self.aggregate(beets=models.Sum("beets"))["beets"]
        return total or 0

    def going(self) -> Self:
        return self.filter(lifted_at__isnull=True)

    def with_its_water(self) -> Self:
        """Keep those whose water is still in the dam, or not made good: one a dam."""
        return self.filter(clean_at__isnull=True)

    def clean_after(self, moment: datetime) -> Self:
        return self.filter(clean_at__gt=moment)

    def newest_first(self) -> Self:
        return self.order_by("-began_at", "-pk")

    def not_learned_from(self) -> Self:
        """Keep those that were lifted, and not yet reckoned for what they say."""
        return self.filter(lifted_at__isnull=False, outcome__isnull=True)


class Ret(models.Model):
    """One filling of a dam, from the water covering the flax to the lifting."""

    dam = models.ForeignKey(Dam, models.PROTECT, related_name="rets")
    began_at = models.DateTimeField(_("under water since"))
    beets = models.PositiveIntegerField(
        _("beets in the dam"), validators=[MinValueValidator(1)]
    )
    beet_dry_kg = models.DecimalField(
        _("dry weight of a beet, kg"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(20)],
        help_text=_("Only if you weighed some of this filling; empty is the crop's."),
    )
    why_more = models.CharField(
        _("why there is more than the tally has"),
        max_length=200,
        blank=True,
        help_text=_("Only if you put in more than the tally counts as pulled."),
    )
    water_depth_m = models.DecimalField(
        _("depth of the water, m"), max_digits=6, decimal_places=2, validators=up_to(3)
    )
    lifted_at = models.DateTimeField(_("lifted at"), null=True, blank=True)
    why_untested = models.CharField(
        _("why it was lifted without a test that says so"),
        max_length=200,
        blank=True,
        help_text=_("Only if the last test did not find that the wood draws free."),
    )
    straw = models.CharField(
        _("how the flax went in"), max_length=5, choices=Straw, blank=True
    )
    topped_up = models.CharField(
        _("the water"), max_length=6, choices=Topped, blank=True
    )
    lag_h = models.DecimalField(
        _("hours before it began to work"),
        max_digits=4,
        decimal_places=1,
        default=Decimal(0),
        validators=[MinValueValidator(0), MaxValueValidator(96)],
    )
    water_went = models.CharField(
        _("what became of the water"), max_length=8, choices=WENT, blank=True
    )
    water_leave = models.CharField(
        _("who allowed it"),
        max_length=200,
        blank=True,
        help_text=_("The regulator's office, the day of its answer and its reference."),
    )
    water_went_at = models.DateTimeField(_("when it went"), null=True, blank=True)
    water_to = models.CharField(
        _("where it went"),
        max_length=200,
        blank=True,
        help_text=_("Which field or place, and how."),
    )
    rest_until = models.DateField(
        _("the dam rests until"),
        null=True,
        blank=True,
        help_text=_("Your own plan. Filling it sooner is asked about."),
    )
    clean_at = models.DateTimeField(
        _("clean water in the dam since"), null=True, blank=True
    )

    objects = RetQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["dam"],
                condition=Q(clean_at__isnull=True),
                name="ret_begins_in_clean_water",
                violation_error_message=_(
                    "This dam still holds flax, or the last filling's water."
                ),
            ),
            models.CheckConstraint(
                condition=Q(water_went="", water_leave="", water_went_at__isnull=True)
                | Q(
                    ~Q(water_leave=""),
                    lifted_at__isnull=False,
                    water_went__in=[water for water, _words in WENT],
                    water_went_at__isnull=False,
                    water_went_at__gte=F("lifted_at"),
                ),
                name="ret_water_goes_with_leave",
                violation_error_message=_(
                    "Lift the flax first, and say who allowed the water to go."
                ),
            ),
            models.CheckConstraint(
                condition=Q(clean_at__isnull=True)
                | Q(water_went_at__isnull=False, clean_at__gte=F("water_went_at")),
                name="ret_water_clean_after_it_went",
                violation_error_message=_(
                    "Let the spent water out first, then fill with clean water."
                ),
            ),
            models.CheckConstraint(
                condition=Q(lifted_at__isnull=True) | Q(lifted_at__gt=F("began_at")),
                name="ret_lifted_after_it_began",
                violation_error_message=_(
                    "Enter a lifting time that is after the filling."
                ),
            ),
            models.CheckConstraint(
                condition=Q(beets__gte=1, beet_dry_kg__gt=0, water_depth_m__gt=0),
                name="ret_holds_something",
                violation_error_message=_(
                    "Enter at least one beet, and the depth of water."
                ),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a ret"), "dam:ret", stays=SEALED)

    def __str__(self) -> str:
        return f"{self.dam_id}, {self.began_at:%Y-%m-%d}"

    def get_absolute_url(self) -> str:
        return reverse("dam:ret", args=[self.dam.demonstration.slug, self.pk])

    @property
    def water(self) -> Water:
        """What its water is by now."""
        if self.clean_at:
            return Water.CLEAN
        if self.lifted_at is None:
            return Water.WORKING
        return Water(self.water_went or Water.SPENT)

    @property
    def dry_kg(self) -> float:
        """The dry weight of the crop in the dam, in kilograms."""
        each = self.beet_dry_kg or self.dam.demonstration.beet_kg.likely
        return self.beets * float(each)


class FilledQuerySet(OwnedQuerySet["Filled"]):
    demonstration_path = "ret__dam__demonstration"

    def of_ret(self, ret: Ret) -> Self:
        return self.filter(ret=ret)

    def standing(self) -> Self:
        """Leave out moves that were corrected, and their corrections."""
        return self.filter(move__corrects=None, move__correction=None)

    def beets(self) -> int:
        """Add up the beets that were moved."""
        total: int | None = self.aggregate(beets=models.Sum("move__beets"))["beets"]
        return total or 0

    def beets_of_lots(self) -> dict[int, int]:
        """Add up what is in the dam of each lot, by its key: one query."""
        found: dict[int, int] = {}
        for row in self.select_related("move"):
            move, beets = row.move, row.move.beets or 0
            if move.source == Place.DAM:
                found[move.lot_id] = found.get(move.lot_id, 0) - beets
            if move.target == Place.DAM:
                found[move.to_lot_id] = found.get(move.to_lot_id, 0) + beets
        return {lot: beets for lot, beets in found.items() if beets > 0}


class Filled(models.Model):
    """A move of a lot that filled a dam, mixed what was in it, or emptied it."""

    ret = models.ForeignKey(Ret, models.PROTECT, related_name="filled")
    move = models.OneToOneField(Move, models.PROTECT, related_name="filled")

    objects = FilledQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "filled"

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.ret_id}: {self.move_id}"


class ReadingSource(models.TextChoices):
    """Where a reading came from."""

    TYPED = "typed", _("typed in")
    LOGGER = "logger", _("from a logger's file")


class Struck(models.TextChoices):
    """Why a reading does not count."""

    CORRECTED = "corrected", _("corrected")
    MERGED = "merged", _("two of one moment, made one")
    OUT = "out", _("the thermometer was out of the water")
    WRONG = "wrong", _("misread, or typed wrongly")
    ELSEWHERE = "elsewhere", _("it wasn't this dam")


# Why a reading is struck with none in its place.
STRUCK_ALONE = [(one.value, one.label) for one in (Struck.OUT, Struck.WRONG)]
STRUCK_ALONE += [(Struck.ELSEWHERE.value, Struck.ELSEWHERE.label)]


class ReadingQuerySet(OwnedQuerySet["Reading"]):
    demonstration_path = "ret__dam__demonstration"

    def in_ret(self, ret: Ret) -> Self:
        return self.filter(ret=ret)

    def after(self, moment: datetime) -> Self:
        return self.filter(at__gt=moment)

    def standing(self) -> Self:
        """Leave out those that were struck."""
        return self.filter(struck_at__isnull=True)

    def counting(self) -> Self:
        """Keep those that the ret is reckoned by: half an hour apart in a log."""
        return self.standing().filter(is_spare=False)

    def merged(self) -> Self:
        """Keep those that were made one with another of the same moment."""
        return self.filter(struck_why=Struck.MERGED)

    def struck(self) -> Self:
        """Keep those that were struck, the last first."""
        rows = self.filter(struck_at__isnull=False).order_by("-struck_at", "-pk")
        return rows.select_related("correction__entered_by", "entered_by")

    def beside(self, moment: datetime) -> list["Reading"]:
        """Return the last one before a moment and the first one after it."""
        before = self.filter(at__lt=moment).order_by("-at")[:1]
        after = self.filter(at__gt=moment).order_by("at")[:1]
        return [*before, *after]

    def at_moment(self, moment: datetime) -> Self:
        return self.filter(at=moment)

    def in_order(self) -> Self:
        return self.order_by("at")

    def moments(self) -> set[datetime]:
        """Return the moments that have their reading."""
        return set(self.values_list("at", flat=True))


class Reading(models.Model):
    """The temperature of the water at one moment.

    A wrong one is struck and kept; another row may stand for it, and ``corrects`` it.
    ``is_spare`` says that one a little before it in the same log counts already.
    """

    ret = models.ForeignKey(Ret, models.PROTECT, related_name="readings")
    at = models.DateTimeField(_("read at"))
    temp_c = models.DecimalField(
        _("water, °C"),
        max_digits=4,
        decimal_places=1,
        validators=[MinValueValidator(-5), MaxValueValidator(60)],
    )
    source = models.CharField(
        _("from"), max_length=6, choices=ReadingSource, default=ReadingSource.TYPED
    )
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    struck_at = models.DateTimeField(_("struck at"), null=True, blank=True)
    struck_why = models.CharField(
        _("why it was struck"), max_length=9, choices=Struck, blank=True
    )
    is_spare = models.BooleanField(_("another counts for it"), default=False)
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="correction"
    )

    objects = ReadingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["ret", "at"],
                condition=Q(struck_at__isnull=True),
                name="reading_one_a_moment",
                violation_error_message=_("There is already a reading for that time."),
            ),
            models.CheckConstraint(
                condition=Q(temp_c__range=(-5, 60)),
                name="reading_temperature_possible",
                violation_error_message=_("Enter a temperature between -5 and 60 °C."),
            ),
            models.CheckConstraint(
                condition=Q(source__in=ReadingSource.values),
                name="reading_source_known",
            ),
            models.CheckConstraint(
                condition=Q(struck_why__in=["", *Struck.values]),
                name="reading_struck_why_known",
            ),
        ]
        indexes = [
            models.Index(
                fields=["ret", "at"],
                condition=Q(struck_at__isnull=True, is_spare=False),
                name="reading_that_counts",
            )
        ]

    class Privacy(Holds):
        entered_by = Wrote("water", _("Water you measured"), "ret__dam__name at")
        labels = {"at": _("when")}

    def __str__(self) -> str:
        return f"{self.temp_c} °C"


class Finding(models.TextChoices):
    """What a readiness test found, or what was seen of the flax from the bank."""

    FAST = "fast", _("the wood holds the fibre fast")
    LOOSENING = "loosening", _("it draws part of the way")
    FREE = "free", _("the wood draws out free and clean")
    TEARS = "tears", _("the wood draws out free, but fibre tears with it")
    BENDS = "bends", _("the wood bends")
    SNAPS = "snaps", _("the wood snaps")
    SHARP = "sharp", _("it rings sharp")
    DULL = "dull", _("it sounds dull")
    FLOATS = "floats", _("a knotted stalk floats")
    SINKS = "sinks", _("a knotted stalk sinks")
    BUBBLES = "bubbles", _("bubbles are rising")
    STILL = "still", _("the bubbles have stopped")
    RISEN = "risen", _("the flax has risen")
    SUNK = "sunk", _("the flax sinks by itself")
    FIRM = "firm", _("the stalks are not slimy")
    SLIMY = "slimy", _("the stalks are slimy")

    @property
    def kind(self) -> SignKind:
        """What was looked at."""
        return SIGNS[self][0]

    @property
    def category(self) -> str:
        """What was found, by the name that the sums know."""
        return SIGNS[self][1]

    @property
    def is_test(self) -> bool:
        """Whether the wood was drawn, and not only the water looked at."""
        return self.kind == SignKind.CORE


# What each finding is to the sums.
SIGNS = {
    Finding.FAST: (SignKind.CORE, "fast"),
    Finding.LOOSENING: (SignKind.CORE, "partly"),
    Finding.FREE: (SignKind.CORE, "free"),
    Finding.TEARS: (SignKind.CORE, "tears"),
    Finding.BENDS: (SignKind.BREAK, "bends"),
    Finding.SNAPS: (SignKind.BREAK, "snaps"),
    Finding.SHARP: (SignKind.RING, "sharp"),
    Finding.DULL: (SignKind.RING, "dull"),
    Finding.FLOATS: (SignKind.KNOTTED, "float"),
    Finding.SINKS: (SignKind.KNOTTED, "sink"),
    Finding.BUBBLES: (SignKind.BUBBLES, "rising"),
    Finding.STILL: (SignKind.BUBBLES, "ceased"),
    Finding.RISEN: (SignKind.BUNDLE, "floats"),
    Finding.SUNK: (SignKind.BUNDLE, "sinks"),
    Finding.FIRM: (SignKind.SLIMY, "no"),
    Finding.SLIMY: (SignKind.SLIMY, "yes"),
}


class OnStem(models.TextChoices):
    """Where on the stem it was tried."""

    BUTT = StemPlace.BUTT.value, _("at the butt (root end)")
    MIDDLE = StemPlace.MIDDLE.value, _("at the middle")
    TOP = StemPlace.TOP.value, _("at the top")


class StruckTest(models.TextChoices):
    """Why a test does not count: none stands in its place, it is written anew."""

    WRONG = "wrong", _("written down wrongly")
    BADLY = "badly", _("not done properly")
    ELSEWHERE = "elsewhere", _("it wasn't this dam")


class CheckQuerySet(OwnedQuerySet["Check"]):
    demonstration_path = "ret__dam__demonstration"

    def in_ret(self, ret: Ret) -> Self:
        return self.filter(ret=ret)

    def standing(self) -> Self:
        """Leave out those that were struck."""
        return self.filter(struck_at__isnull=True)

    def at_moment(self, moment: datetime) -> Self:
        return self.filter(at=moment)

    def after(self, moment: datetime) -> Self:
        return self.filter(at__gt=moment)

    def not_later(self, moment: datetime) -> Self:
        return self.filter(at__lte=moment)

    def newest_first(self) -> Self:
        return self.order_by("-at", "-pk")


# One look tries a handful of stems.
MOST_STEMS = 99


class Check(models.Model):
    """A line of the test book: so many stems were found so, or the flax was looked at.

    Lines of one kind, moment and tester are one look. A wrong look is struck whole and
    kept; triggers let nothing else of a line change, and no line be struck twice.
    """

    ret = models.ForeignKey(Ret, models.PROTECT, related_name="checks")
    at = models.DateTimeField(_("tested at"))
    finding = models.CharField(_("found"), max_length=10, choices=Finding)
    stems = models.PositiveSmallIntegerField(
        _("stems found so"),
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_STEMS)],
    )
    place = models.CharField(
        _("where on the stem"), max_length=6, choices=OnStem, default=OnStem.MIDDLE
    )
    tester = models.CharField(
        _("who tested, if not you"),
        max_length=40,
        blank=True,
        help_text=_("Initials are enough. Testers differ, so who tested counts."),
    )
    note = models.CharField(_("note"), max_length=300, blank=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    struck_at = models.DateTimeField(_("struck at"), null=True, blank=True)
    struck_why = models.CharField(
        _("why it was struck"), max_length=9, choices=StruckTest, blank=True
    )

    objects = CheckQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(finding__in=Finding.values), name="check_finding_known"
            ),
            models.CheckConstraint(
                condition=Q(stems__gte=1, place__in=OnStem.values),
                name="check_of_stems_somewhere",
                violation_error_message=_(
                    "Enter how many stems you tested: 1 or more."
                ),
            ),
            models.CheckConstraint(
                condition=Q(struck_at__isnull=True, struck_why="")
                | Q(struck_at__isnull=False, struck_why__in=StruckTest.values),
                name="check_struck_for_a_reason",
                violation_error_message=_("Choose why it doesn't count."),
            ),
        ]

    class Privacy(Holds):
        entered_by = Wrote(
            "tests",
            _("Tests of the ret you made"),
            "ret__dam__name finding struck_why at",
        )
        labels = {"finding": _("finding"), "at": _("when")}
        words = FreeWords(_("the test of a ret"), "dam:ret", ["ret"], SEALED)

    def __str__(self) -> str:
        return f"{self.ret_id}: {self.finding}"

    @property
    def found(self) -> Finding:
        return Finding(self.finding)

    @property
    def is_test(self) -> bool:
        """Whether the wood was drawn, and not only the water looked at."""
        return self.found.is_test

    @property
    def who(self) -> str:
        """Whose hand it was, for telling testers apart."""
        return self.tester.strip().casefold() or str(self.entered_by_id)


class Verdict(models.TextChoices):
    """How a ret came out, by its fibre."""

    UNDER = "under", _("under-retted: gum left, fibre in ribbons or stuck to the wood")
    RIGHT = "right", _("right")
    OVER = "over", _("over-retted: weak fibre, bad colour, more tow")


class After(models.TextChoices):
    """After which work it was judged."""

    LIFTING = "lifting", _("stalks dried after the lifting")
    SCUTCHING = "scutching", _("scutching")
    HACKLING = "hackling", _("hackling")


class OutcomeQuerySet(OwnedQuerySet["Outcome"]):
    demonstration_path = "ret__dam__demonstration"

    def told(self) -> Self:
        """Keep those that say something of the next ret."""
        return self.filter(log_factor__isnull=False)

    def of_dam(self, dam: Dam) -> Self:
        return self.filter(ret__dam=dam)


class Outcome(models.Model):
    """How a lifted ret came out, and what it says of the next one in its dam.

    ``log_factor`` is the logarithm of how many times the likely length it took, by its
    tests and its verdict alone, and ``log_factor_sd`` how unsure that is; both are
    empty where they say next to nothing. They are reckoned whenever the ret changes.
    """

    ret = models.OneToOneField(Ret, models.PROTECT, related_name="outcome")
    verdict = models.CharField(
        _("how the fibre came out"), max_length=5, choices=Verdict, blank=True
    )
    after = models.CharField(_("judged after"), max_length=9, choices=After, blank=True)
    note = models.CharField(_("note"), max_length=300, blank=True)
    said_at = models.DateTimeField(_("said at"), null=True, blank=True)
    said_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True
    )
    log_factor = models.FloatField(null=True, blank=True, editable=False)
    log_factor_sd = models.FloatField(null=True, blank=True, editable=False)

    objects = OutcomeQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(verdict="", after="", said_at__isnull=True)
                | Q(
                    verdict__in=Verdict.values,
                    after__in=After.values,
                    said_at__isnull=False,
                    said_by__isnull=False,
                ),
                name="outcome_said_whole",
                violation_error_message=_("Say how it came out, and after what."),
            ),
            models.CheckConstraint(
                condition=Q(log_factor__isnull=True, log_factor_sd__isnull=True)
                | Q(log_factor__isnull=False, log_factor_sd__gt=0),
                name="outcome_reckoned_whole",
            ),
        ]

    class Privacy(Holds):
        said_by = Wrote(
            "ret_outcomes", _("How rets came out, as you judged"),
            "ret__dam__name verdict after note said_at",
        )  # fmt: skip
        words = FreeWords(_("how a ret came out"), "dam:verdict", ["ret"])

    def __str__(self) -> str:
        return f"{self.ret_id}: {self.verdict or '-'}"


class Lies(models.TextChoices):
    """How the dams lie, which makes their water warmer or colder than the air."""

    SUNNY = "sunny", _("in the sun")
    SHADED = "shaded", _("in the shade")
    SPRING = "spring", _("fed by a spring")


class ReckoningQuerySet(OwnedQuerySet["Reckoning"]):
    pass


class Reckoning(models.Model):
    """The organiser's own settings for when to test, and for the water ahead.

    ``month_c`` holds the twelve monthly means of the air at ``place``, January first,
    each a number or nothing.
    """

    demonstration = models.OneToOneField(
        Demonstration, models.PROTECT, related_name="ret_reckoning"
    )
    visit = models.DecimalField(
        _("a visit with a test"),
        max_digits=5,
        decimal_places=1,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(1000)],
    )
    day_late = models.DecimalField(
        _("a day too late"),
        max_digits=5,
        decimal_places=1,
        default=Decimal(40),
        validators=[MinValueValidator(Decimal("0.1")), MaxValueValidator(1000)],
    )
    day_early = models.DecimalField(
        _("a day too early"),
        max_digits=5,
        decimal_places=1,
        default=Decimal(10),
        validators=[MinValueValidator(0), MaxValueValidator(1000)],
    )
    lies = models.CharField(
        _("the dams lie"), max_length=6, choices=Lies, default=Lies.SUNNY
    )
    place = models.CharField(_("place of the monthly means"), max_length=80, blank=True)
    month_c = models.JSONField(
        _("mean air of each month, °C"), default=list, blank=True
    )

    objects = ReckoningQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(visit__gt=0, day_late__gt=0, day_early__gte=0),
                name="reckoning_costs_something",
                violation_error_message=_(
                    "Enter what a visit and a day late cost, above 0."
                ),
            ),
            models.CheckConstraint(
                condition=Q(lies__in=Lies.values), name="reckoning_lies_known"
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("how rets are reckoned"), "dam:reckoning", [])

    def __str__(self) -> str:
        return f"{self.demonstration_id}"


class StoneWay(models.TextChoices):
    """Whether stones went onto the flax or came off it."""

    ON = "on", _("put on")
    OFF = "off", _("taken off")


class StoneMoveQuerySet(OwnedQuerySet["StoneMove"]):
    demonstration_path = "ret__dam__demonstration"

    def in_ret(self, ret: Ret) -> Self:
        return self.filter(ret=ret)

    def going(self) -> Self:
        """Keep those of flax that is still under water."""
        return self.filter(ret__lifted_at__isnull=True)

    def of_size(self, stone: Stone | None, each_kg: Decimal) -> Self:
        """Keep those of one stone on the list, or of unlisted ones of a weight."""
        return self.filter(stone=stone) if stone else self.unlisted(each_kg)

    def unlisted(self, each_kg: Decimal) -> Self:
        return self.filter(stone=None, each_kg=each_kg)

    def newest_first(self) -> Self:
        return self.order_by("-at", "-pk")

    def lying(self) -> int:
        """Add up the stones that lie there."""
        signed = Case(When(way=StoneWay.ON, then=F("how_many")), default=-F("how_many"))
        total: int | None = self.aggregate(stones=models.Sum(signed))["stones"]
        return total or 0


class StoneMove(models.Model):
    """Stones of one size that were put on the flax of a ret, or taken off it.

    ``each_kg`` is what one weighed then: the list may change. Without a ``stone`` they
    are not on the list.
    """

    ret = models.ForeignKey(Ret, models.PROTECT, related_name="stone_moves")
    at = models.DateTimeField(_("when"))
    way = models.CharField(_("what was done"), max_length=3, choices=StoneWay)
    stone = models.ForeignKey(
        Stone, models.SET_NULL, null=True, blank=True, related_name="+",
        verbose_name=_("which stones"),
    )  # fmt: skip
    each_kg = models.DecimalField(
        _("weight of one, kg"), max_digits=6, decimal_places=1
    )
    how_many = models.PositiveSmallIntegerField(
        _("how many"), validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = StoneMoveQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(way__in=StoneWay.values), name="stonemove_way_known"
            ),
            models.CheckConstraint(
                condition=Q(how_many__gte=1, each_kg__gt=0),
                name="stonemove_moves_something",
                violation_error_message=_(
                    "Enter how many stones were moved: 1 or more."
                ),
            ),
        ]

    class Privacy(Holds):
        entered_by = Wrote(
            "stones", _("Stones you wrote down"), "ret__dam__name way how_many at"
        )
        labels = {"at": _("when"), "way": _("what was done")}

    def __str__(self) -> str:
        return f"{self.ret_id}: {self.way} {self.how_many}"

    @property
    def kg(self) -> Decimal:
        """What they weigh together."""
        return self.each_kg * self.how_many


class Foretells(models.TextChoices):
    """What a forecast is of."""

    PULLING = "pulling", _("when the crop is fit to pull")
    FINISH = "finish", _("when the field is all pulled")
    RET = "ret", _("when the flax is ready in the dam")


class ForetoldQuerySet(OwnedQuerySet["Foretold"]):
    def on(self, day: date) -> Self:
        return self.filter(said_on=day)

    def in_order(self) -> Self:
        return self.order_by("what", "ret", "said_on")


class Foretold(models.Model):
    """What was said on one day of when something would be: for scoring afterwards.

    One time in ten it would be before ``early``, one in ten after ``late``.
    """

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="foretold"
    )
    what = models.CharField(_("what"), max_length=7, choices=Foretells)
    ret = models.ForeignKey(
        Ret, models.PROTECT, null=True, blank=True, related_name="foretold"
    )
    said_on = models.DateField(_("said on"))
    early = models.DateTimeField(_("early"))
    likely = models.DateTimeField(_("likely"))
    late = models.DateTimeField(_("late"))

    objects = ForetoldQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "foretold"
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "what", "said_on"],
                condition=Q(ret__isnull=True),
                name="foretold_once_a_day",
            ),
            models.UniqueConstraint(
                fields=["ret", "said_on"], name="foretold_of_a_ret_once_a_day"
            ),
            models.CheckConstraint(
                condition=Q(what=Foretells.RET, ret__isnull=False)
                | Q(what__in=[Foretells.PULLING, Foretells.FINISH], ret__isnull=True),
                name="foretold_ret_of_a_ret",
            ),
            models.CheckConstraint(
                condition=Q(early__lte=F("likely"), likely__lte=F("late")),
                name="foretold_in_order",
            ),
        ]

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.said_on}: {self.what}"


# Nobody treads alone, and somebody watches from the bank who does nothing else: common
# practice at the water, no source.
NEVER_ALONE = 2
AT_THE_WATER = NEVER_ALONE + 1


def were_enough(trod: Collection[int], watched: Collection[int]) -> bool:
    """Tell whether two trod and one watched, three people in all.

    Three who took turns at watching are enough too.
    """
    return (
        len(trod) >= NEVER_ALONE
        and len(watched) > 0
        and len({*trod, *watched}) >= AT_THE_WATER
    )


class Half(models.TextChoices):
    """The two turns of a day."""

    MORNING = "morning", _("morning")
    EVENING = "evening", _("evening")


class TreaderState(models.TextChoices):
    """Where somebody stands to one turn."""

    CAN = "can", _("can come")
    CANNOT = "cannot", _("cannot come")
    ON = "on", _("on the rota")


class RotaPlanQuerySet(OwnedQuerySet["RotaPlan"]):
    demonstration_path = "ret__dam__demonstration"

    def of_ret(self, ret: Ret) -> Self:
        return self.filter(ret=ret)

    def going(self) -> Self:
        """Keep those whose flax is still under water."""
        return self.filter(ret__lifted_at__isnull=True)

    def asking(self, briefing: Briefing, now: datetime) -> Iterable[Asking]:
        """Return who has a turn to come that asks for a briefing, and where."""
        rows = self.going().filter(
            briefing=briefing,
            taken_at__isnull=False,
            turns__at__gt=now,
            turns__dropped_at__isnull=True,
            turns__treaders__state=TreaderState.ON,
        )
        turn = rows.annotate(station=Value(str(_("a turn treading"))))
        return turn.order_by("turns__at", "pk").values_list(
            "turns__treaders__volunteer", "ret__dam__name", "station", "turns__at"
        )

    def for_page(self) -> Self:
        return self.select_related("ret__dam__demonstration", "briefing", "skill")


class RotaPlan(models.Model):
    """How one ret is trodden: from when to when, by how many, with what rest."""

    ret = models.OneToOneField(Ret, models.PROTECT, related_name="rota")
    first_day = models.DateField(_("first day"))
    last_day = models.DateField(_("last day"))
    morning = models.TimeField(_("morning turn at"), default=time(8))
    evening = models.TimeField(_("evening turn at"), default=time(18))
    people = models.PositiveSmallIntegerField(
        _("people treading"),
        default=NEVER_ALONE,
        validators=[MinValueValidator(NEVER_ALONE), MaxValueValidator(12)],
        help_text=_("Two at least. One more watches from the bank."),
    )
    most_turns = models.PositiveSmallIntegerField(
        _("most turns of one person"),
        default=3,
        validators=[MinValueValidator(1), MaxValueValidator(14)],
        help_text=_("Nobody has two turns in one day."),
    )
    in_days = models.PositiveSmallIntegerField(
        _("in this many days running"),
        default=4,
        validators=[MinValueValidator(1), MaxValueValidator(14)],
    )
    briefing = models.ForeignKey(
        Briefing,
        models.PROTECT,
        null=True,
        related_name="rotas",
        verbose_name=_("safety briefing to hear first"),
        error_messages={"blank": _("Choose the briefing everybody hears first.")},
    )
    skill = models.ForeignKey(
        Competence,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="rotas",
        verbose_name=_("skill that one in each turn must have"),
        help_text=_("An organiser has to have confirmed it."),
    )
    taken_at = models.DateTimeField(_("rota taken at"), null=True, blank=True)
    edition = models.PositiveIntegerField(_("times people were written to"), default=0)

    objects = RotaPlanQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="rotaplan_ends_after_it_begins",
                violation_error_message=_("Choose a last day on or after the first."),
            ),
            models.CheckConstraint(
                condition=Q(evening__gt=F("morning")),
                name="rotaplan_morning_before_evening",
                violation_error_message=_(
                    "Choose a morning time before the evening's."
                ),
            ),
            models.CheckConstraint(
                condition=Q(people__gte=NEVER_ALONE),
                name="rotaplan_never_alone",
                violation_error_message=_("Nobody treads alone: two or more."),
            ),
            models.CheckConstraint(
                condition=Q(most_turns__gte=1, in_days__gte=1),
                name="rotaplan_rest_possible",
            ),
        ]

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.ret_id}: {self.first_day} to {self.last_day}"

    @property
    def wanted(self) -> int:
        """How many a turn takes: those treading, and one who watches."""
        return self.people + 1


class TreadingQuerySet(OwnedQuerySet["Treading"]):
    demonstration_path = "plan__ret__dam__demonstration"

    def of_plan(self, plan: RotaPlan) -> Self:
        return self.filter(plan=plan)

    def of_ret(self, ret: Ret) -> Self:
        return self.filter(plan__ret=ret)

    def of_keys(self, keys: Iterable[int]) -> Self:
        return self.filter(pk__in=list(keys))

    def trodden_after(self, moment: datetime) -> Self:
        return self.filter(trodden_at__gt=moment)

    def live(self) -> Self:
        """Keep those that were not dropped."""
        return self.filter(dropped_at__isnull=True)

    def to_come(self, now: datetime) -> Self:
        return self.filter(at__gt=now)

    def not_later(self, moment: datetime) -> Self:
        return self.filter(at__lte=moment)

    def under_water(self) -> Self:
        """Keep the turns of flax that is not lifted."""
        return self.filter(plan__ret__lifted_at__isnull=True)

    def unrecorded(self) -> Self:
        return self.filter(trodden_at__isnull=True)

    def in_order(self) -> Self:
        return self.order_by("at", "pk")

    def for_page(self) -> Self:
        return self.select_related("plan__ret__dam__demonstration", "recorded_by")


class Treading(models.Model):
    """One turn on the weighted crop, morning or evening, and what was written of it."""

    plan = models.ForeignKey(RotaPlan, models.PROTECT, related_name="turns")
    day = models.DateField(_("day"))
    half = models.CharField(_("turn"), max_length=7, choices=Half)
    at = models.DateTimeField(_("begins at"))
    dropped_at = models.DateTimeField(_("dropped at"), null=True, blank=True)
    trodden_at = models.DateTimeField(_("trodden at"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=300, blank=True)
    why_alone = models.CharField(
        _("why one trod alone, or nobody watched"), max_length=300, blank=True
    )
    recorded_at = models.DateTimeField(_("written down at"), null=True, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True
    )

    objects = TreadingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "day", "half"],
                name="treading_once_a_half_day",
                violation_error_message=_("There is already a turn then."),
            ),
            models.CheckConstraint(
                condition=Q(half__in=Half.values), name="treading_half_known"
            ),
            models.CheckConstraint(
                condition=Q(
                    trodden_at__isnull=True,
                    recorded_at__isnull=True,
                    recorded_by__isnull=True,
                )
                | Q(
                    trodden_at__isnull=False,
                    recorded_at__gte=F("trodden_at"),
                    recorded_by__isnull=False,
                ),
                name="treading_written_whole",
                violation_error_message=_("Enter a treading once it is over."),
            ),
        ]

    class Privacy(Holds):
        recorded_by = Wrote(
            "treadings_written", _("Turns of treading you wrote down"),
            "plan__ret__dam__name trodden_at note why_alone recorded_at",
        )  # fmt: skip
        labels = {"recorded_at": _("written")}
        words = FreeWords(_("a turn of treading"), "dam:treading_record")

    def __str__(self) -> str:
        return f"{self.day}, {self.get_half_display()}"

    def get_absolute_url(self) -> str:
        ret = self.plan.ret
        return reverse("dam:treading", args=[ret.dam.demonstration.slug, ret.pk])


# Whether each trod is written of everybody who was on the turn, watchers too.
CAME = Q(trod=True) | Q(trod=False, watches=True)


class TreaderQuerySet(OwnedQuerySet["Treader"]):
    demonstration_path = "turn__plan__ret__dam__demonstration"

    def of_plan(self, plan: RotaPlan) -> Self:
        return self.filter(turn__plan=plan)

    def on(self) -> Self:
        return self.filter(state=TreaderState.ON)

    def by(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def in_turns(self, turns: Iterable[Treading]) -> Self:
        return self.filter(turn__in=[turn.pk for turn in turns])

    def live(self) -> Self:
        return self.filter(turn__dropped_at__isnull=True)

    def of_taken_rotas(self) -> Self:
        return self.filter(turn__plan__taken_at__isnull=False)

    def to_come(self, now: datetime) -> Self:
        return self.filter(turn__at__gt=now)

    def watching(self) -> Self:
        return self.filter(watches=True)

    def who_came(self) -> Self:
        """Keep those of whom it is written that they trod, or watched."""
        return self.filter(CAME)

    def untrodden(self) -> Self:
        """Keep those who neither trod nor watched, or of whom nobody wrote it."""
        return self.exclude(CAME)

    def of_active(self) -> Self:
        """Keep those of people still on the list."""
        return self.filter(volunteer__left_at__isnull=True)

    def of_gone(self) -> Self:
        """Keep those of people who are off the list."""
        return self.filter(volunteer__left_at__isnull=False)

    def lost_when_gone(self, now: datetime) -> Self:
        """Keep those whose going leaves a gap: on a turn to come of a taken rota."""
        rows = self.on().live().to_come(now).of_taken_rotas()
        return rows.filter(turn__plan__ret__lifted_at__isnull=True)

    def with_people(self) -> Self:
        return self.select_related(
            "volunteer__user", "volunteer__guardian__user"
        ).order_by("volunteer__name", "pk")


class Treader(models.Model):
    """One person and one turn: what they said, whether they are on, whether they trod.

    ``by_hand`` is an organiser's word that a new working-out keeps: on is promised,
    can come is kept off. ``told`` says that their last letter had them on this turn,
    in the place they have. ``watches`` is the one on the bank: who is to watch and,
    once the turn is written down, who did.
    """

    turn = models.ForeignKey(Treading, models.CASCADE, related_name="treaders")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="treadings")
    state = models.CharField(_("state"), max_length=6, choices=TreaderState)
    by_hand = models.BooleanField(_("settled by hand"), default=False)
    watches = models.BooleanField(_("watches from the bank"), default=False)
    told = models.BooleanField(_("was told of it"), default=False)
    trod = models.BooleanField(_("trod"), null=True, blank=True)
    changed_at = models.DateTimeField(_("changed at"))

    objects = TreaderQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["turn", "volunteer"],
                name="treader_once_a_turn",
                violation_error_message=_("They have already answered for this turn."),
            ),
            models.CheckConstraint(
                condition=Q(state__in=TreaderState.values), name="treader_state_known"
            ),
            models.UniqueConstraint(
                fields=["turn"],
                condition=Q(watches=True),
                name="treader_one_watcher_a_turn",
                violation_error_message=_("Somebody already watches this turn."),
            ),
            models.CheckConstraint(
                condition=Q(watches=False)
                | Q(state=TreaderState.ON)
                | Q(trod__isnull=False),
                name="treader_watcher_is_on_or_came",
                violation_error_message=_("Choose a watcher from those on the turn."),
            ),
            models.CheckConstraint(
                condition=~Q(state=TreaderState.CANNOT, by_hand=True),
                name="treader_cannot_is_their_own_word",
                violation_error_message=_(
                    "They said they can't come, so don't put them on or keep them off."
                ),
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "treadings", _("Turns of treading you answered for"),
            _("To know who treads when, and that nobody treads alone."),
            "turn__plan__ret__dam__name turn__day turn__half state by_hand watches "
            "told trod changed_at",
            erased=[
                Parted(
                    _("treading turns they missed"),
                    which=lambda rows, now: rows.untrodden(),
                ),
                Stays(
                    _("treading turns they came to"),
                    WHO_WAS_THERE,
                    lambda rows, now: rows.who_came(),
                ),
            ],
            merged=Meets(
                "turn",
                _("Both answered for %s: they trod or are on if either line is."),
            ),
            order="turn__at",
        )  # fmt: skip
        called = _("turns of treading")
        rules = [
            Kept("places", "turn__at__lt", ~CAME),
            Kept("attendance", "turn__at__lt", CAME),
        ]

    def __str__(self) -> str:
        return f"{self.turn_id}: {self.volunteer_id} {self.state}"

    @property
    def is_on(self) -> bool:
        return self.state == TreaderState.ON


# Most carts, people and metres that anybody plans an evening with: past it, a slip.
MOST_CARTS, MOST_HANDS, MOST_METRES = 6, 40, 20_000


def from_to(least: int | str, most: int | str) -> list[Callable[[Any], None]]:
    """Return the validators of a number between two others."""
    return [MinValueValidator(Decimal(least)), MaxValueValidator(Decimal(most))]


class FillEveningQuerySet(OwnedQuerySet["FillEvening"]):
    demonstration_path = "dam__demonstration"

    def of_dam(self, dam: Dam) -> Self:
        return self.filter(dam=dam)

    def to_come(self) -> Self:
        """Keep those whose flax is not under water yet: one a dam."""
        return self.filter(ret__isnull=True)

    def with_dam(self) -> Self:
        return self.select_related("dam__demonstration")

    def led_by(self, user: Viewer) -> Self:
        """Keep those of demonstrations that the user organises, or leads in."""
        led = Gathering.objects.led_by(user).values("demonstration")
        organised = demonstrations_of(user, organised=True)
        return self.filter(
            Q(dam__demonstration__in=led) | Q(dam__demonstration__in=organised)
        )

    def newest_first(self) -> Self:
        return self.order_by("-starts_at", "-pk")


class FillEvening(models.Model):
    """The plan of one filling: which lots, the carts, the hands, the water.

    It is open until the flax is under water; then ``ret`` is what came of it.
    """

    dam = models.ForeignKey(Dam, models.PROTECT, related_name="evenings")
    starts_at = models.DateTimeField(_("carting starts"))
    lots = models.ManyToManyField(
        Lot, related_name="evenings", verbose_name=_("lots to go in")
    )
    mixed = models.BooleanField(_("lots of different days are mixed"), default=False)
    water_first = models.BooleanField(
        _("the water is in the dam before the flax"), default=False
    )
    load_beets = models.PositiveIntegerField(
        _("beets to a load"), validators=from_to(1, 2000)
    )
    distance_m = models.PositiveIntegerField(
        _("field to dam, metres"),
        validators=from_to(1, MOST_METRES),
        help_text=_("One way, by the way the cart takes."),
    )
    speed_kmh = models.DecimalField(
        _("speed of the cart, km/h"),
        max_digits=4,
        decimal_places=1,
        default=Decimal(5),
        validators=from_to("0.5", 30),
        help_text=_("5 is a walk."),
    )
    carts = models.PositiveSmallIntegerField(
        _("carts"), default=1, validators=from_to(1, MOST_CARTS)
    )
    loaders = models.PositiveSmallIntegerField(
        _("people loading"), default=4, validators=from_to(1, MOST_HANDS)
    )
    placers = models.PositiveSmallIntegerField(
        _("people placing at the dam"),
        default=4,
        validators=from_to(NEVER_ALONE, MOST_HANDS),
        help_text=_("Two at least. One more watches and does nothing else."),
    )
    weigh_down_min = models.PositiveSmallIntegerField(
        _("minutes to cover and weigh down"),
        default=45,
        validators=from_to(0, 600),
        help_text=_("Rushes, boards and stones, once the last beet is in."),
    )
    ret = models.OneToOneField(
        Ret, models.PROTECT, null=True, blank=True, related_name="evening"
    )

    objects = FillEveningQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["dam"],
                condition=Q(ret__isnull=True),
                name="fillevening_one_open_a_dam",
                violation_error_message=_("A filling of this dam is already planned."),
            ),
            models.CheckConstraint(
                condition=Q(
                    load_beets__gte=1,
                    distance_m__gte=1,
                    speed_kmh__gt=0,
                    carts__gte=1,
                    loaders__gte=1,
                ),
                name="fillevening_can_cart",
                violation_error_message=_(
                    "Enter a cart, a load and how many people help."
                ),
            ),
            models.CheckConstraint(
                condition=Q(placers__gte=NEVER_ALONE),
                name="fillevening_never_alone",
                violation_error_message=_(
                    "Nobody works at the water alone: plan two or more."
                ),
            ),
        ]

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.dam_id}, {self.starts_at:%Y-%m-%d}"

    def get_absolute_url(self) -> str:
        return reverse("dam:evening", args=[self.dam.demonstration.slug, self.dam_id])

    @property
    def most_hands(self) -> int:
        """Everybody it asks for: those who load, place, drive, guide and watch."""
        return self.loaders + self.placers + 2 * self.carts + 1


class FillLoadQuerySet(OwnedQuerySet["FillLoad"]):
    demonstration_path = "evening__dam__demonstration"

    def led_by(self, user: Viewer) -> Self:
        return self.filter(evening__in=FillEvening.objects.led_by(user))

    def with_all(self) -> Self:
        return self.select_related("evening__dam__demonstration", "move__lot")

    def of_evening(self, evening: FillEvening) -> Self:
        return self.filter(evening=evening)

    def waiting(self) -> Self:
        """Keep those whose flax is not under water yet."""
        return self.filter(evening__ret__isnull=True)

    def standing(self) -> Self:
        """Leave out loads that were taken back."""
        return self.filter(move__correction=None)

    def in_order(self) -> Self:
        return self.order_by("move__at", "pk")


class FillLoad(models.Model):
    """One load that came to the dam: its move says how much of which lot, and when."""

    evening = models.ForeignKey(FillEvening, models.PROTECT, related_name="loads")
    move = models.OneToOneField(Move, models.PROTECT, related_name="load")

    objects = FillLoadQuerySet.as_manager()

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.evening_id}: {self.move_id}"


class WorkKind(models.TextChoices):
    """What was done to a dam, or seen of it, before a filling or after it."""

    REPAIR = "repair", _("repaired")
    LINING = "lining", _("lined")
    CLEARED = "cleared", _("cleared out")
    LOOKED = "looked", _("the water looked at")


class DamWorkQuerySet(ManagedQuerySet["DamWork"]):
    demonstration_path = "dam__demonstration"

    def of_dam(self, dam: Dam) -> Self:
        return self.filter(dam=dam)

    def newest_first(self) -> Self:
        return self.order_by("-day", "-pk")


class DamWork(models.Model):
    """One line on the dam itself: a repair, a lining, how its water looked."""

    dam = models.ForeignKey(Dam, models.PROTECT, related_name="works")
    kind = models.CharField(_("what"), max_length=7, choices=WorkKind)
    day = models.DateField(_("day"))
    note = models.CharField(
        _("what was done or seen"),
        max_length=300,
        help_text=_("Where, with what; of water its colour, smell and level."),
    )

    objects = DamWorkQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=WorkKind.values), name="damwork_kind_known"
            )
        ]

    class Privacy(Holds):
        words = FreeWords(_("work on a dam"), "dam:work_edit")

    def __str__(self) -> str:
        return f"{self.dam_id}: {self.kind} {self.day}"


class LeakTestQuerySet(ManagedQuerySet["LeakTest"]):
    demonstration_path = "dam__demonstration"

    def of_dam(self, dam: Dam) -> Self:
        return self.filter(dam=dam)

    def newest_first(self) -> Self:
        return self.order_by("-second_at", "-pk")


class LeakTest(models.Model):
    """The water's level twice, with nothing let in or out between."""

    dam = models.ForeignKey(Dam, models.PROTECT, related_name="leak_tests")
    first_at = models.DateTimeField(_("first measured at"))
    first_depth_m = models.DecimalField(
        _("depth then, m"),
        max_digits=6,
        decimal_places=3,
        validators=from_to("0.01", 3),
    )
    second_at = models.DateTimeField(_("measured again at"))
    second_depth_m = models.DecimalField(
        _("depth then, m"), max_digits=6, decimal_places=3, validators=from_to(0, 3)
    )
    rain_mm = models.DecimalField(
        _("rain between, mm"),
        max_digits=5,
        decimal_places=1,
        default=Decimal(0),
        validators=from_to(0, 500),
        help_text=_("From a gauge, or a straight-sided jar beside the dam."),
    )
    note = models.CharField(_("note"), max_length=300, blank=True)

    objects = LeakTestQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(second_at__gt=F("first_at")),
                name="leaktest_second_after_first",
                violation_error_message=_(
                    "Enter a second time that is after the first."
                ),
            ),
            models.CheckConstraint(
                condition=Q(first_depth_m__gt=0, second_depth_m__gte=0, rain_mm__gte=0),
                name="leaktest_levels_possible",
                violation_error_message=_(
                    "Enter each level as a depth over the floor, above 0."
                ),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a leak test of a dam"), "dam:leak_edit")

    def __str__(self) -> str:
        return f"{self.dam_id}: {self.first_at:%Y-%m-%d}"


class FlowTestQuerySet(ManagedQuerySet["FlowTest"]):
    demonstration_path = "dam__demonstration"

    def of_dam(self, dam: Dam) -> Self:
        return self.filter(dam=dam)

    def newest_first(self) -> Self:
        return self.order_by("-day", "-pk")


class FlowTest(models.Model):
    """How long the supply took to fill a bucket, up to three times."""

    dam = models.ForeignKey(Dam, models.PROTECT, related_name="flow_tests")
    day = models.DateField(_("day"))
    supply = models.CharField(
        _("where the water comes from"),
        max_length=100,
        help_text=_("Like “the mill stream” or “the spring in the top field”."),
    )
    litres = models.DecimalField(
        _("bucket, litres"),
        max_digits=6,
        decimal_places=1,
        validators=from_to("0.5", 1000),
        help_text=_("Up to the mark you fill it to."),
    )
    first_s = models.DecimalField(
        _("seconds to fill it"),
        max_digits=6,
        decimal_places=1,
        validators=from_to("0.5", 3600),
        help_text=_("Three seconds or more: take a larger bucket for a strong flow."),
    )
    second_s = models.DecimalField(
        _("second try"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=from_to("0.5", 3600),
    )
    third_s = models.DecimalField(
        _("third try"),
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=from_to("0.5", 3600),
    )

    objects = FlowTestQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(litres__gt=0, first_s__gt=0)
                & (Q(second_s__isnull=True) | Q(second_s__gt=0))
                & (Q(third_s__isnull=True) | Q(third_s__gt=0)),
                name="flowtest_takes_time",
                violation_error_message=_(
                    "Enter how many seconds the bucket took to fill."
                ),
            )
        ]

    class Privacy(Holds):
        words = FreeWords(_("a measured supply"), "dam:flow_edit")

    def __str__(self) -> str:
        return f"{self.dam_id}: {self.day}"

    @property
    def seconds(self) -> list[float]:
        """The times that were taken."""
        tries = (self.first_s, self.second_s, self.third_s)
        return [float(one) for one in tries if one is not None]


class AskedOf(models.TextChoices):
    """What somebody was asked for about the water."""

    TAKE = "take", _("taking water for the dam")
    AFTER = "after", _("the water after the ret")


class Answer(models.TextChoices):
    """What the answer was, in the organiser's own reading of it."""

    WAITING = "waiting", _("no answer yet")
    YES = "yes", _("allowed")
    TERMS = "terms", _("allowed with conditions")
    NO = "no", _("not allowed")
    NOT_NEEDED = "not_needed", _("no permission needed, they say")

    @property
    def is_answer(self) -> bool:
        return self is not Answer.WAITING


class WaterAskedQuerySet(ManagedQuerySet["WaterAsked"]):
    demonstration_path = "dam__demonstration"

    def of_dam(self, dam: Dam) -> Self:
        return self.filter(dam=dam)

    def about(self, what: AskedOf) -> Self:
        return self.filter(about=what)

    def asked_since(self, day: date) -> Self:
        return self.filter(asked_on__gte=day)

    def allowed(self) -> Self:
        """Keep those whose answer allowed what was asked, on terms or without."""
        return self.filter(answer__in=[Answer.YES, Answer.TERMS])

    def newest_first(self) -> Self:
        return self.order_by("-asked_on", "-pk")


class WaterAsked(models.Model):
    """Somebody with a say over the water was asked, and what they answered."""

    dam = models.ForeignKey(Dam, models.PROTECT, related_name="asked")
    about = models.CharField(_("about"), max_length=5, choices=AskedOf)
    who = models.CharField(
        _("asked of"),
        max_length=120,
        help_text=_("The office, landowner or water company. No private addresses."),
    )
    asked_on = models.DateField(_("asked on"))
    answer = models.CharField(
        _("answer"), max_length=10, choices=Answer, default=Answer.WAITING
    )
    answered_on = models.DateField(_("answered on"), null=True, blank=True)
    words = models.CharField(
        _("what they said"),
        max_length=500,
        blank=True,
        help_text=_("In their words, with every condition."),
    )
    reference = models.CharField(_("the paper's reference"), max_length=80, blank=True)

    objects = WaterAskedQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "water asked"
        constraints = [
            models.CheckConstraint(
                condition=Q(answer=Answer.WAITING, answered_on__isnull=True)
                | Q(
                    answer__in=[one.value for one in Answer if one.is_answer],
                    answered_on__isnull=False,
                ),
                name="waterasked_answer_has_its_day",
                violation_error_message=_("Enter both: the answer and its day."),
            ),
            models.CheckConstraint(
                condition=Q(answered_on__isnull=True)
                | Q(answered_on__gte=F("asked_on")),
                name="waterasked_answered_after_asking",
                violation_error_message=_(
                    "Choose a day for the answer that is after you asked."
                ),
            ),
            models.CheckConstraint(
                condition=Q(about__in=AskedOf.values), name="waterasked_about_known"
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a question about the water"), "dam:asked_edit")

    def __str__(self) -> str:
        return f"{self.dam_id}: {self.about} {self.asked_on}"
