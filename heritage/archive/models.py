"""The archive of a season: one file, asked for, made, and read through again."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.models import ManagedQuerySet, private_key
from heritage.common.privacy import CODE, KEY, Counted, Holds
from heritage.season.models import Demonstration

# Longer than this without a sign of life, and nobody is making one any more.
QUIET = timedelta(minutes=15)


class State(models.TextChoices):
    """How far an archive is."""

    ASKED = "asked", _("waiting to be made")
    MAKING = "making", _("being made")
    MADE = "made", _("made")
    FAILED = "failed", _("not made")


GOING = (State.ASKED, State.MAKING)


class WhyNot(models.TextChoices):
    """Why an archive was not made."""

    NO_ROOM = "no_room", _("There is no room left where files are kept.")
    BROKE_OFF = "broke_off", _("Something went wrong, and it broke off.")
    ERASED = "erased", _("Somebody was erased while it was being made.")


class ArchiveQuerySet(ManagedQuerySet["Archive"]):
    def newest_first(self) -> Self:
        return self.order_by("-pk")

    def made(self) -> Self:
        return self.filter(state=State.MADE)

    def going(self) -> Self:
        return self.filter(state__in=GOING)

    def quiet_since(self, moment: datetime) -> Self:
        """Keep those that are going on, and of which nothing was heard since."""
        return self.going().filter(told_at__lt=moment)


def archive_path(archive: "Archive", name: str) -> str:
    """Name the file by a key that nobody can guess."""
    return f"{archive.demonstration_id}/archives/{archive.key}.zip"


class Archive(models.Model):
    """One package of a season, with how far it is and whether it is still whole."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="archives"
    )
    key = models.CharField(
        max_length=40, unique=True, default=private_key, editable=False
    )
    state = models.CharField(
        _("state"), max_length=6, choices=State, default=State.ASKED
    )
    why_not = models.CharField(
        _("why it was not made"), max_length=9, choices=WhyNot, blank=True
    )
    asked_at = models.DateTimeField(_("asked for at"))
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    told_at = models.DateTimeField(_("last heard of at"))
    done = models.PositiveIntegerField(_("pictures done"), default=0)
    total = models.PositiveIntegerField(_("pictures in all"), default=0)
    made_at = models.DateTimeField(_("made at"), null=True, blank=True)
    file = models.FileField(upload_to=archive_path, blank=True)
    octets = models.PositiveBigIntegerField(_("bytes"), default=0)
    mark = models.CharField(_("mark of its lists"), max_length=128, blank=True)
    shown = models.JSONField(_("pictures on its website"), default=list, blank=True)
    missing = models.PositiveIntegerField(_("files that were missing"), default=0)
    checked_at = models.DateTimeField(_("last read through at"), null=True, blank=True)
    findings = models.JSONField(_("what is wrong with it"), default=list, blank=True)

    objects = ArchiveQuerySet.as_manager()

    class Meta:
        verbose_name = _("archive of the season")
        verbose_name_plural = _("archives of the season")
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration"],
                condition=Q(state__in=GOING),
                name="archive_one_at_a_time",
                violation_error_message=_(
                    "An archive is already being made. Wait for it."
                ),
            ),
            models.CheckConstraint(
                condition=~Q(state=State.MADE)
                | (~Q(file="") & ~Q(mark="") & Q(made_at__isnull=False)),
                name="archive_made_with_its_file",
                violation_error_message=_("The archive has no file. Make it again."),
            ),
            models.CheckConstraint(
                condition=Q(state=State.FAILED, why_not__in=WhyNot.values)
                | (~Q(state=State.FAILED) & Q(state__in=State.values, why_not="")),
                name="archive_not_made_with_why",
                violation_error_message=_("Say why the archive was not made."),
            ),
        ]

    class Privacy(Holds):
        asked_by = Counted(_("archives of the season"), "asked_at")
        unsearched = {"mark": KEY, "shown": CODE, "findings": CODE}

    def __str__(self) -> str:
        return f"{self.demonstration_id}: {self.asked_at:%Y-%m-%d}"

    def get_absolute_url(self) -> str:
        return reverse("archive:page", args=[self.demonstration.slug])

    @property
    def is_whole(self) -> bool:
        """Whether it was read through, and nothing was wrong."""
        return self.checked_at is not None and not self.findings

    @property
    def wrong_files(self) -> Sequence[tuple[str, str]]:
        """What is wrong, as codes with their files."""
        return [(wrong, path) for wrong, path in self.findings]
