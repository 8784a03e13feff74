"""What the field page sent: a receipt for every slip, and what only it writes down."""

from datetime import datetime, timedelta
from typing import Self
from uuid import UUID

from django.conf import settings
from django.db import models
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from heritage.common.models import OwnedQuerySet
from heritage.common.privacy import (
    SEALED,
    About,
    Counted,
    Emptied,
    FreeWords,
    Holds,
    Kept,
    Wrote,
)
from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer

# How long after the end the field page stays open: carting goes on in the dark.
CLOSES = timedelta(hours=6)

# How a phone's clock is spoken of: from how far out, in which unit, in what words.
CLOCK_WORDS = [
    (timedelta(days=2), timedelta(days=1), _("%d days fast"), _("%d days slow")),
    (timedelta(hours=2), timedelta(hours=1), _("%d h fast"), _("%d h slow")),
    (timedelta(minutes=1), timedelta(minutes=1), _("%d min fast"), _("%d min slow")),
]


class Kind(models.TextChoices):
    """What a slip from the field may say."""

    CAME = "came", _("came")
    STRUCK = "struck", _("did not come after all")
    LEFT = "left", _("left")
    STAYED = "stayed", _("had not left after all")
    WALK_IN = "walk_in", _("walked in")
    CHILD = "child", _("a child walked in")
    STATION = "station", _("put at a station")
    HEARD = "heard", _("heard a briefing")
    BEETS = "beets", _("beets")
    UNCOUNT = "uncount", _("beets taken back")
    NOTE = "note", _("note")
    TEMPERATURE = "temperature", _("water temperature")
    STONES = "stones", _("stones moved")
    TROD = "trod", _("treading")
    OBSERVATION = "observation", _("seen of the crop")
    MOVE = "move", _("lot moved")
    THUNDER = "thunder", _("thunder heard")
    PICTURE = "picture", _("photograph")
    MUSTER = "muster", _("everybody called out")
    SEEN = "seen", _("seen, safe")
    UNSEEN = "unseen", _("not seen after all")
    COUNTED = "counted", _("head-count ended")


class Outcome(models.TextChoices):
    """What became of a slip."""

    KEPT = "kept", _("kept")
    REFUSED = "refused", _("refused")


class ReceiptQuerySet(OwnedQuerySet["Receipt"]):
    demonstration_path = "gathering__demonstration"

    def keyed(self, key: UUID) -> Self:
        return self.filter(key=key)

    def at_gatherings(self, gatherings: QuerySet[Gathering]) -> Self:
        return self.filter(gathering__in=gatherings)

    def walk_ins(self) -> Self:
        """Keep those that wrote somebody onto the list by name."""
        return self.filter(kind__in=[Kind.WALK_IN, Kind.CHILD], volunteer__isnull=False)

    def to_settle(self) -> Self:
        """Keep those whose line stands apart from somebody's of the same name.

        Lines that were merged or erased since, or left the list, need no answer.
        """
        apart = self.filter(is_apart=True, settled_at__isnull=True)
        standing = Volunteer.objects.standing().values("pk")
        return apart.filter(volunteer__in=standing).order_by("counts_from", "pk")

    def for_book(self) -> Self:
        """Keep all, newest first, with who sent them and of whom they speak."""
        return self.select_related("by", "volunteer").order_by("-received_at", "-pk")


class Receipt(models.Model):
    """What was answered to one slip; the same slip again gets the same answer.

    ``phone_time`` and ``sent_at`` are what the phone's own clock said when the slip
    was made and when it was sent; ``received_at`` is the server's time, and
    ``counts_from`` the time the slip counts for. ``is_apart`` says that it wrote
    somebody in whose name another line bears already.
    """

    key = models.UUIDField(unique=True)
    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="receipts")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    kind = models.CharField(_("kind"), max_length=12, choices=Kind)
    outcome = models.CharField(_("outcome"), max_length=8, choices=Outcome)
    words = models.CharField(_("what it says"), max_length=300)
    volunteer = models.ForeignKey(
        Volunteer, models.PROTECT, null=True, blank=True, related_name="+"
    )
    phone_time = models.DateTimeField(_("made, by the phone"), null=True, blank=True)
    sent_at = models.DateTimeField(_("sent, by the phone"), null=True, blank=True)
    received_at = models.DateTimeField(_("received"))
    counts_from = models.DateTimeField(_("counts for"))
    is_apart = models.BooleanField(
        _("on a line apart from a namesake's"),
        default=False,
        help_text=_("Until a lead says whether the two are one person."),
    )
    settled_at = models.DateTimeField(_("settled"), null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )

    objects = ReceiptQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=Kind.values), name="receipt_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(outcome__in=Outcome.values), name="receipt_outcome_known"
            ),
            models.CheckConstraint(
                condition=Q(settled_at__isnull=True, settled_by__isnull=True)
                | Q(is_apart=True, settled_at__isnull=False, settled_by__isnull=False),
                name="receipt_settled_whole",
            ),
        ]
        indexes = [
            models.Index(fields=["gathering", "received_at"], name="receipt_by_time")
        ]

    class Privacy(Holds):
        volunteer = About(
            "slips", _("What was sent about you from the field"),
            _("So that nothing sent from the field counts twice."),
            "gathering__title kind outcome words received_at",
            erased=Emptied(_("words that the field page sent")), order="received_at",
        )  # fmt: skip
        by = Counted(_("slips sent from the field"), "received_at")
        settled_by = Counted(_("names settled"), "settled_at")
        called = _("slips from the field")
        labels = {"outcome": _("what became of it"), "words": _("words")}
        words = FreeWords(
            _("a slip from the field page"), "fieldlog:book", ["gathering"], SEALED
        )
        rules = [Kept("slips", "received_at__lt")]

    def __str__(self) -> str:
        return f"{self.kind}: {self.outcome}"

    @property
    def skew_words(self) -> str:
        """How far the phone's clock was out when it sent; nothing under a minute."""
        if self.sent_at is None:
            return ""
        out = self.sent_at - self.received_at
        for least, unit, fast, slow in CLOCK_WORDS:
            if abs(out) >= least:
                return str(fast if out > timedelta() else slow) % round(abs(out) / unit)
        return ""


class FieldNoteQuerySet(OwnedQuerySet["FieldNote"]):
    demonstration_path = "gathering__demonstration"

    def for_book(self) -> Self:
        return self.select_related("by").order_by("at", "pk")


class FieldNote(models.Model):
    """Something worth writing down at a gathering."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="notes")
    text = models.CharField(_("note"), max_length=1000)
    at = models.DateTimeField(_("written at"))
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = FieldNoteQuerySet.as_manager()

    class Privacy(Holds):
        by = Wrote(
            "notes", _("Notes you wrote in the field"), "gathering__title text at"
        )
        words = FreeWords(
            _("a note from the field"), "fieldlog:book", ["gathering"], SEALED
        )

    def __str__(self) -> str:
        return self.text


class ThunderQuerySet(OwnedQuerySet["Thunder"]):
    demonstration_path = "gathering__demonstration"

    def moments(self, gathering: Gathering) -> list[datetime]:
        """Return when thunder was heard at a gathering, in order."""
        heard = self.filter(gathering=gathering).order_by("at")
        return list(heard.values_list("at", flat=True))


class Thunder(models.Model):
    """That thunder was heard at a gathering: work stops from here."""

    gathering = models.ForeignKey(Gathering, models.PROTECT, related_name="thunder")
    at = models.DateTimeField(_("heard at"))
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)

    objects = ThunderQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "thunder"

    class Privacy(Holds):
        by = Wrote("thunder", _("Thunder you heard"), "gathering__title at")

    def __str__(self) -> str:
        return f"{self.at:%H:%M}"
