"""Machines with their guards and the day's check; stones and what they weigh."""

from datetime import datetime
from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet, Viewer, demonstrations_of
from heritage.common.privacy import (
    SEALED,
    FreeWords,
    Holds,
    Wrote,
)
from heritage.people.models import Competence, User
from heritage.season.models import Demonstration


class MachineKind(models.TextChoices):
    """What sort of machine it is."""

    PULLER = "puller", _("flax puller, driven by belts")
    TRACTOR = "tractor", _("tractor")
    TRAILER = "trailer", _("trailer or cart")
    BREAKER = "breaker", _("breaker or scutcher")
    OTHER = "other", _("other machine")


class MachineQuerySet(OwnedQuerySet["Machine"]):
    def by_name(self) -> Self:
        return self.select_related("worked_by").order_by("name", "pk")

    def with_guards(self) -> Self:
        return self.prefetch_related("guards")

    def for_page(self) -> Self:
        """Keep all, with what a page always says of a machine."""
        return self.with_guards().select_related("worked_by", "demonstration")

    def run_by(self, user: Viewer, since: datetime) -> Self:
        """Keep those whose guards the user may check: an organiser, or a lead.

        A lead's are those of a demonstration where they lead a gathering that ends
        after ``since``.
        """
        if not isinstance(user, User):
            return self.none()
        organised = Q(demonstration__in=demonstrations_of(user, organised=True))
        leading = user.volunteers.active().leading_after(since)
        return self.filter(
            organised | Q(demonstration__in=leading.values("demonstration"))
        )


class Machine(models.Model):
    """A machine shown or used here, and the rules that go with it."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="machines"
    )
    name = models.CharField(_("machine"), max_length=80)
    kind = models.CharField(_("kind"), max_length=8, choices=MachineKind)
    worked_by = models.ForeignKey(
        Competence,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="machines",
        verbose_name=_("who may work it"),
        help_text=_("Only those with this confirmed."),
    )
    stop = models.CharField(_("how it is stopped, and by whom"), max_length=200)
    fuel = models.CharField(_("fuel, and where it is kept"), max_length=200, blank=True)
    barrier = models.CharField(
        _("barrier and distance for people"), max_length=200, blank=True
    )
    note = models.CharField(_("note"), max_length=400, blank=True)

    objects = MachineQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "name"],
                name="machine_name_once",
                violation_error_message=_(
                    "There is already a machine with that name. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=MachineKind.values), name="machine_kind_known"
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a machine"), "machines:edit_machine")

    def __str__(self) -> str:
        return self.name


class Guard(models.Model):
    """A guard that must be in its place before the machine runs in public."""

    machine = models.ForeignKey(Machine, models.CASCADE, related_name="guards")
    name = models.CharField(_("guard"), max_length=120)

    objects = models.Manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "name"],
                name="guard_name_once",
                violation_error_message=_("That guard is already on the list."),
            )
        ]

    class Privacy(Holds):
        home = "machine__demonstration"
        words = FreeWords(
            _("a guard of a machine"), "machines:edit_machine", ["machine"]
        )

    def __str__(self) -> str:
        return self.name


class MachineCheckQuerySet(OwnedQuerySet["MachineCheck"]):
    demonstration_path = "machine__demonstration"

    def since(self, moment: datetime) -> Self:
        return self.filter(checked_at__gte=moment)

    def last_looks(self) -> Self:
        """Keep the newest look at each machine, whenever that was."""
        newest = (
            self.model._default_manager.filter(machine=models.OuterRef("machine"))
            .order_by("-checked_at", "-pk")
            .values("pk")[:1]
        )
        return self.filter(pk=models.Subquery(newest))

    def newest_first(self) -> Self:
        return self.select_related("machine", "checked_by").order_by(
            "-checked_at", "-pk"
        )


class MachineCheck(models.Model):
    """One look at a machine's guards; with one missing it does not run in public."""

    machine = models.ForeignKey(Machine, models.PROTECT, related_name="checks")
    present = models.JSONField(_("in place"), default=list, blank=True)
    missing = models.JSONField(_("missing or damaged"), default=list, blank=True)
    may_run = models.BooleanField(_("may run in public"))
    note = models.CharField(_("note"), max_length=300, blank=True)
    checked_at = models.DateTimeField(_("checked at"))
    checked_by = models.ForeignKey(User, models.PROTECT, related_name="+")

    objects = MachineCheckQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(may_run=False) | Q(missing=[]),
                name="machine_check_missing_guard_stops_it",
                violation_error_message=_(
                    "A guard is missing: the machine doesn't run in public today."
                ),
            )
        ]

    class Privacy(Holds):
        checked_by = Wrote(
            "machines", _("Machines you checked"),
            "machine__name may_run note checked_at",
        )  # fmt: skip
        labels = {"may_run": _("may run"), "checked_at": _("when")}
        words = FreeWords(
            _("the check of a machine"), "machines:machine", ["machine"], SEALED
        )
        unsearched = dict.fromkeys(
            ["present", "missing"], "Names of guards, which are searched."
        )

    def __str__(self) -> str:
        return f"{self.machine_id}: {self.checked_at:%Y-%m-%d}"


class StoneQuerySet(OwnedQuerySet["Stone"]):
    def heaviest_first(self) -> Self:
        return self.order_by("-weight_kg", "mark", "pk")


class Stone(models.Model):
    """A stone for the dam, or a number alike, weighed once and marked."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="stones"
    )
    mark = models.CharField(_("mark on it"), max_length=40)
    weight_kg = models.DecimalField(
        _("weight in kilograms"),
        max_digits=6,
        decimal_places=1,
        validators=[MinValueValidator(0.1), MaxValueValidator(2000)],
    )
    how_many = models.PositiveSmallIntegerField(
        _("how many"), default=1, validators=[MinValueValidator(1)]
    )
    weighed = models.BooleanField(
        _("weighed, not guessed"), default=True, help_text=_("A guess is marked so.")
    )

    objects = StoneQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "mark"],
                name="stone_mark_once",
                violation_error_message=_(
                    "There is already a stone with that mark. Choose another."
                ),
            ),
            models.CheckConstraint(
                condition=Q(weight_kg__gt=0, how_many__gte=1),
                name="stone_weighs_something",
                violation_error_message=_("Enter a weight above 0."),
            ),
        ]

    class Privacy(Holds):
        words = FreeWords(_("a stone"), "machines:edit_stone")

    def __str__(self) -> str:
        return self.mark
