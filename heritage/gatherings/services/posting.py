"""Posting gatherings and changing what was posted."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import TypedDict

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings import mail
from heritage.gatherings.models import Gathering, GatheringStatus, Station
from heritage.gatherings.services.locking import hold
from heritage.gatherings.services.queue import fill
from heritage.people.models import AgeBand, Volunteer
from heritage.safety.models import Briefing
from heritage.season.models import Demonstration, Plot

SHOWN = ("title", "stage", "place", "starts_at", "ends_at", "bring", "note")
TIMES = ("starts_at", "ends_at")
STATION_FIELDS = ("kind", "title", "places", "least_age", "briefing", "note")


class Details(TypedDict):
    """What is posted of a gathering, besides its stations."""

    title: str
    stage: str
    plot: Plot | None
    place: str
    starts_at: datetime
    ends_at: datetime
    bring: str
    note: str
    lead: Volunteer | None


@dataclass(frozen=True, slots=True)
class StationPlan:
    """One station as it is to be; ``station`` is the one it changes, if any."""

    kind: str
    title: str
    places: int
    least_age: str = AgeBand.FROM_16
    briefing: Briefing | None = None
    note: str = ""
    station: Station | None = None


@transaction.atomic
def post(
    *,
    demonstration: Demonstration,
    details: Details,
    stations: Sequence[StationPlan],
    now: datetime,
    as_draft: bool = False,
) -> Gathering:
    """Post a gathering with its stations, or keep it as a draft."""
    status = GatheringStatus.DRAFT if as_draft else GatheringStatus.POSTED
    gathering = Gathering(
        demonstration=demonstration, status=status, revised_at=now, **details
    )
    _require_ours(gathering)
    _require_to_come(gathering, now)
    gathering.full_clean()
    gathering.save()
    _set_stations(gathering, stations)
    return gathering


@transaction.atomic
def edit(
    *,
    gathering: Gathering,
    details: Details,
    stations: Sequence[StationPlan],
    now: datetime,
    publish: bool = False,
    same_place: bool = False,
) -> Gathering:
    """Change a gathering; whoever is signed up is told of a new time or place.

    The calendar's sequence rises with the times and with a place that people must
    find anew (RFC 5546, 2.1.4), never because words were put right: with
    ``same_place`` the place is where it was.
    """
    gathering = hold(gathering)
    before = {name: getattr(gathering, name) for name in SHOWN}
    changed = {name for name in SHOWN if details[name] != before[name]}  # type: ignore[literal-required]
    for name, value in details.items():
        setattr(gathering, name, value)
    _require_ours(gathering)
    moved = bool(changed & {*TIMES}) or ("place" in changed and not same_place)
    if changed & {*TIMES}:
        _require_to_come(gathering, now)
    moved = moved and not gathering.is_draft
    gathering.sequence += moved
    if publish and gathering.is_draft:
        gathering.status = GatheringStatus.POSTED
        _require_to_come(gathering, now)
        changed.add("status")
    if changed:
        gathering.revised_at = now
    gathering.full_clean()
    gathering.save(update_fields=[*details, "status", "sequence", "revised_at"])
    _set_stations(gathering, stations)
    if moved and not gathering.is_called_off:
        old = (before["starts_at"], before["ends_at"], before["place"])
        transaction.on_commit(partial(mail.changed, gathering.pk, *old))
    for station in gathering.stations.in_order():
        fill(gathering, station, now)
    return gathering


@transaction.atomic
def delete_draft(*, gathering: Gathering) -> None:
    """Throw a draft away; what was posted can only be called off."""
    gathering = hold(gathering)
    if not gathering.is_draft:
        raise ValidationError(
            _("It has been posted, and people may have seen it. Call it off instead.")
        )
    gathering.delete()


def _require_ours(gathering: Gathering) -> None:
    for name in ("plot", "lead"):
        chosen = getattr(gathering, name)
        if chosen and chosen.demonstration_id != gathering.demonstration_id:
            raise ValidationError({name: _("Choose one of this demonstration.")})
    lead = gathering.lead
    if lead and (lead.age_band != AgeBand.ADULT or lead.left_at):
        raise ValidationError({"lead": _("The lead is an adult who has not left.")})


def _require_to_come(gathering: Gathering, now: datetime) -> None:
    if gathering.starts_at <= now and not gathering.is_draft:
        raise ValidationError(
            {"day": _("That time is past. Choose a day and time to come.")}
        )


def _set_stations(gathering: Gathering, plans: Sequence[StationPlan]) -> None:
    if not plans:
        raise ValidationError(_("A gathering needs at least one station."))
    titles = [plan.title.casefold() for plan in plans]
    if len(set(titles)) < len(titles):
        raise ValidationError(_("Give each station a name of its own."))
    kept = {plan.station.pk for plan in plans if plan.station}
    for station in gathering.stations.in_order():
        if station.pk not in kept:
            _take_away(station)
    for plan in plans:
        _set_station(gathering, plan)


def _set_station(gathering: Gathering, plan: StationPlan) -> None:
    station = plan.station or Station(gathering=gathering)
    if station.gathering_id != gathering.pk:
        raise ValidationError(_("That station belongs to another gathering."))
    for name in STATION_FIELDS:
        setattr(station, name, getattr(plan, name))
    briefing = station.briefing
    if briefing and briefing.demonstration_id != gathering.demonstration_id:
        raise ValidationError(_("Choose a briefing of this demonstration."))
    if station.pk:
        held = station.sign_ups.held().count()
        if station.places < held:
            raise ValidationError(
                _("%(held)d people hold a place at %(station)s. Move somebody first.")
                % {"held": held, "station": station}
            )
    station.full_clean()
    station.save(update_fields=[*STATION_FIELDS] if station.pk else None)


def _take_away(station: Station) -> None:
    if station.sign_ups.live().exists():
        raise ValidationError(
            _("People are signed up for %s. Move them before you take it away.")
            % station
        )
    station.sign_ups.given_up().delete()
    station.delete()
