"""How full a station is: in figures, and in words that say what it lacks."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.gatherings.models import Station


@dataclass(frozen=True, slots=True)
class Filling:
    """Places, the fewest needed, and how many hold one, wait, or have not answered."""

    places: int
    fewest: int
    held: int
    waiting: int = 0
    unanswered: int = 0
    # Of those who wait, who could not be given a place today.
    barred: int = 0

    @property
    def short(self) -> int:
        """How many are missing before the work can start."""
        return max(0, self.fewest - self.held)

    @property
    def over(self) -> int:
        """How many are there beyond the places."""
        return max(0, self.held - self.places)

    @property
    def free(self) -> int:
        """The places nobody holds and nobody who waits could have."""
        return max(0, self.places - self.held - self.waiting + self.barred)

    @property
    def is_full(self) -> bool:
        return self.free == 0

    @property
    def mark(self) -> str:
        """The state's mark: too few or too many, full, or neither."""
        if self.short or self.over:
            return "due"
        return "full" if self.is_full else "planned"

    @property
    def tag(self) -> str:
        """The state in a word or two, for beside its mark."""
        if self.short:
            return _("too few")
        if self.over:
            return _("too many")
        return _("full") if self.is_full else _("places left")

    @property
    def words(self) -> str:
        """Say what is short, full or free, and who waits or has yet to answer."""
        said = [self._state(), *self._more()]
        return ", ".join(said)

    def _state(self) -> str:
        if self.short:
            lack = {"short": self.short, "fewest": self.fewest}
            return _("%(short)d short of the %(fewest)d it needs") % lack
        if self.over:
            return _("%d more than its places") % self.over
        if self.is_full:
            return _("full")
        words = ngettext(
            "%(free)d of %(places)d place left",
            "%(free)d of %(places)d places left",
            self.places,
        )
        return words % {"free": self.free, "places": self.places}

    def _more(self) -> list[str]:
        said = []
        if self.waiting:
            said.append(_("%d waiting") % self.waiting)
        if self.unanswered:
            said.append(_("%d not answered yet") % self.unanswered)
        return said


def filling_of(station: Station) -> Filling:
    """Return how full a station is that was read ``with_counts``."""
    return Filling(
        station.places,
        station.fewest,
        held=station.held,
        waiting=station.waiting,
        unanswered=station.unanswered,
        # Every change moves the queue up at once: who waits beside a free place could
        # not be given it, so that it is free for whoever can.
        barred=station.waiting if station.held < station.places else 0,
    )
