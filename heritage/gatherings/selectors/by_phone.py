"""What a phone without a signal is told of stations, and of who may work where."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors.asks import Known, Refusal, known_of, refusal
from heritage.gatherings.selectors.running import standing_still
from heritage.people.models import AgeBand, Volunteer


@dataclass(frozen=True, slots=True)
class Post:
    """Where somebody works, and where they may not, each in a word or two."""

    station: Station | None = None
    # Why they may not begin at their own station yet.
    not_yet: str = ""
    barred: dict[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Offer:
    """A station, and why somebody whom nobody knows yet may not work there, by age."""

    station: Station
    barred: dict[str, str]


@dataclass(frozen=True, slots=True)
class Posts:
    """Tonight's stations, and where each person stands to them, by their keys."""

    offers: tuple[Offer, ...]
    people: dict[int, Post]


def posts(gathering: Gathering, people: Sequence[Volunteer]) -> Posts:
    """Return who works and may work where: eight queries at most."""
    asks = gathering.stations.select_related("briefing", "competence")
    stations = {row.pk: row for row in asks.in_order()}
    held = dict(gathering.sign_ups.held().values_list("volunteer_id", "station_id"))
    known = known_of(people, gathering, stations.values())
    still = standing_still(gathering, stations.values())
    evening = _Evening(gathering, stations, known, still)
    return Posts(
        offers=tuple(_offer(station, evening) for station in stations.values()),
        people={
            person.pk: _post(person, stations.get(held.get(person.pk, 0)), evening)
            for person in people
        },
    )


class _Evening(NamedTuple):
    gathering: Gathering
    stations: dict[int, Station]
    known: Known
    # Why nobody works at a station now, by its key.
    still: dict[int, Refusal]

    def against(
        self, person: Volunteer, station: Station, known: Known
    ) -> Refusal | None:
        no = refusal(station, self.gathering, person, known)
        return no or self.still.get(station.pk)


def _post(person: Volunteer, own: Station | None, evening: _Evening) -> Post:
    found = {
        key: evening.against(person, station, evening.known)
        for key, station in evening.stations.items()
    }
    why = found.get(own.pk) if own else None
    barred = {key: _short(no) for key, no in found.items() if no}
    return Post(own, why.short if why else "", barred)


def _offer(station: Station, evening: _Evening) -> Offer:
    """Say what a station asks that somebody unheard of cannot have."""
    where = evening.gathering.demonstration
    found = {
        band.value: evening.against(
            Volunteer(demonstration=where, age_band=band), station, Known()
        )
        for band in AgeBand
    }
    return Offer(station, {band: _short(no) for band, no in found.items() if no})


def _short(why: Refusal) -> str:
    return {
        "briefing": _("to hear first"),
        "machine": why.short,
        "competence": _("not confirmed for it"),
        "weighing": _("an organiser decides first"),
    }.get(why.code, _("not old enough"))
