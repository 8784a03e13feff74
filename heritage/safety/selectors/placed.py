"""Who holds a place at a station, or a post, that asks for a briefing."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Value
from django.utils.translation import gettext as _

from heritage.people.models import Volunteer
from heritage.safety.models import Briefing, BriefingVersion

# A volunteer's key, where, at what, and from when.
Asking = tuple[int, str, str, datetime]


@dataclass(frozen=True, slots=True)
class PlaceAsking:
    """The first gathering or treading at which somebody needs a briefing."""

    gathering: str
    station: str
    starts_at: datetime


@dataclass(frozen=True, slots=True)
class Voided:
    """Somebody whose hearing no longer counts, and where they need it next."""

    volunteer: Volunteer
    place: PlaceAsking | None


def places_asking(briefing: Briefing, now: datetime) -> dict[int, PlaceAsking]:
    """Return, by volunteer, the next place held, or turn at the dam, that asks for it.

    Gatherings and dams stand above this trade, so their rows are reached by their
    names alone.
    """
    rows = [*_stations(briefing, now), *_turns(briefing, now)]
    found: dict[int, PlaceAsking] = {}
    for person, gathering, station, starts_at in sorted(rows, key=lambda row: row[3]):
        found.setdefault(person, PlaceAsking(gathering, station, starts_at))
    return found


def voided_by(version: BriefingVersion, now: datetime) -> list[Voided]:
    """Return those who had heard the version that this one took the place of."""
    rows = Volunteer.objects.active().filter(
        acknowledgements__version__briefing=version.briefing_id,
        acknowledgements__version__number=version.number - 1,
    )
    people = rows.select_related("user", "guardian__user").by_name()
    return list(voided(people, version.briefing, now))


def _stations(briefing: Briefing, now: datetime) -> Iterable[Asking]:
    return (
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


def _turns(briefing: Briefing, now: datetime) -> Iterable[Asking]:
    return (
        briefing.rotas.filter(
            taken_at__isnull=False,
            ret__lifted_at__isnull=True,
            turns__at__gt=now,
            turns__dropped_at__isnull=True,
            turns__treaders__state="on",
        )
        .annotate(station=Value(_("a turn treading")))
        .order_by("turns__at", "pk")
        .values_list(
            "turns__treaders__volunteer", "ret__dam__name", "station", "turns__at"
        )
    )


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
