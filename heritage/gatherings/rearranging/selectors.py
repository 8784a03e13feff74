"""Who might work where: the suggestion, and one person's place for the lead."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc import assignment
from heritage.calc.assignment import Why, WhyShort
from heritage.gatherings.asked.selectors import Known, Refusal, known_of, refusal
from heritage.gatherings.ground.selectors import Filling
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.places.selectors import (
    Place,
    StationView,
    shown_name,
    station_view,
)

WHY_SHORT: dict[WhyShort, str | Promise] = {
    WhyShort.NEEDED_ELSEWHERE: gettext_lazy(
        "Those who would work here too are needed where they are."
    ),
    WhyShort.NOT_YET: gettext_lazy("Those who would work here too may not yet."),
    WhyShort.NOBODY_WISHES: gettext_lazy(
        "Nobody else has said that they would work here."
    ),
}


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
    stations = list(gathering.stations.with_asked())
    rows = list(gathering.sign_ups.live().for_page())
    entry = next((row for row in rows if row.pk == key), None)
    if entry is None:
        return None
    person = entry.volunteer
    known = known_of([row.volunteer for row in rows], gathering, stations)
    wished = set(entry.also.all())
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
            if view.station.pk != entry.station_id
        ],
        is_open=gathering.is_posted and now < gathering.starts_at,
        may_leave=gathering.is_posted and now < gathering.ends_at,
    )


def _place_of(key: int, views: list[StationView]) -> Place:
    places = (place for view in views for place in view.held + view.waiting)
    return next(place for place in places if place.sign_up.pk == key)


@dataclass(frozen=True, slots=True)
class SuggestedMove:
    """One person to be put somewhere else, and what it is good for."""

    sign_up: SignUp
    to: Station
    why: Why

    @property
    def key(self) -> str:
        """Say the move in one word, so that a tick box can hold it."""
        return f"{self.sign_up.pk}-{self.sign_up.station_id}-{self.to.pk}"

    @property
    def waited(self) -> bool:
        return self.sign_up.status == SignUpStatus.WAITING

    @property
    def reason(self) -> str:
        """Say what the move is good for."""
        where = {"to": self.to, "origin": self.sign_up.station}
        if self.why is Why.FILLS:
            return _("%(to)s has fewer than it needs.") % where
        if self.why is Why.PLACE:
            return _("%(origin)s is full; a place here is free.") % where
        return _("It makes room at %(origin)s for somebody else.") % where


@dataclass(frozen=True, slots=True)
class StillShort:
    """A station that stays short, and why."""

    station: Station
    missing: int
    reason: str
    not_yet: list[str]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """Everything the page of the suggestion shows."""

    gathering: Gathering
    moves: list[SuggestedMove]
    moved_up: list[SignUp]
    gaps: list[StillShort]
    short_before: int
    short_after: int
    is_open: bool


def suggestion(gathering: Gathering, now: datetime) -> Suggestion:
    """Work out who might move: six queries at most, however many they are."""
    stations = list(gathering.stations.with_asked())
    rows = list(gathering.sign_ups.live().for_page().with_wishes())
    known = known_of([row.volunteer for row in rows], gathering, stations)
    together = _together(rows)
    people = [_person(row, gathering, stations, known, together) for row in rows]
    jobs = [assignment.Station(str(row.pk), row.places, row.fewest) for row in stations]
    plan = assignment.assign(people, jobs)
    entries = {str(row.pk): row for row in rows}
    named = {str(row.pk): row for row in stations}
    return Suggestion(
        gathering=gathering,
        moves=[
            SuggestedMove(entries[move.person], named[move.to], move.why)
            for move in plan.moves
        ],
        moved_up=[entries[who] for who in plan.moved_up],
        gaps=[_still_short(gap, named, entries) for gap in plan.gaps],
        short_before=plan.short_before,
        short_after=plan.short_after,
        is_open=gathering.is_posted and now < gathering.starts_at,
    )


def _still_short(
    gap: assignment.Gap, stations: Mapping[str, Station], entries: Mapping[str, SignUp]
) -> StillShort:
    return StillShort(
        stations[gap.station],
        gap.missing,
        str(WHY_SHORT[gap.reason]),
        [shown_name(entries[who].volunteer) for who in gap.not_yet],
    )


def _together(rows: Sequence[SignUp]) -> set[int]:
    """Return those who are with their own child, or with who answers for them.

    Also those who wait with a child under 13, and move up only together.
    """
    where = {row.volunteer_id: row.station_id for row in rows}
    together: set[int] = set()
    for row in rows:
        guardian = row.volunteer.guardian_id
        if guardian is None or guardian not in where:
            continue
        waits = row.volunteer.needs_adult and not row.is_held
        if waits or where[guardian] == row.station_id:
            together |= {row.volunteer_id, guardian}
    return together


def _person(
    row: SignUp,
    gathering: Gathering,
    stations: Sequence[Station],
    known: Known,
    together: set[int],
) -> assignment.Person:
    may = [
        station
        for station in stations
        if refusal(station, gathering, row.volunteer, known) is None
    ]
    return assignment.Person(
        str(row.pk),
        str(row.station_id),
        waits=row.status == SignUpStatus.WAITING,
        also=frozenset(str(station.pk) for station in row.also.all()),
        may=frozenset(str(station.pk) for station in may),
        # A child stays beside their adult; who has yet to answer is asked one thing.
        stays=row.volunteer_id in together or row.answer_by is not None,
    )
