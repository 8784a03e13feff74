"""The treading rota: its plan, its turns, and what each person says of each turn."""

from collections.abc import Collection, Iterable
from datetime import datetime, time
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.dam.models.dams import Ret
from heritage.people.models import Competence, Volunteer
from heritage.safety.models import Briefing

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
        _("in so many days running"),
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
        verbose_name=_("what shows that somebody knows the work"),
        help_text=_("Then one in each turn has it, confirmed by an organiser."),
    )
    taken_at = models.DateTimeField(_("rota taken at"), null=True, blank=True)
    edition = models.PositiveIntegerField(_("times people were written to"), default=0)

    objects = RotaPlanQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")),
                name="rotaplan_ends_after_it_begins",
                violation_error_message=_("The last day is not before the first."),
            ),
            models.CheckConstraint(
                condition=Q(evening__gt=F("morning")),
                name="rotaplan_morning_before_evening",
                violation_error_message=_("The morning's turn comes first."),
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
                violation_error_message=_("There is a turn then already."),
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
                violation_error_message=_("A treading is written down afterwards."),
            ),
        ]

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

    def by_turn(self) -> Self:
        return self.select_related("turn").order_by("turn__at", "pk")


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
                violation_error_message=_("They have answered for this turn already."),
            ),
            models.CheckConstraint(
                condition=Q(state__in=TreaderState.values), name="treader_state_known"
            ),
            models.UniqueConstraint(
                fields=["turn"],
                condition=Q(watches=True),
                name="treader_one_watcher_a_turn",
                violation_error_message=_("Somebody watches this turn already."),
            ),
            models.CheckConstraint(
                condition=Q(watches=False)
                | Q(state=TreaderState.ON)
                | Q(trod__isnull=False),
                name="treader_watcher_is_on_or_came",
                violation_error_message=_("Only somebody on the turn watches it."),
            ),
            models.CheckConstraint(
                condition=~Q(state=TreaderState.CANNOT, by_hand=True),
                name="treader_cannot_is_their_own_word",
                violation_error_message=_(
                    "Nobody is put on or kept off who cannot come."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.turn_id}: {self.volunteer_id} {self.state}"

    @property
    def is_on(self) -> bool:
        return self.state == TreaderState.ON
