"""Lots of the crop, and the moves that say where each of them is."""

import uuid
from collections.abc import Iterable
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.common.privacy import (
    SEALED,
    About,
    Counted,
    FreeWords,
    Holds,
    Merged,
    Stays,
)
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration, Plot


class Place(models.TextChoices):
    """Where a lot can be, in the order of the work."""

    STOOK = "stook", _("in the field")
    CART = "cart", _("on the cart")
    DAM = "dam", _("in the dam")
    GRASS = "grass", _("on the grass")
    STORE = "store", _("in the store")
    BRAKE = "brake", _("at the brake")
    SCUTCH = "scutch", _("to be scutched")
    HACKLE = "hackle", _("to be hackled")
    LINE = "line", _("line")
    TOW = "tow", _("tow")
    SHIVE = "shive", _("shive")
    SEED = "seed", _("seed")
    LOST = "lost", _("lost")

    @property
    def in_beets(self) -> bool:
        """Whether what is there is counted in beets."""
        return self in IN_BEETS

    @property
    def in_grams(self) -> bool:
        """Whether what is there is weighed."""
        return self in IN_GRAMS


IN_BEETS = (Place.STOOK, Place.CART, Place.DAM, Place.GRASS, Place.STORE)
AT_WORK = (Place.BRAKE, Place.SCUTCH, Place.HACKLE)
PRODUCTS = (Place.LINE, Place.TOW, Place.SHIVE, Place.SEED)
IN_GRAMS = (*AT_WORK, *PRODUCTS)


class Loss(models.TextChoices):
    """What became of what is lost; ``MISCOUNTED`` also brings back what was found."""

    EATEN = "eaten", _("eaten")
    BLOWN = "blown", _("blown away")
    ROTTED = "rotted", _("rotted")
    SPILT = "spilt", _("spilt")
    BOLLS = "bolls", _("bolls and leaves")
    DUST = "dust", _("dust")
    SAMPLE = "sample", _("taken as a sample")
    MISCOUNTED = "miscounted", _("counted or weighed wrongly")
    OTHER = "other", _("something else")


class Rippled(models.TextChoices):
    """When the seed is combed off a lot, if it is."""

    WHOLE = "whole", _("not rippled: it goes on whole")
    BEFORE = "before", _("rippled before the dam")
    AFTER = "after", _("rippled after the grass")
    SAVED = "saved", _("rippled, and the seed saved")


class LotQuerySet(OwnedQuerySet["Lot"]):
    def by_number(self) -> Self:
        return self.order_by("number")

    def newest_first(self) -> Self:
        return self.order_by("-number")

    def with_its_pull(self) -> Self:
        """Keep all, with the evening and the ground they were pulled on."""
        return self.select_related("demonstration", "gathering", "plot")

    def pulled_at(self, gathering: Gathering, plot: Plot | None) -> Self:
        """Keep the lot that one gathering pulled of one plot."""
        return self.filter(gathering=gathering, plot=plot)

    def led_by(self, user: Viewer) -> Self:
        """Keep the lots of demonstrations that the user organises, or leads in."""
        led = Gathering.objects.led_by(user).values("demonstration")
        organised = demonstrations_of(user, organised=True)
        return self.filter(Q(demonstration__in=led) | Q(demonstration__in=organised))


class Lot(models.Model):
    """A part of the crop that stays together: one evening's pull of one plot.

    What was pulled is read from the tally and kept nowhere else. A lot made by parting
    another, or by putting some together, has no evening of its own.
    """

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="lots"
    )
    number = models.PositiveIntegerField(_("number"), validators=[MinValueValidator(1)])
    gathering = models.ForeignKey(
        Gathering,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="lots",
        verbose_name=_("pulled at"),
    )
    plot = models.ForeignKey(
        Plot, models.PROTECT, null=True, blank=True, related_name="lots"
    )
    made_at = models.DateTimeField(_("there since"))
    rippled = models.CharField(
        _("seed"), max_length=8, choices=Rippled, default=Rippled.WHOLE
    )

    objects = LotQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "number"],
                name="lot_number_once",
                violation_error_message=_(
                    "There is already a lot with that number. Choose another."
                ),
            ),
            models.UniqueConstraint(
                fields=["gathering", "plot"],
                name="lot_once_an_evening_and_plot",
                violation_error_message=_(
                    "That evening's flax from that plot already has a lot."
                ),
            ),
            models.UniqueConstraint(
                fields=["gathering"],
                condition=Q(plot__isnull=True),
                name="lot_once_an_evening_without_plot",
                violation_error_message=_("That evening's flax already has a lot."),
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1),
                name="lot_number_from_one",
                violation_error_message=_("Enter a lot number of 1 or more."),
            ),
            models.CheckConstraint(
                condition=Q(plot__isnull=True) | Q(gathering__isnull=False),
                name="lot_of_a_plot_was_pulled",
                violation_error_message=_("Choose the evening on which it was pulled."),
            ),
            models.CheckConstraint(
                condition=Q(rippled__in=Rippled.values), name="lot_rippled_known"
            ),
        ]

    class Privacy(Holds):
        """Nothing of people."""

    def __str__(self) -> str:
        return str(_("Lot %d") % self.number)

    def get_absolute_url(self) -> str:
        return reverse("lots:lot", args=[self.demonstration.slug, self.pk])

    @property
    def is_pulled(self) -> bool:
        """Whether it is an evening's pull, and not made from other lots."""
        return self.gathering_id is not None


class MoveQuerySet(OwnedQuerySet["Move"]):
    demonstration_path = "lot__demonstration"

    def led_by(self, user: Viewer) -> Self:
        """Keep the moves of lots that the user may move."""
        return self.filter(lot__in=Lot.objects.led_by(user))

    def touching(self, lots: Iterable[Lot | int]) -> Self:
        """Keep what came to these lots or went from them."""
        lots = list(lots)
        return self.filter(Q(lot__in=lots) | Q(to_lot__in=lots))

    def out_of(self, lot: Lot, place: str) -> Self:
        return self.filter(lot=lot, source=place)

    def into(self, lot: Lot, place: str) -> Self:
        return self.filter(to_lot=lot, target=place)

    def in_order(self) -> Self:
        return self.order_by("at", "pk")

    def standing(self) -> Self:
        """Leave out what was corrected, and the corrections."""
        return self.filter(corrects__isnull=True, correction__isnull=True)

    def for_page(self) -> Self:
        """Keep all in order, with what a page shows beside each."""
        return self.select_related(
            "lot__demonstration", "to_lot__demonstration", "who__merged_into",
            "entered_by", "corrects", "correction",
        ).in_order()  # fmt: skip


# Which ends a move may have, and the unit it is counted in. What is empty is said,
# since a database lets pass what it cannot tell.
_LOST = Q(source=Place.LOST) | Q(target=Place.LOST)
_BEETS = Q(
    Q(source__in=IN_BEETS, target__in=(*IN_BEETS, Place.LOST))
    | Q(source=Place.LOST, target__in=IN_BEETS),
    beets__isnull=False,
    beets__gte=1,
    dry_g__isnull=True,
)
_GRAMS = Q(
    Q(source__in=IN_GRAMS, target__in=(*IN_GRAMS, Place.LOST))
    | Q(source=Place.LOST, target__in=IN_GRAMS),
    beets__isnull=True,
    dry_g__isnull=False,
    dry_g__gte=1,
)
_OPENED = Q(
    Q(source__in=IN_BEETS, target=Place.BRAKE)
    | Q(source=Place.BRAKE, target__in=IN_BEETS, corrects__isnull=False),
    beets__isnull=False,
    beets__gte=1,
    dry_g__isnull=False,
    dry_g__gte=1,
)
_RIPPLED = Q(
    Q(source__in=IN_BEETS, target=Place.SEED)
    | Q(source=Place.SEED, target__in=IN_BEETS, corrects__isnull=False),
    beets__isnull=True,
    dry_g__isnull=False,
    dry_g__gte=1,
)


class Move(models.Model):
    """So much of a lot went from one place to another: only ever added to.

    A wrong one is countered by another that goes back at the same moment.
    """

    lot = models.ForeignKey(Lot, models.PROTECT, related_name="moves")
    source = models.CharField(_("from"), max_length=8, choices=Place)
    to_lot = models.ForeignKey(Lot, models.PROTECT, related_name="moves_in")
    target = models.CharField(_("to"), max_length=8, choices=Place)
    beets = models.PositiveIntegerField(
        _("beets"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    dry_g = models.PositiveIntegerField(
        _("dry grams"), null=True, blank=True, validators=[MinValueValidator(1)]
    )
    weighed_g = models.PositiveIntegerField(
        _("grams on the scale"), null=True, blank=True
    )
    moisture_permille = models.PositiveSmallIntegerField(
        _("water in a thousand"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(800)],
    )
    loss = models.CharField(
        _("what became of it"), max_length=10, choices=Loss, blank=True
    )
    at = models.DateTimeField(_("moved at"))
    who = models.ForeignKey(
        Volunteer,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="moves",
        verbose_name=_("who did it"),
    )
    note = models.CharField(_("note"), max_length=200, blank=True)
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="correction"
    )
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    entered_at = models.DateTimeField(_("entered at"))
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        help_text=_("Nobody where the site itself wrote it from older rows."),
    )

    objects = MoveQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(lot=F("to_lot"), source=F("target")),
                name="move_goes_somewhere",
                violation_error_message=_("It is already there: choose another place."),
            ),
            models.CheckConstraint(
                condition=_BEETS | _GRAMS | _OPENED | _RIPPLED,
                name="move_in_its_unit",
                violation_error_message=_(
                    "Count beets, and weigh fibre from the brake on. Broken flax "
                    "can't be beets again."
                ),
            ),
            models.CheckConstraint(
                condition=Q(~_LOST, loss="") | Q(_LOST, loss__in=Loss.values),
                name="move_lost_says_how",
                violation_error_message=_("Say what became of what was lost."),
            ),
            models.CheckConstraint(
                condition=~Q(source=Place.LOST)
                | Q(loss=Loss.MISCOUNTED)
                | Q(corrects__isnull=False),
                name="move_found_was_miscounted",
                violation_error_message=_(
                    "Lost flax can come back only if it was counted wrongly."
                ),
            ),
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(reason=""),
                name="move_corrects_with_reason",
                violation_error_message=_("Say why: the reason is kept."),
            ),
            models.CheckConstraint(
                condition=Q(weighed_g__isnull=True, moisture_permille__isnull=True)
                | Q(
                    weighed_g__isnull=False,
                    dry_g__isnull=False,
                    weighed_g__gte=F("dry_g"),
                ),
                name="move_weighed_with_water",
                violation_error_message=_(
                    "The dry weight can't be more than the scale showed."
                ),
            ),
        ]

    class Privacy(Holds):
        who = About(
            "moves", _("Moves of the crop you made"),
            _("To know who can be asked about it."),
            "lot__number source target beets dry_g at note",
            erased=Stays(
                _("moves of the crop"),
                _("We keep these without the name."),
            ),
            merged=Merged.STAYS, order="at",
        )  # fmt: skip
        entered_by = Counted(_("moves of the crop entered"), "entered_at")
        called = _("moves of the crop")
        words = FreeWords(_("a move of a lot"), "lots:lot", ["lot"], SEALED)

    def __str__(self) -> str:
        return f"{self.lot_id}: {self.source} to {self.target}"

    @property
    def is_correction(self) -> bool:
        return self.corrects_id is not None

    @property
    def done_by(self) -> Volunteer | None:
        """Who did it: after two lines were merged, the person that was kept."""
        return self.who and (self.who.merged_into or self.who)
