"""The archive of a season: one file, asked for, made, and read through again."""

from collections.abc import Sequence

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.common.making import (
    GOING,
    Making,
    MakingQuerySet,
    State,
    not_made_with_why,
)
from heritage.common.privacy import CODE, KEY, Counted, Holds
from heritage.season.models import Demonstration


def archive_path(archive: "Archive", name: str) -> str:
    """Name the file by a key that nobody can guess."""
    return f"{archive.demonstration_id}/archives/{archive.key}.zip"


class Archive(Making):
    """One package of a season, with how far it is and whether it is still whole."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="archives"
    )
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)
    done = models.PositiveIntegerField(_("pictures done"), default=0)
    total = models.PositiveIntegerField(_("pictures in all"), default=0)
    file = models.FileField(upload_to=archive_path, blank=True)
    octets = models.PositiveBigIntegerField(_("bytes"), default=0)
    mark = models.CharField(_("mark of its lists"), max_length=128, blank=True)
    shown = models.JSONField(_("pictures on its website"), default=list, blank=True)
    missing = models.PositiveIntegerField(_("files that were missing"), default=0)
    checked_at = models.DateTimeField(_("last read through at"), null=True, blank=True)
    findings = models.JSONField(_("what is wrong with it"), default=list, blank=True)

    objects = MakingQuerySet["Archive"].as_manager()

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
            not_made_with_why("archive", _("Say why the archive was not made.")),
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
