"""Who might work where: the suggestion a lead looks over before it is carried out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.calc import assignment
from heritage.calc.assignment import Why
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.selectors.asks import Known, known_of, refusal
from heritage.gatherings.selectors.stations import shown_name


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
    asks = gathering.stations.select_related("briefing", "competence")
    stations = list(asks.in_order())
    rows = list(gathering.sign_ups.live().for_page().with_wishes())
    known = known_of([row.volunteer for row in rows], gathering, stations)
    together = _together(rows)
    people = [_person(row, gathering, stations, known, together) for row in rows]
    jobs = [assignment.Station(str(row.pk), row.places, row.fewest) for row in stations]
    found = assignment.assign(people, jobs)
    entries = {str(row.pk): row for row in rows}
    named = {str(row.pk): row for row in stations}
    return Suggestion(
        gathering=gathering,
        moves=[
            SuggestedMove(entries[move.person], named[move.to], move.why)
            for move in found.moves
        ],
        moved_up=[entries[who] for who in found.moved_up],
        gaps=[
            StillShort(
                named[gap.station],
                gap.missing,
                gap.reason,
                [shown_name(entries[who].volunteer) for who in gap.not_yet],
            )
            for gap in found.gaps
        ],
        short_before=found.short_before,
        short_after=found.short_after,
        is_open=gathering.is_posted and now < gathering.starts_at,
    )


def _together(rows: Sequence[SignUp]) -> set[int]:
    """Return those who are with their own child, or with who answers for them.

    Also those who wait with a child under 13, and move up only together.
    """
    where = {row.volunteer_id: row.station_id for row in rows}
    found: set[int] = set()
    for row in rows:
        guardian = row.volunteer.guardian_id
        if guardian is None or guardian not in where:
            continue
        waits = row.volunteer.needs_adult and not row.is_held
        if waits or where[guardian] == row.station_id:
            found |= {row.volunteer_id, guardian}
    return found


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
