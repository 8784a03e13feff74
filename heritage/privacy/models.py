"""What people asked about what is held of them, and what was done about it."""

from datetime import date, datetime, timedelta
from typing import Self

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from heritage.common.models import ManagedQuerySet, private_key
from heritage.common.privacy import (
    KEY,
    About,
    Counted,
    FreeWords,
    Holds,
    Kept,
    Merged,
    Stays,
    Untold,
    Wrote,
)
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

# A complaint is acknowledged within 30 days: Data (Use and Access) Act 2025.
ACKNOWLEDGE_WITHIN = timedelta(days=30)
# Why names in one are left when somebody is erased.
COMPLAINED = _("It is what was complained of, kept until 3 years after it ended.")


class ErasureQuerySet(ManagedQuerySet["Erasure"]):
    def open(self) -> Self:
        """Keep those asked for, and neither carried out nor taken back."""
        return self.filter(carried_out_at__isnull=True, taken_back_at__isnull=True)

    def done(self) -> Self:
        return self.filter(carried_out_at__isnull=False)

    def about(self, volunteer: Volunteer) -> Self:
        return self.filter(volunteer=volunteer)

    def for_page(self) -> Self:
        rows = self.select_related("volunteer", "asked_by", "carried_out_by")
        return rows.order_by("-asked_at", "-pk")


class Erasure(models.Model):
    """That somebody asks to be erased, and once it is done what went and what stays."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="erasures"
    )
    volunteer = models.ForeignKey(Volunteer, models.PROTECT, related_name="erasures")
    asked_at = models.DateTimeField(_("asked at"))
    asked_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    taken_back_at = models.DateTimeField(_("taken back at"), null=True, blank=True)
    carried_out_at = models.DateTimeField(_("carried out at"), null=True, blank=True)
    carried_out_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    gone = models.JSONField(_("what went"), default=list, blank=True)
    kept = models.JSONField(_("what stays, and why"), default=list, blank=True)

    objects = ErasureQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["volunteer"],
                condition=Q(carried_out_at__isnull=True, taken_back_at__isnull=True),
                name="erasure_one_open_each",
                violation_error_message=_("This has already been asked for."),
            ),
            models.CheckConstraint(
                condition=Q(carried_out_at__isnull=True, carried_out_by__isnull=True)
                | Q(carried_out_at__isnull=False, carried_out_by__isnull=False),
                name="erasure_carried_out_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(carried_out_at__isnull=True)
                | Q(taken_back_at__isnull=True),
                name="erasure_not_taken_back_once_done",
            ),
        ]

    class Privacy(Holds):
        volunteer = About(
            "erasures", _("Your requests for deletion"),
            _("To show what was asked and done."),
            "asked_at taken_back_at carried_out_at",
            erased=Stays(), order="asked_at",
        )  # fmt: skip
        asked_by = Counted(_("erasures asked for"), "asked_at")
        carried_out_by = Counted(_("erasures carried out"), "carried_out_at")
        called = _("times they asked for deletion")
        unsearched = {
            "gone": "Our own words, with numbers.",
            "kept": "Our own words, an organiser's reason, and numbers.",
        }

    def __str__(self) -> str:
        return f"{self.volunteer_id}: {self.asked_at:%Y-%m-%d}"


class MergeQuerySet(ManagedQuerySet["Merge"]):
    def newest_first(self) -> Self:
        return self.select_related("kept", "gone", "by").order_by("-at", "-pk")


class Merge(models.Model):
    """That two lines were found to be one person, and what became of each row."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="merges"
    )
    kept = models.ForeignKey(Volunteer, models.PROTECT, related_name="merges")
    gone = models.OneToOneField(Volunteer, models.PROTECT, related_name="merge")
    at = models.DateTimeField(_("at"))
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    moved = models.JSONField(_("what was carried over"), default=dict, blank=True)
    settled = models.JSONField(_("what met, and how"), default=list, blank=True)

    objects = MergeQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(kept=F("gone")), name="merge_of_two_lines"
            )
        ]

    class Privacy(Holds):
        kept = About(
            "merges", _("Lines that were found to be yours"),
            _("To show why two lines became one."),
            "name=gone__name at",
            erased=Stays(), order="at",
        )  # fmt: skip
        gone = Untold("It is told of with the line that was kept.", Merged.STAYS)
        by = Counted(_("lines merged"), "at")
        labels = {"gone": _("the other line"), "at": _("when")}
        unsearched = {
            "moved": "Numbers of rows.", "settled": "Our own words on what met.",
        }  # fmt: skip

    def __str__(self) -> str:
        return f"{self.gone_id} into {self.kept_id}"


class TidyingQuerySet(ManagedQuerySet["Tidying"]):
    def newest_first(self) -> Self:
        return self.select_related("by").order_by("-at", "-pk")


class Tidying(models.Model):
    """One carrying out of the rules on how long things are kept, for one class."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="tidyings"
    )
    rule = models.CharField(_("class"), max_length=20)
    rows = models.PositiveIntegerField(_("rows deleted"))
    at = models.DateTimeField(_("at"))
    by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = TidyingQuerySet.as_manager()

    class Privacy(Holds):
        by = Counted(_("tidyings carried out"), "at")
        unsearched = {"rule": KEY}

    def __str__(self) -> str:
        return f"{self.rule}: {self.rows}"


class ComplaintQuerySet(ManagedQuerySet["Complaint"]):
    def open(self) -> Self:
        return self.filter(closed_at__isnull=True)

    def waiting(self) -> Self:
        """Keep those that nobody has acknowledged yet."""
        return self.filter(acknowledged_at__isnull=True)

    def since(self, moment: datetime) -> Self:
        return self.filter(made_at__gt=moment)

    def oldest_first(self) -> Self:
        return self.order_by("made_at", "pk")

    def for_page(self) -> Self:
        return self.select_related("acknowledged_by").prefetch_related("steps")


class Complaint(models.Model):
    """What somebody complains of, followed at a private address of its own."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="complaints"
    )
    key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )
    about = models.TextField(_("what it is about"), max_length=4000)
    name = models.CharField(_("name"), max_length=120, blank=True)
    contact = models.CharField(_("how to answer"), max_length=200, blank=True)
    made_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField(_("made at"))
    acknowledged_at = models.DateTimeField(_("acknowledged at"), null=True, blank=True)
    acknowledged_by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    closed_at = models.DateTimeField(_("ended at"), null=True, blank=True)
    outcome = models.TextField(_("what came of it"), max_length=2000, blank=True)

    objects = ComplaintQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(about=""),
                name="complaint_says_something",
                violation_error_message=_("Say what it is about."),
            ),
            models.CheckConstraint(
                condition=Q(acknowledged_at__isnull=True, acknowledged_by__isnull=True)
                | Q(acknowledged_at__isnull=False, acknowledged_by__isnull=False),
                name="complaint_acknowledged_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, outcome="")
                | Q(closed_at__isnull=False, acknowledged_at__isnull=False)
                & ~Q(outcome=""),
                name="complaint_ends_acknowledged_and_with_words",
                violation_error_message=_("Say what came of it."),
            ),
        ]

    class Privacy(Holds):
        made_by = Wrote(
            "complaints", _("Complaints you made"), "about name contact outcome made_at"
        )
        acknowledged_by = Counted(_("complaints acknowledged"), "acknowledged_at")
        words = FreeWords(_("a complaint"), "privacy:complaint", stays=COMPLAINED)
        rules = [
            Kept("complaints", "closed_at__lt"),
            Kept(
                "complaints", "made_at__lt", Q(closed_at__isnull=True),
                _("Not ended: say first what came of it."),
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.made_at:%Y-%m-%d}"

    @property
    def acknowledge_by(self) -> datetime:
        """By when it must have been acknowledged."""
        return self.made_at + ACKNOWLEDGE_WITHIN

    def days_left(self, day: date) -> int:
        """Return the days left to acknowledge it; below nothing it is late."""
        last = self.acknowledge_by.astimezone(self.demonstration.zone).date()
        return (last - day).days


class ComplaintStepQuerySet(ManagedQuerySet["ComplaintStep"]):
    demonstration_path = "complaint__demonstration"


class ComplaintStep(models.Model):
    """One line of a complaint's story, read by the person who complained."""

    complaint = models.ForeignKey(Complaint, models.CASCADE, related_name="steps")
    at = models.DateTimeField(_("at"))
    # Empty where the person who complained added it themselves.
    by = models.ForeignKey(
        User, models.PROTECT, null=True, blank=True, related_name="+"
    )
    text = models.CharField(_("what was done or said"), max_length=1000)

    objects = ComplaintStepQuerySet.as_manager()

    class Meta:
        ordering = ["at", "pk"]

    class Privacy(Holds):
        by = Counted(_("answers to complaints"), "at")
        words = FreeWords(
            _("a complaint"), "privacy:complaint", ["complaint"], COMPLAINED
        )

    def __str__(self) -> str:
        return self.text
