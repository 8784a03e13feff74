"""One person's place, for the lead: how to reach them, and where they could go."""

from dataclasses import dataclass
from datetime import datetime

from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors.asks import Refusal, known_of, refusal
from heritage.gatherings.selectors.filling import Filling
from heritage.gatherings.selectors.stations import Place, StationView, station_view


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Another station, how full it is, and why they may not work there, if so."""

    station: Station
    filling: Filling
    refusal: Refusal | None
    is_wished: bool


@dataclass(frozen=True, slots=True)
class PlacePage:
    """Everything a lead sees of one person's place."""

    gathering: Gathering
    place: Place
    elsewhere: list[Elsewhere]
    is_open: bool
    # Whether the place may still be given back: until the end, for no-shows.
    may_leave: bool


def place_page(gathering: Gathering, key: int, now: datetime) -> PlacePage | None:
    """Return a place or turn by its key: six queries at most; None if given up."""
    asks = gathering.stations.select_related("briefing", "competence")
    stations = list(asks.in_order())
    rows = list(gathering.sign_ups.live().for_page())
    found = next((row for row in rows if row.pk == key), None)
    if found is None:
        return None
    person = found.volunteer
    known = known_of([row.volunteer for row in rows], gathering, stations)
    wished = set(found.also.all())
    views = [station_view(gathering, row, rows, known) for row in stations]
    return PlacePage(
        gathering=gathering,
        place=_place_of(key, views),
        elsewhere=[
            Elsewhere(
                view.station,
                view.filling,
                refusal(view.station, gathering, person, known),
                view.station in wished,
            )
            for view in views
            if view.station.pk != found.station_id
        ],
        is_open=gathering.is_posted and now < gathering.starts_at,
        may_leave=gathering.is_posted and now < gathering.ends_at,
    )


def _place_of(key: int, views: list[StationView]) -> Place:
    places = (place for view in views for place in view.held + view.waiting)
    return next(place for place in places if place.sign_up.pk == key)
