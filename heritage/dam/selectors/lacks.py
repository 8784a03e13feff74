"""What a turn of treading lacks: people to tread, or somebody to watch."""

from collections.abc import Collection
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.dam.models import RotaPlan, Treader


@dataclass(frozen=True, slots=True)
class Lack:
    """How many more are to tread, and whether nobody watches; false if none of it."""

    treading: int
    watcher: bool
    on: int

    def __bool__(self) -> bool:
        return self.treading > 0 or self.watcher

    @property
    def has_nobody(self) -> bool:
        return self.on == 0

    @property
    def people(self) -> int:
        """How many people are to be found."""
        return self.treading + self.watcher

    @property
    def words(self) -> str:
        """Say which is missing."""
        tread = (
            ngettext("%d more to tread", "%d more to tread", self.treading)
            % self.treading
        )
        if self.treading and self.watcher:
            return _("%s, and somebody to watch from the bank") % tread
        if self.treading:
            return tread
        return _("nobody watches from the bank") if self.watcher else ""


def lack_of(plan: RotaPlan, on: Collection[Treader]) -> Lack:
    """Say what a turn lacks, of whoever is on it and still on the list."""
    watching = sum(row.watches for row in on)
    treading = max(0, plan.people - (len(on) - watching))
    return Lack(treading, not watching, len(on))
