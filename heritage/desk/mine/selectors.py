"""What is a volunteer's own: the next evening, their beets, and where those are."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.gatherings.places.selectors import MyPlace, my_places
from heritage.lots.models import Lot, Move, Place
from heritage.lots.selectors import Here, LotLine, crop_page
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration
from heritage.tally.models import Entry


@dataclass(frozen=True, slots=True)
class MyPull:
    """What somebody pulled at one evening, and where that evening's lots are now."""

    gathering: Gathering
    beets: int
    where: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MyPart:
    """Somebody's part in the season, beside nobody else's."""

    places: list[MyPlace]
    pulls: list[MyPull]

    @property
    def next(self) -> MyPlace | None:
        """The next evening that they or a child of theirs has a place or a turn at."""
        going = (one for one in self.places if not one.is_off)
        return next(going, None)

    @property
    def later(self) -> list[MyPlace]:
        """The other places and turns, and what was called off."""
        return [one for one in self.places if one is not self.next]

    @property
    def beets(self) -> int:
        """All that they pulled."""
        return sum(pull.beets for pull in self.pulls)


def my_part(volunteer: Volunteer, now: datetime) -> MyPart:
    """Gather what is somebody's own: ten queries.

    The lots are those of the evenings at which they pulled, since beets are tied
    together there: whose is which nobody can tell.
    """
    places = my_places(volunteer, now)
    sums = Entry.objects.of(volunteer.demonstration).by(volunteer)
    beets = {row.key: row.beets for row in sums.summed_by("gathering") if row.beets > 0}
    if not beets:
        return MyPart(places, [])
    where = _where(volunteer.demonstration, set(beets), now)
    rows = Gathering.objects.filter(pk__in=beets).order_by("-starts_at", "-pk")
    pulls = [MyPull(row, beets[row.pk], where.get(row.pk, ())) for row in rows]
    return MyPart(places, pulls)


def _where(
    home: Demonstration, keys: set[int], now: datetime
) -> dict[int, tuple[str, ...]]:
    """Say of each evening where what was pulled there is."""
    lines = [one for one in crop_page(home).lots if one.lot.gathering_id in keys]
    since = _in_dam_since(one.lot for one in lines)
    said: dict[int, tuple[str, ...]] = {}
    for line in lines:
        key = line.lot.gathering_id or 0
        said[key] = said.get(key, ()) + _words(line, since.get(line.lot.pk), now)
    return said


def _words(line: LotLine, since: datetime | None, now: datetime) -> tuple[str, ...]:
    return tuple(
        _at(here, since, now) for here in line.where if here.beets or here.dry_g
    )


def _at(here: Here, since: datetime | None, now: datetime) -> str:
    """Say what is at a place, and in a dam, which day it is."""
    if here.place != Place.DAM or since is None:
        return here.words
    days = timezone.localtime(now).date() - timezone.localtime(since).date()
    return _("%(what)s, day %(day)d") % {"what": here.words, "day": days.days + 1}


def _in_dam_since(lots: Iterable[Lot]) -> dict[int, datetime]:
    """Return when each lot last went into a dam: one query."""
    moves = Move.objects.standing().touching(list(lots)).in_order()
    return {move.to_lot_id: move.at for move in moves if move.target == Place.DAM}
