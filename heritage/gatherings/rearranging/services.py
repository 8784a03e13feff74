"""Carrying out a suggestion: several moves at once, each looked at again.

A suggestion is only advice, and only wishes count. It moves nobody who has not said
that they would work there, takes nobody's place, passes nobody who waits, and leaves a
child beside the adult who answers for it. The lead unticks and applies.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.asked.selectors import Known, known_of, refusal
from heritage.gatherings.ground.services import (
    lock_gathering,
    require_lead,
    require_open,
)
from heritage.gatherings.letters import mail
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.places.services import deadline, fill, place
from heritage.people.models import User


@dataclass(frozen=True, slots=True)
class PlannedMove:
    """Whom to move, from where and to where, by their keys."""

    sign_up: int
    origin: int
    to: int


@dataclass(frozen=True, slots=True)
class Rearranged:
    """Who was moved, and who was not and why."""

    done: list[SignUp]
    refused: list[str]


@dataclass(frozen=True, slots=True)
class _Evening:
    """A gathering as it is under the lock."""

    gathering: Gathering
    stations: dict[int, Station]
    entries: dict[int, SignUp]
    known: Known


@transaction.atomic
def rearrange(
    *, gathering: Gathering, moves: Sequence[PlannedMove], by: User, now: datetime
) -> Rearranged:
    """Move several people at once, so that two may change places.

    Each move is looked at again as things stand now; what cannot be done any more is
    left out and said. Everybody moved is told once; who had waited is asked whether
    they come.
    """
    gathering = lock_gathering(gathering)
    require_lead(gathering, by)
    require_open(gathering, now)
    evening = _read(gathering)
    refused: list[str] = []
    wanted: list[PlannedMove] = []
    for planned in moves:
        reason = _reason_against(planned, evening)
        if reason:
            refused.append(reason)
        else:
            wanted.append(planned)
    while crowded := _one_too_many(wanted, evening):
        wanted.remove(crowded)
        who, station = evening.entries[crowded.sign_up], evening.stations[crowded.to]
        words = _("%(station)s is full: %(who)s was left where they were.")
        refused.append(words % {"station": station, "who": who.volunteer})
    done = [_carry_out(planned, evening, now) for planned in wanted]
    for station in evening.stations.values():
        fill(gathering, station, now)
    return Rearranged(done, refused)


def _read(gathering: Gathering) -> _Evening:
    stations = {row.pk: row for row in gathering.stations.with_asked()}
    rows = gathering.sign_ups.live().for_page().with_wishes()
    entries = {row.pk: row for row in rows}
    people = [entry.volunteer for entry in entries.values()]
    known = known_of(people, gathering, stations.values())
    return _Evening(gathering, stations, entries, known)


def _reason_against(planned: PlannedMove, evening: _Evening) -> str:
    """Say why a move can no longer be made, if it cannot."""
    entry, station = (
        evening.entries.get(planned.sign_up),
        evening.stations.get(planned.to),
    )
    if entry is None or station is None:
        return _("Somebody has given up their place since.")
    if entry.station_id != planned.origin:
        return _("%s has been moved since.") % entry.volunteer
    if station not in entry.also.all():
        words = _("%(who)s would not work at %(station)s any more.")
        return words % {"who": entry.volunteer, "station": station}
    why = refusal(station, evening.gathering, entry.volunteer, evening.known)
    return why.reason if why else ""


def _one_too_many(
    wanted: Sequence[PlannedMove], evening: _Evening
) -> PlannedMove | None:
    """Return the last move into a station that has no room for it.

    Places that come free belong first to those who wait for that station, and may
    work there today.
    """
    going = {one.sign_up for one in wanted}
    left = [row for row in evening.entries.values() if row.pk not in going]
    taken = Counter(row.station_id for row in left if _counts(row, evening))
    for planned in reversed(wanted):
        coming = sum(one.to == planned.to for one in wanted)
        if taken[planned.to] + coming > evening.stations[planned.to].places:
            return planned
    return None


def _counts(entry: SignUp, evening: _Evening) -> bool:
    """Tell whether somebody holds a place, or is the next to be given one."""
    station = evening.stations[entry.station_id]
    return entry.status == SignUpStatus.HELD or not refusal(
        station, evening.gathering, entry.volunteer, evening.known
    )


def _carry_out(planned: PlannedMove, evening: _Evening, now: datetime) -> SignUp:
    entry, station = evening.entries[planned.sign_up], evening.stations[planned.to]
    if entry.status == SignUpStatus.HELD:
        place(entry, station, now)
        return entry
    entry.station, entry.status, entry.changed_at = station, SignUpStatus.HELD, now
    entry.answer_by = deadline(evening.gathering, now)
    entry.save(update_fields=["station", "status", "changed_at", "answer_by"])
    entry.also.remove(station)
    transaction.on_commit(partial(mail.moved_up, entry.pk))
    return entry
