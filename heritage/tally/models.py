"""The tally book's lines: beets, other work, ground cleared, own logs."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.common.privacy import (
    ANOTHERS,
    SEALED,
    About,
    Counted,
    FreeWords,
    Holds,
    Merged,
    Stays,
    Wrote,
)
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.season.models import Plot

# What an erasing does with lines of the book.
IN_THE_BOOK = Stays(
    _("beets in the tally"),
    _("We delete nothing in the tally: they stay without the name."),
)


class Way(models.TextChoices):
    """How the flax was pulled."""

    HAND = "hand", _("by hand")
    MACHINE = "machine", _("by machine")


class Source(models.TextChoices):
    """Where a line of the book came from."""

    FIELD = "field", _("the field page")
    LEAD = "lead", _("the lead's form")
    OWN = "own", _("their own log, confirmed")
    PAPER = "paper", _("a paper sheet")


@dataclass(frozen=True, slots=True)
class Sums:
    """What the entries of one volunteer, or of one gathering, come to."""

    key: int
    beets: int
    gatherings: int
    volunteers: int


# Two lines that were found to be one person count as one.
_PERSON = Coalesce("volunteer__merged_into", "volunteer")


class EntryQuerySet(OwnedQuerySet["Entry"]):
    demonstration_path = "gathering__demonstration"

    def in_order(self) -> Self:
        return self.order_by("entered_at", "pk")

    def for_book(self) -> Self:
        """Keep all, with what a page of the book shows beside each."""
        return self.select_related(
            "volunteer", "plot", "entered_by", "corrects"
        ).in_order()

    def by(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def pulled(self, way: str) -> Self:
        return self.filter(way=way)

    def summed_by(self, key: str) -> list["Sums"]:
        """Add up the book by ``"volunteer"`` or ``"gathering"``: one query."""
        rows = (
            self.order_by()
            .values(key)
            .annotate(
                total=models.Sum("beets"),
                gatherings=models.Count("gathering", distinct=True),
                volunteers=models.Count(_PERSON, distinct=True),
            )
        )
        return [
            Sums(row[key], row["total"], row["gatherings"], row["volunteers"])
            for row in rows
        ]

    def beets_by_start(self) -> list[tuple[datetime, int]]:
        """Add up the beets of each gathering, by when it began: one query."""
        start = "gathering__starts_at"
        rows = self.order_by(start).values_list(start)
        return list(rows.annotate(models.Sum("beets")))

    def by_person_at(self, gathering: Gathering) -> dict[int, int]:
        """Add up each person's beets at one gathering: one query."""
        rows = self.filter(gathering=gathering).order_by().values_list("volunteer")
        return dict(rows.annotate(models.Sum("beets")))

    def summed_by_person_and_evening(self) -> dict[tuple[int, int], int]:
        """Add up each person's beets at each gathering: one query."""
        rows = self.order_by().values_list("volunteer", "gathering")
        return {
            (volunteer, gathering): beets
            for volunteer, gathering, beets in rows.annotate(models.Sum("beets"))
        }

    def best_evening(self) -> tuple[int, int, int] | None:
        """Return the most beets of one person at one gathering, and whose and when.

        It gives the volunteer, the gathering and the beets: one query. Of equals the
        earlier gathering stands.
        """
        rows = self.order_by().values_list("volunteer", "gathering")
        best = rows.annotate(total=models.Sum("beets")).order_by(
            "-total", "gathering__starts_at", "volunteer"
        )
        return best.first()

    def summed_by_plot(self) -> dict[int | None, int]:
        """Add up the beets of each plot, and of no plot in particular: one query."""
        rows = self.order_by().values_list("plot").annotate(models.Sum("beets"))
        return dict(rows)

    def beets(self) -> int:
        """Return the sum of the beets, corrections counted."""
        total: int | None = self.aggregate(beets=models.Sum("beets"))["beets"]
        return total or 0


class Entry(models.Model):
    """A line of the tally book: never changed, never removed, only countered."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="entries")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="entries")
    plot = models.ForeignKey(
        Plot, models.PROTECT, related_name="entries", null=True, blank=True
    )
    way = models.CharField(_("pulled"), max_length=8, choices=Way, default=Way.HAND)
    beets = models.IntegerField(_("beets"))
    source = models.CharField(
        _("comes from"), max_length=8, choices=Source, default=Source.LEAD
    )
    crew = models.UUIDField(
        null=True,
        blank=True,
        editable=False,
        help_text=_("The same for all shares of what one crew pulled together."),
    )
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    entered_at = models.DateTimeField(_("entered at"))
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = EntryQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(beets__gt=0, corrects__isnull=True)
                | Q(beets__lt=0, corrects__isnull=False) & ~Q(reason="")
                | Q(beets__gt=0, corrects__isnull=False) & ~Q(reason=""),
                name="entry_counts_up_unless_it_corrects",
                violation_error_message=_(
                    "Enter at least one beet. To take beets away, correct an "
                    "entry and say why."
                ),
            ),
            models.CheckConstraint(
                condition=Q(beets__range=(-10_000, 10_000)),
                name="entry_beets_possible",
                violation_error_message=_("Enter at most 10,000 beets at once."),
            ),
            models.CheckConstraint(
                condition=Q(way__in=Way.values), name="entry_way_known"
            ),
            models.CheckConstraint(
                condition=Q(source__in=Source.values), name="entry_source_known"
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "entries", _("Your beets"),
            _(
                "To credit you with what you pulled. We keep these for good; if you "
                "ask us to delete your data, without your name."
            ),
            "gathering__title gathering__starts_at plot__name way beets source reason "
            "entered_at",
            erased=IN_THE_BOOK, merged=Merged.OWN_WAY, order="entered_at",
        )  # fmt: skip
        entered_by = Counted(_("beets entered"), "entered_at")
        called = _("lines of beets")
        words = FreeWords(
            _("a correction in the tally book"), "tally:log", ["gathering"], SEALED
        )

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.beets}"


class WorkKind(models.TextChoices):
    """Other work, each kind in its own whole unit."""

    BANDS = "bands", _("bands cut")
    LOADS = "loads", _("loads carted")
    CARTED = "carted", _("beets carted")
    MINUTES = "minutes", _("minutes of other work")
    RUNNING = "running", _("minutes the machine ran")
    STOPPED = "stopped", _("minutes the machine stood")


class WorkQuerySet(OwnedQuerySet["Work"]):
    demonstration_path = "gathering__demonstration"

    def for_book(self) -> Self:
        """Keep all, with what a page of the book shows beside each."""
        return self.select_related("volunteer", "entered_by").order_by(
            "entered_at", "pk"
        )

    def sums(self) -> dict[str, int]:
        """Add up the work of each kind, corrections counted: one query."""
        rows = self.order_by().values_list("kind").annotate(models.Sum("amount"))
        return dict(rows)

    def sums_by_gathering(self) -> dict[tuple[int, str], int]:
        """Add up each gathering's work of each kind: one query."""
        return self._sums_by("gathering")

    def sums_by_person(self) -> dict[tuple[int, str], int]:
        """Add up each person's work of each kind: one query."""
        return self._sums_by("volunteer")

    def _sums_by(self, key: str) -> dict[tuple[int, str], int]:
        rows = self.order_by().values_list(key, "kind")
        return {
            (row, kind): amount
            for row, kind, amount in rows.annotate(models.Sum("amount"))
        }


class Work(models.Model):
    """A line of other work: never changed, never removed, only countered."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="work")
    kind = models.CharField(_("work"), max_length=8, choices=WorkKind)
    amount = models.IntegerField(_("how much"))
    volunteer = models.ForeignKey(
        Volunteer, models.PROTECT, null=True, blank=True, related_name="work"
    )
    note = models.CharField(_("note"), max_length=200, blank=True)
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    entered_at = models.DateTimeField(_("entered at"))
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = WorkQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "work"
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__gt=0, corrects__isnull=True)
                | Q(corrects__isnull=False) & ~Q(amount=0) & ~Q(note=""),
                name="work_counts_up_unless_it_corrects",
                violation_error_message=_(
                    "Enter at least 1. To take some away, correct an entry and say why."
                ),
            ),
            models.CheckConstraint(
                condition=Q(amount__range=(-10_000, 10_000)),
                name="work_amount_possible",
                violation_error_message=_("Enter at most 10,000 at once."),
            ),
            models.CheckConstraint(
                condition=Q(kind__in=WorkKind.values), name="work_kind_known"
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "work", _("Your other work in the book"), _("To credit you with it."),
            "gathering__title gathering__starts_at kind amount note entered_at",
            erased=IN_THE_BOOK, merged=Merged.OWN_WAY, order="entered_at",
        )  # fmt: skip
        entered_by = Counted(_("other work entered"), "entered_at")
        called = _("lines of other work")
        words = FreeWords(
            _("other work in the tally book"), "tally:work", ["gathering"], SEALED
        )

    def __str__(self) -> str:
        return f"{self.kind}: {self.amount}"


class PulledAreaQuerySet(OwnedQuerySet["PulledArea"]):
    demonstration_path = "gathering__demonstration"

    def in_order(self) -> Self:
        return self.order_by("entered_at", "pk")

    def for_book(self) -> Self:
        return self.select_related("plot", "entered_by").in_order()


class PulledArea(models.Model):
    """Ground that one gathering cleared of one plot; the newest measure holds.

    Measured again, it is a new line; the old ones stay. Nothing at all takes the
    measure back.
    """

    gathering = models.ForeignKey(
        Gathering, models.PROTECT, related_name="pulled_areas"
    )
    plot = models.ForeignKey(Plot, models.PROTECT, related_name="pulled_areas")
    area_m2 = models.DecimalField(
        _("square metres cleared"),
        max_digits=12,
        decimal_places=2,
        validators=[MinValueValidator(0)],
    )
    entered_at = models.DateTimeField(_("entered at"))
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = PulledAreaQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(area_m2__gte=0),
                name="pulled_area_not_negative",
                violation_error_message=_("Enter the ground cleared as 0 or more."),
            )
        ]

    class Privacy(Holds):
        entered_by = Wrote(
            "ground", _("Ground you measured"), "gathering__title plot__name entered_at"
        )

    def __str__(self) -> str:
        return f"{self.plot_id}: {self.area_m2} m²"


def newest_measures(rows: Iterable[PulledArea]) -> dict[tuple[int, int], PulledArea]:
    """Keep the newest of each gathering and plot, from rows in their order."""
    return {(row.gathering_id, row.plot_id): row for row in rows}


class OwnLogQuerySet(OwnedQuerySet["OwnLog"]):
    demonstration_path = "gathering__demonstration"

    def unanswered(self) -> Self:
        return self.filter(answer__isnull=True)

    def for_page(self) -> Self:
        """Keep all, in the order they were written, with who and where."""
        return self.select_related(
            "volunteer", "gathering", "said_by", "answer__entry", "answer__answered_by"
        ).order_by("said_at", "pk")

    def beets(self) -> int:
        total: int | None = self.aggregate(beets=models.Sum("beets"))["beets"]
        return total or 0

    def beets_by_person(self) -> dict[int, int]:
        rows = self.order_by().values_list("volunteer").annotate(models.Sum("beets"))
        return dict(rows)


class OwnLog(models.Model):
    """Beets that somebody says they pulled: no line of the book until confirmed."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="own_logs")
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="own_logs")
    way = models.CharField(_("pulled"), max_length=8, choices=Way, default=Way.HAND)
    beets = models.PositiveIntegerField(
        _("beets"), validators=[MinValueValidator(1), MaxValueValidator(1000)]
    )
    note = models.CharField(_("note"), max_length=200, blank=True)
    key = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    said_at = models.DateTimeField(_("written at"))
    said_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = OwnLogQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(beets__range=(1, 1000)),
                name="own_log_beets_possible",
                violation_error_message=_("Enter 1 to 1,000 beets."),
            ),
            models.CheckConstraint(
                condition=Q(way__in=Way.values), name="own_log_way_known"
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "own_logs", _("What you logged yourself"), _("For a lead to confirm."),
            "gathering__title gathering__starts_at way beets note said_at "
            "answer__answered_at answer=answer__reason",
            erased=IN_THE_BOOK, merged=Merged.OWN_WAY, order="said_at",
        )  # fmt: skip
        said_by = Counted(_("own logs written"), "said_at")
        called = _("own logs")
        words = FreeWords(
            _("what somebody logged of their own work"), "tally:confirm", ["gathering"],
            ANOTHERS,
        )  # fmt: skip

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.beets}"

    @property
    def is_answered(self) -> bool:
        return hasattr(self, "answer")


class Answer(models.Model):
    """A lead's answer to somebody's own log: an entry in the book, or why not."""

    own_log = models.OneToOneField(OwnLog, models.PROTECT, related_name="answer")
    entry = models.OneToOneField(
        Entry, models.PROTECT, null=True, blank=True, related_name="answer"
    )
    reason = models.CharField(_("reason"), max_length=200, blank=True)
    answered_at = models.DateTimeField(_("answered at"))
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(entry__isnull=False) | ~Q(reason=""),
                name="answer_confirms_or_says_why",
                violation_error_message=_("Say why you don't confirm it."),
            )
        ]

    class Privacy(Holds):
        answered_by = Counted(_("own logs answered"), "answered_at")
        labels = {"reason": _("answer")}
        home = "own_log__gathering__demonstration"
        words = FreeWords(
            _("the answer to somebody's own log"), "tally:confirm",
            ["own_log__gathering"], SEALED,
        )  # fmt: skip

    def __str__(self) -> str:
        return f"{self.own_log_id}: {'confirmed' if self.entry_id else 'refused'}"
