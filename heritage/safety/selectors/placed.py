"""Who holds a place at a station, or a post, that asks for a briefing."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from heritage.people.models import Volunteer
from heritage.safety.models import Briefing


@dataclass(frozen=True, slots=True)
class PlaceAsking:
    """The first gathering at which somebody needs a briefing."""

    gathering: str
    station: str
    starts_at: datetime


@dataclass(frozen=True, slots=True)
class Voided:
    """Somebody whose hearing no longer counts, and where they need it next."""

    volunteer: Volunteer
    place: PlaceAsking | None


def places_asking(briefing: Briefing, now: datetime) -> dict[int, PlaceAsking]:
    """Return, by volunteer, the next place held at a station that asks for it.

    Gatherings stand above this trade, so their rows are reached by their names alone.
    """
    rows = (
        briefing.station_set.filter(
            gathering__ends_at__gt=now,
            gathering__status="posted",
            sign_ups__status="held",
        )
        .order_by("gathering__starts_at", "pk")
        .values_list(
            "sign_ups__volunteer", "gathering__title", "title", "gathering__starts_at"
        )
    )
    found: dict[int, PlaceAsking] = {}
    for person, gathering, station, starts_at in rows:
        found.setdefault(person, PlaceAsking(gathering, station, starts_at))
    return found


def voided(
    people: Iterable[Volunteer], briefing: Briefing, now: datetime
) -> tuple[Voided, ...]:
    """Say of each who must hear a briefing again where they need it, soonest first."""
    places = places_asking(briefing, now)
    found = [Voided(person, places.get(person.pk)) for person in people]
    return tuple(sorted(found, key=_soonest))


def _soonest(one: Voided) -> tuple[bool, str, str]:
    when = one.place.starts_at.isoformat() if one.place else ""
    return one.place is None, when, one.volunteer.name
