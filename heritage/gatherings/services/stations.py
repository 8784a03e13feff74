"""The stations of a gathering, set as they are to be."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.gatherings.models import AT_THE_DAM, Gathering, Station, StationKind
from heritage.people.models import AgeBand, Competence
from heritage.safety.models import Briefing
from heritage.season.models import Demonstration

STATION_FIELDS = (
    "kind",
    "title",
    "places",
    "fewest",
    "least_age",
    "competence",
    "briefing",
    "note",
)


@dataclass(frozen=True, slots=True)
class StationPlan:
    """One station as it is to be; ``station`` is the one it changes, if any."""

    kind: str
    title: str
    places: int
    fewest: int = 0
    least_age: str = AgeBand.FROM_16
    competence: Competence | None = None
    briefing: Briefing | None = None
    note: str = ""
    station: Station | None = None

    @property
    def name(self) -> str:
        """What tells the station from the others of its gathering."""
        return self.title.casefold()


def set_stations(gathering: Gathering, plans: Sequence[StationPlan]) -> None:
    """Give a gathering, which is held, the stations planned and no others."""
    require_plans(gathering.demonstration, plans, gathering.stage)
    kept = {plan.station.pk for plan in plans if plan.station}
    for station in gathering.stations.in_order():
        if station.pk not in kept:
            _take_away(station)
    for plan in plans:
        _set_station(gathering, plan)


def require_plans(
    demonstration: Demonstration, plans: Sequence[StationPlan], stage: str
) -> None:
    """Refuse plans that are none, are alike, or ask for what belongs elsewhere.

    Work at the water is refused without a briefing on the water.
    """
    if not plans:
        raise ValidationError(_("A gathering needs at least one station."))
    if len({plan.name for plan in plans}) < len(plans):
        raise ValidationError(_("Give each station a name of its own."))
    for plan in plans:
        if plan.briefing and plan.briefing.demonstration_id != demonstration.pk:
            raise ValidationError(_("Choose a briefing of this demonstration."))
        if plan.competence and plan.competence.demonstration_id != demonstration.pk:
            raise ValidationError(_("Choose a competence of this demonstration."))
    require_water_briefed(stage, plans)


def require_water_briefed(
    stage: str, stations: Iterable[StationPlan | Station]
) -> None:
    """Refuse work with hands over or at the water without a briefing on the water."""
    for one in stations:
        if not StationKind(one.kind).is_at_water(stage):
            continue
        if one.briefing is None:
            words = _(
                "%s is work at the water. Choose the briefing people must hear first."
            )
            raise ValidationError(words % one.title)
        if not speaks_of_water(one.briefing):
            words = _(
                "%(station)s is work at the water, and the briefing “%(briefing)s” "
                "names none of its dangers. Choose another, or add them to it."
            )
            said = {"station": one.title, "briefing": one.briefing}
            raise ValidationError(words % said)


def speaks_of_water(briefing: Briefing) -> bool:
    """Tell whether a briefing names a danger met in treading, or at the dam alone."""
    return any(
        StationKind.TREAD in hazard.works
        or (not hazard.works and AT_THE_DAM.intersection(hazard.stages))
        for hazard in briefing.hazards.all()
    )


def _set_station(gathering: Gathering, plan: StationPlan) -> None:
    station = plan.station or Station(gathering=gathering)
    if station.gathering_id != gathering.pk:
        raise ValidationError(_("That station belongs to another gathering."))
    for name in STATION_FIELDS:
        setattr(station, name, getattr(plan, name))
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
    station.sign_ups.over().delete()
    station.delete()
