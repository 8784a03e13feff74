"""What a phone without a signal is told of stations, and of who may work where."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple, TypeVar

from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors.asks import Known, Refusal, known_of, refusal
from heritage.gatherings.selectors.running import standing_still
from heritage.people.models import AgeBand, Volunteer
from heritage.safety.models import BriefingVersion

# A station's key, or an age.
Key = TypeVar("Key", int, str)


@dataclass(frozen=True, slots=True)
class Post:
    """Where somebody works, and where they may not, each in a word or two."""

    station: Station | None = None
    # Why they may not begin at their own station yet.
    not_yet: str = ""
    barred: dict[int, str] = field(default_factory=dict)
    # Where they may not even once they have heard every briefing.
    barred_briefed: dict[int, str] = field(default_factory=dict)
    # The versions that hold now and that they have heard.
    heard: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Offer:
    """A station, and why somebody whom nobody knows yet may not work there, by age."""

    station: Station
    barred: dict[str, str]
    barred_briefed: dict[str, str] = field(default_factory=dict)
    # The words to be heard before the work begins, where they are published.
    version: BriefingVersion | None = None


@dataclass(frozen=True, slots=True)
class Posts:
    """Tonight's stations, and where each person stands to them, by their keys."""

    offers: tuple[Offer, ...]
    people: dict[int, Post]


def posts(gathering: Gathering, people: Sequence[Volunteer]) -> Posts:
    """Return who works and may work where: nine queries at most."""
    asks = gathering.stations.select_related("briefing", "competence")
    stations = {row.pk: row for row in asks.in_order()}
    held = dict(gathering.sign_ups.held().values_list("volunteer_id", "station_id"))
    known = known_of(people, gathering, stations.values())
    still = standing_still(gathering, stations.values())
    evening = _Evening(gathering, stations, known, still, _versions(stations.values()))
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
    # The version that holds of each briefing, by the briefing's key.
    versions: dict[int, BriefingVersion]

    def briefed(self, person: Volunteer) -> Known:
        """Return what would be known if somebody had heard every briefing."""
        all_heard = {(person.pk, briefing) for briefing in self.versions}
        return replace(self.known, heard=all_heard)

    def against(
        self, person: Volunteer, station: Station, known: Known
    ) -> Refusal | None:
        no = refusal(station, self.gathering, person, known)
        still = self.still.get(station.pk)
        return no if no and _stays(no) else still or no


def _post(person: Volunteer, own: Station | None, evening: _Evening) -> Post:
    found = {
        key: evening.against(person, station, evening.known)
        for key, station in evening.stations.items()
    }
    why = found.get(own.pk) if own else None
    briefed = {
        key: evening.against(person, station, evening.briefed(person))
        for key, station in evening.stations.items()
    }
    heard = frozenset(
        version.pk
        for briefing, version in evening.versions.items()
        if (person.pk, briefing) in evening.known.heard
    )
    return Post(
        own, why.short if why else "", _in_words(found), _in_words(briefed), heard
    )


def _offer(station: Station, evening: _Evening) -> Offer:
    """Say what a station asks that somebody unheard of cannot have."""
    where = evening.gathering.demonstration
    found, briefed = {}, {}
    for band in AgeBand:
        person = Volunteer(demonstration=where, age_band=band)
        found[band.value] = evening.against(person, station, Known())
        all_heard = Known(heard=evening.briefed(person).heard)
        briefed[band.value] = evening.against(person, station, all_heard)
    version = evening.versions.get(station.briefing_id or 0)
    return Offer(station, _in_words(found), _in_words(briefed), version)


def _versions(stations: Iterable[Station]) -> dict[int, BriefingVersion]:
    asked = {row.briefing_id for row in stations if row.briefing_id}
    if not asked:
        return {}
    rows = BriefingVersion.objects.current().filter(briefing__in=asked)
    return {row.briefing_id: row for row in rows.select_related("briefing")}


def _in_words(found: Mapping[Key, Refusal | None]) -> dict[Key, str]:
    return {key: _short(no) for key, no in found.items() if no and _stays(no)}


def _stays(why: Refusal) -> bool:
    """Tell whether a refusal holds also after what the phone has yet to send.

    An adult may have been given a place there since: of a child's the site decides.
    """
    return not (why.needs_adult or why.may_wait)


def _short(why: Refusal) -> str:
    return {
        "briefing": _("to hear first"),
        "machine": why.short,
        "no_briefing": _("no briefing chosen yet"),
        "competence": _("not confirmed for it"),
        "weighing": _("an organiser decides first"),
    }.get(why.code, _("not old enough"))
