"""After the dam: what lies on the grass, what is in the store, and the work to line."""

from collections.abc import Iterable
from datetime import datetime
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.calc.fibre import Smell as StackSmell
from heritage.common.models import OwnedQuerySet
from heritage.common.privacy import SEALED, Counted, FreeWords, Holds
from heritage.lots.models import Lot, Move, Place
from heritage.season.models import Demonstration


class Way(models.TextChoices):
    """What the flax does on the grass; neither way is wrong."""

    AFTER_DAM = "dam", _("to finish and dry after the dam")
    DEW = "dew", _("to ret by dew, instead of the dam")
    AGAIN = "again", _("to dry again, out of the store")

    @property
    def places(self) -> tuple[Place, ...]:
        """Where what is spread comes from."""
        return {
            Way.AFTER_DAM: (Place.GRASS,),
            Way.DEW: (Place.STOOK, Place.CART),
            Way.AGAIN: (Place.STORE,),
        }[self]


class SpreadingQuerySet(OwnedQuerySet["Spreading"]):
    def newest_first(self) -> Self:
        return self.order_by("-spread_at", "-pk")

    def for_page(self) -> Self:
        return self.select_related("demonstration", "entered_by")


class Spreading(models.Model):
    """Some lots spread on the grass together."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="spreadings"
    )
    way = models.CharField(_("what for"), max_length=5, choices=Way)
    spread_at = models.DateTimeField(_("spread at"))
    where = models.CharField(_("where"), max_length=120)
    area_m2 = models.PositiveIntegerField(
        _("grass used, m²"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(200_000)],
    )
    note = models.CharField(_("note"), max_length=300, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField(_("entered at"))

    objects = SpreadingQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(way__in=Way.values), name="spreading_way_known"
            ),
            models.CheckConstraint(
                condition=Q(spread_at__lte=F("entered_at")),
                name="spreading_has_been",
                violation_error_message=_(
                    "That time is in the future. Enter an earlier one."
                ),
            ),
        ]

    class Privacy(Holds):
        entered_by = Counted(_("spreadings on the grass entered"), "entered_at")
        words = FreeWords(_("a spreading on the grass"), "fibre:edit_spreading")

    def __str__(self) -> str:
        return f"{self.where}, {self.spread_at:%Y-%m-%d}"

    def get_absolute_url(self) -> str:
        return reverse("fibre:spreading", args=[self.demonstration.slug, self.pk])

    @property
    def is_dew(self) -> bool:
        """Whether dew alone rets it."""
        return self.way == Way.DEW


class SpreadLotQuerySet(OwnedQuerySet["SpreadLot"]):
    demonstration_path = "spreading__demonstration"

    def in_order(self) -> Self:
        return self.select_related("lot__demonstration").order_by("lot__number", "pk")


class SpreadLot(models.Model):
    """A lot that was spread, whole: a part is made a lot of its own first."""

    spreading = models.ForeignKey(Spreading, models.PROTECT, related_name="lots")
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="spreadings")
    beets = models.PositiveIntegerField(
        _("beets spread"), validators=[MinValueValidator(1)]
    )

    objects = SpreadLotQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["spreading", "lot"],
                name="spread_lot_once",
                violation_error_message=_("That lot is already in this spreading."),
            ),
            models.CheckConstraint(
                condition=Q(beets__gte=1),
                name="spread_lot_is_something",
                violation_error_message=_("Spread one beet or more."),
            ),
        ]

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.spreading_id}: {self.lot_id}"


class Done(models.TextChoices):
    """What was done with flax on the grass, or found of it."""

    TURNED = "turned", _("turned")
    GAITED = "gaited", _("stood up to dry in gaits (loose cones)")
    NOT_YET = "not_yet", _("tested: the fibre still holds to the wood")
    NEARLY = "nearly", _("tested: it comes off in part")
    READY = "ready", _("tested: the wood breaks and leaves sound fibre")

    @property
    def is_test(self) -> bool:
        """Whether a stalk was tried."""
        return self in TESTS


TESTS = (Done.NOT_YET, Done.NEARLY, Done.READY)


class GrassEntryQuerySet(OwnedQuerySet["GrassEntry"]):
    demonstration_path = "spreading__demonstration"

    def in_order(self) -> Self:
        return self.order_by("at", "pk")


class GrassEntry(models.Model):
    """One line of what was done with a spreading."""

    spreading = models.ForeignKey(Spreading, models.PROTECT, related_name="entries")
    at = models.DateTimeField(_("when"))
    what = models.CharField(_("what was done"), max_length=8, choices=Done)
    note = models.CharField(_("note"), max_length=300, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField(_("entered at"))

    objects = GrassEntryQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(what__in=Done.values), name="grass_entry_known"
            ),
            models.CheckConstraint(
                condition=Q(at__lte=F("entered_at")),
                name="grass_entry_has_been",
                violation_error_message=_(
                    "That time is in the future. Enter an earlier one."
                ),
            ),
        ]

    class Privacy(Holds):
        entered_by = Counted(_("lines about the grass entered"), "entered_at")
        words = FreeWords(_("a line about the grass"), "fibre:grass_entry")

    def __str__(self) -> str:
        return f"{self.spreading_id}: {self.what}"


class Wet(models.TextChoices):
    """How wet a day on the grass was."""

    DRY = "dry", _("dry, night and day")
    DEW = "dew", _("dew or drizzle")
    RAIN = "rain", _("rain")


class GrassWeatherQuerySet(OwnedQuerySet["GrassWeather"]):
    def in_order(self) -> Self:
        return self.order_by("day")


class GrassWeather(models.Model):
    """How wet and how warm one day on the grass was."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="grass_weather"
    )
    day = models.DateField(_("day"))
    wet = models.CharField(_("how wet"), max_length=4, choices=Wet)
    mean_c = models.DecimalField(
        _("mean temperature, °C"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-30), MaxValueValidator(45)],
        help_text=_("Optional. Halfway between the warmest and the coldest."),
    )

    objects = GrassWeatherQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "day"],
                name="grass_weather_once_a_day",
                violation_error_message=_("You have already entered that day."),
            ),
            models.CheckConstraint(
                condition=Q(wet__in=Wet.values), name="grass_weather_wet_known"
            ),
        ]

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.day}: {self.wet}"


class DryBy(models.TextChoices):
    """How straw was found to be dry enough, or not."""

    HAND = "hand", _("by hand: it breaks with a crack")
    WEIGHT = "weight", _("by weight: one marked bundle, weighed again")
    OVEN = "oven", _("by oven: a sample, dried until it lost no more")
    METER = "meter", _("by a moisture meter")


class DryTestQuerySet(OwnedQuerySet["DryTest"]):
    demonstration_path = "lot__demonstration"

    def newest_first(self) -> Self:
        return self.order_by("-at", "-pk")

    def with_their_lots(self) -> Self:
        return self.select_related("lot__demonstration")


class DryTest(models.Model):
    """How dry some of a lot was found to be.

    By weight, ``before_g`` at ``before_permille`` became ``after_g``; by oven it became
    ``after_g`` without water.
    """

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="dry_tests")
    at = models.DateTimeField(_("tested at"))
    way = models.CharField(_("how"), max_length=6, choices=DryBy)
    is_dry = models.BooleanField(_("dry enough by hand"), null=True, blank=True)
    before_g = models.PositiveIntegerField(_("before, g"), null=True, blank=True)
    before_permille = models.PositiveSmallIntegerField(
        _("water in a thousand before"), null=True, blank=True
    )
    after_g = models.PositiveIntegerField(_("after, g"), null=True, blank=True)
    moisture_permille = models.PositiveSmallIntegerField(
        _("water in a thousand"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(950)],
    )
    note = models.CharField(_("note"), max_length=300, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField(_("entered at"))

    objects = DryTestQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(way=DryBy.HAND, is_dry__isnull=False,
                            moisture_permille__isnull=True)
                | Q(way__in=[DryBy.WEIGHT, DryBy.OVEN, DryBy.METER],
                    is_dry__isnull=True, moisture_permille__isnull=False),
                name="dry_test_found_something",
                violation_error_message=_("Say how dry you found it."),
            ),
            models.CheckConstraint(
                condition=Q(at__lte=F("entered_at")),
                name="dry_test_has_been",
                violation_error_message=_(
                    "That time is in the future. Enter an earlier one."
                ),
            ),
        ]  # fmt: skip

    class Privacy(Holds):
        entered_by = Counted(_("tests of dryness entered"), "entered_at")
        words = FreeWords(_("a test of dryness"), "fibre:store", [], SEALED)

    def __str__(self) -> str:
        return f"{self.lot_id}: {self.way}"

    @property
    def moisture_pct(self) -> float | None:
        """The water found, of the whole weight."""
        permille = self.moisture_permille
        return None if permille is None else permille / 10


class Air(models.TextChoices):
    """How the air goes through a stack."""

    GOOD = "good", _("air goes under and through it")
    POOR = "poor", _("it is stuffy or wet somewhere")


class SmellOf(models.TextChoices):
    """What a stack smells of."""

    SWEET = StackSmell.SWEET.value, _("dry and sweet")
    MUSTY = StackSmell.MUSTY.value, _("musty")
    CARAMEL = StackSmell.CARAMEL.value, _("of caramel or tobacco")
    SMOKE = StackSmell.SMOKE.value, _("of smoke or burning")


class StoreCheckQuerySet(OwnedQuerySet["StoreCheck"]):
    def newest_first(self) -> Self:
        return self.order_by("-at", "-pk")


class StoreCheck(models.Model):
    """One look at the store: air, heat and smell."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="store_checks"
    )
    at = models.DateTimeField(_("looked at"))
    air = models.CharField(_("air"), max_length=4, choices=Air)
    smell = models.CharField(_("smell"), max_length=7, choices=SmellOf)
    temp_c = models.DecimalField(
        _("warmest inside, °C"),
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-30), MaxValueValidator(200)],
        help_text=_("Optional. On a thermometer pushed in, not by hand."),
    )
    moisture_permille = models.PositiveSmallIntegerField(
        _("water in a thousand"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(950)],
    )
    note = models.CharField(_("note"), max_length=300, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField(_("entered at"))

    objects = StoreCheckQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(air__in=Air.values, smell__in=SmellOf.values),
                name="store_check_found_known",
            ),
            models.CheckConstraint(
                condition=Q(at__lte=F("entered_at")),
                name="store_check_has_been",
                violation_error_message=_(
                    "That time is in the future. Enter an earlier one."
                ),
            ),
        ]

    class Privacy(Holds):
        entered_by = Counted(_("looks at the store entered"), "entered_at")
        words = FreeWords(_("a look at the store"), "fibre:store", [], SEALED)

    def __str__(self) -> str:
        return f"{self.demonstration_id}: {self.at:%Y-%m-%d %H:%M}"

    @property
    def moisture_pct(self) -> float | None:
        """The water found, of the whole weight."""
        permille = self.moisture_permille
        return None if permille is None else permille / 10


class Work(models.TextChoices):
    """The three pieces of work from straw to line, in their order."""

    BREAKING = "breaking", _("breaking")
    SCUTCHING = "scutching", _("scutching")
    HACKLING = "hackling", _("hackling")

    @property
    def place(self) -> Place:
        """Where what is worked lies."""
        return AT_WORK[self]

    @property
    def onward(self) -> Place:
        """Where what it gives goes on to."""
        return {
            Work.BREAKING: Place.SCUTCH,
            Work.SCUTCHING: Place.HACKLE,
            Work.HACKLING: Place.LINE,
        }[self]


AT_WORK = {
    Work.BREAKING: Place.BRAKE,
    Work.SCUTCHING: Place.SCUTCH,
    Work.HACKLING: Place.HACKLE,
}


class SessionQuerySet(OwnedQuerySet["Session"]):
    def newest_first(self) -> Self:
        return self.order_by("-began_at", "-pk")

    def for_page(self) -> Self:
        return self.select_related("demonstration", "lot__demonstration", "entered_by")

    def since(self, moment: datetime) -> Self:
        return self.filter(began_at__gte=moment)


class Session(models.Model):
    """One go at breaking, scutching or hackling: what it did to one lot."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="fibre_sessions"
    )
    work = models.CharField(_("work"), max_length=9, choices=Work)
    lot = models.ForeignKey(Lot, models.PROTECT, related_name="fibre_sessions")
    began_at = models.DateTimeField(_("began at"))
    ended_at = models.DateTimeField(_("ended at"))
    where = models.CharField(_("where"), max_length=120, blank=True)
    people = models.PositiveSmallIntegerField(
        _("people who worked"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(200)],
    )
    in_dry_g = models.PositiveIntegerField(
        _("worked, dry grams"), validators=[MinValueValidator(1)]
    )
    note = models.CharField(_("note"), max_length=300, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    entered_at = models.DateTimeField(_("entered at"))

    objects = SessionQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(work__in=Work.values), name="session_work_known"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__gt=F("began_at")),
                name="session_ends_after_it_began",
                violation_error_message=_(
                    "The end is before the start. Check both times."
                ),
            ),
            models.CheckConstraint(
                condition=Q(ended_at__lte=F("entered_at")),
                name="session_has_been",
                violation_error_message=_(
                    "That time is in the future. Enter an earlier one."
                ),
            ),
            models.CheckConstraint(
                condition=Q(in_dry_g__gte=1),
                name="session_worked_something",
                violation_error_message=_("Say what was worked."),
            ),
        ]

    class Privacy(Holds):
        entered_by = Counted(_("sessions of fibre work entered"), "entered_at")
        words = FreeWords(_("a session of fibre work"), "fibre:session", stays=SEALED)

    def __str__(self) -> str:
        return f"{self.get_work_display()}, {self.began_at:%Y-%m-%d}"

    def get_absolute_url(self) -> str:
        return reverse("fibre:session", args=[self.demonstration.slug, self.pk])

    @property
    def hours(self) -> float:
        """How long it went on."""
        return (self.ended_at - self.began_at).total_seconds() / 3600


class SessionMoveQuerySet(OwnedQuerySet["SessionMove"]):
    demonstration_path = "session__demonstration"

    def standing(self) -> Self:
        """Leave out the moves that were corrected."""
        return self.filter(move__correction__isnull=True)

    def of_sessions(self, sessions: Iterable[Session]) -> Self:
        return self.filter(session__in=sessions).select_related("move")


class SessionMove(models.Model):
    """A move of the crop that a session made."""

    session = models.ForeignKey(Session, models.PROTECT, related_name="moves")
    move = models.OneToOneField(Move, models.PROTECT, related_name="in_session")

    objects = SessionMoveQuerySet.as_manager()

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return f"{self.session_id}: {self.move_id}"
