"""Many sheets printed into one file, which takes longer than a reader waits."""

from typing import Any, Self

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from heritage.common.making import (
    GOING,
    Making,
    MakingQuerySet,
    State,
    not_made_with_why,
)
from heritage.common.privacy import KEY, Holds
from heritage.season.models import Demonstration


class PrintingQuerySet(MakingQuerySet["Printing"]):
    def named(self, name: str) -> Self:
        return self.filter(name=name)

    def from_same(self, mark: str) -> Self:
        """Keep those made from what there is now."""
        return self.filter(mark=mark)

    def asked_before(self, moment: Any) -> Self:
        return self.filter(asked_at__lt=moment)


def printing_path(printing: "Printing", name: str) -> str:
    """Name the file by a key that nobody can guess."""
    return f"{printing.demonstration_id}/printings/{printing.key}.pdf"


class Printing(Making):
    """One file of many sheets, with how far it is and what it is made from."""

    demonstration = models.ForeignKey(
        Demonstration, models.PROTECT, related_name="printings"
    )
    name = models.CharField(_("what is printed"), max_length=24)
    mark = models.CharField(_("mark of what it is made from"), max_length=64)
    done = models.PositiveIntegerField(_("pages done"), default=0)
    total = models.PositiveIntegerField(_("pages in all"), default=0)
    file = models.FileField(upload_to=printing_path, blank=True)

    objects = PrintingQuerySet.as_manager()

    class Meta:
        verbose_name = _("printing")
        verbose_name_plural = _("printings")
        constraints = [
            models.UniqueConstraint(
                fields=["demonstration", "name"],
                condition=Q(state__in=GOING),
                name="printing_one_at_a_time",
                violation_error_message=_("This is already being made. Wait a minute."),
            ),
            models.CheckConstraint(
                condition=~Q(state=State.MADE)
                | (~Q(file="") & Q(made_at__isnull=False)),
                name="printing_made_with_its_file",
                violation_error_message=_("A printing that is made has a file."),
            ),
            not_made_with_why("printing", _("Say why it was not printed.")),
        ]

    class Privacy(Holds):
        unsearched = {"name": KEY, "mark": KEY}

    def __str__(self) -> str:
        return f"{self.demonstration_id}: {self.name}, {self.asked_at:%Y-%m-%d}"

    @property
    def is_made(self) -> bool:
        return self.state == State.MADE
