"""Gatherings in a list: a line each, for the list, the public page and the desk."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from heritage.common.models import Viewer
from heritage.gatherings.models import Call, Gathering, Station
from heritage.gatherings.selectors.filling import Filling, filling_of
from heritage.gatherings.selectors.light import Light, light_of, was
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Short:
    """A station that has fewer than it needs, and what it lacks."""

    station: Station
    filling: Filling


@dataclass(frozen=True, slots=True)
class GatheringLine:
    """One gathering in a list: its places, its light and its newest call."""

    gathering: Gathering
    light: Light
    places: int
    held: int
    waiting: int
    free: int
    call: Call | None
    short: list[Short] = field(default_factory=list)

    @property
    def is_full(self) -> bool:
        return self.free == 0

    @property
    def is_on_hold(self) -> bool:
        return bool(self.call and self.call.decision == "hold")

    @property
    def was(self) -> str:
        """When and where it was first to be, if it has moved."""
        return was(self.gathering)


def next_gatherings(
    demonstration: Demonstration, now: datetime, user: Viewer, limit: int = 3
) -> list[GatheringLine]:
    """Return the next posted gatherings that the user may see: three queries."""
    rows = Gathering.objects.visible_to(user).of(demonstration).published()
    return gathering_lines(rows.upcoming(now).for_page()[:limit])


def gathering_lines(gatherings: Iterable[Gathering]) -> list[GatheringLine]:
    """Describe gatherings for a list: two queries beside their own."""
    rows = list(gatherings)
    stations: dict[int, list[Station]] = {row.pk: [] for row in rows}
    for station in Station.objects.filter(gathering__in=rows).with_counts().in_order():
        stations[station.gathering_id].append(station)
    newest = Call.objects.filter(gathering__in=rows).newest_of_each()
    calls = {call.gathering_id: call for call in newest}
    return [_line(row, stations[row.pk], calls.get(row.pk)) for row in rows]


def _line(
    gathering: Gathering, stations: list[Station], call: Call | None
) -> GatheringLine:
    fillings = [(station, filling_of(station)) for station in stations]
    return GatheringLine(
        gathering=gathering,
        light=light_of(gathering),
        places=sum(station.places for station in stations),
        held=sum(station.held for station in stations),
        waiting=sum(station.waiting for station in stations),
        free=sum(filling.free for _, filling in fillings),
        call=call,
        short=[Short(one, filling) for one, filling in fillings if filling.short],
    )
