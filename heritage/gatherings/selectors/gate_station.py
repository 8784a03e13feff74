"""One person at the gate, and the stations they may be given."""

from dataclasses import dataclass
from datetime import datetime

from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station, Turnout
from heritage.gatherings.selectors.asks import Refusal, known_of, refusal
from heritage.gatherings.selectors.filling import Filling, filling_of
from heritage.gatherings.selectors.running import standing_still
from heritage.people.models import Volunteer
from heritage.safety.models import BriefingVersion


@dataclass(frozen=True, slots=True)
class Choice:
    """A station, how full it is, and why they may not work there, if so."""

    station: Station
    filling: Filling
    refusal: Refusal | None
    is_theirs: bool
    # The words to read to them, where hearing them is all that is missing.
    to_hear: BriefingVersion | None

    @property
    def is_full(self) -> bool:
        """Whether every place is held, and none of them by this person."""
        return not self.is_theirs and self.filling.held >= self.filling.places


@dataclass(frozen=True, slots=True)
class StationsFor:
    """Everything the lead sees of one person at the gate."""

    gathering: Gathering
    volunteer: Volunteer
    row: Turnout | None
    place: SignUp | None
    choices: tuple[Choice, ...]
    is_here: bool

    @property
    def station(self) -> Station | None:
        """Where they have a place, if they have one."""
        held = self.place and self.place.status == SignUpStatus.HELD
        return self.place.station if self.place and held else None

    @property
    def to_hear(self) -> tuple[BriefingVersion, ...]:
        """Each text once that would open a station to them."""
        found = {one.to_hear.pk: one.to_hear for one in self.choices if one.to_hear}
        return tuple(found.values())


def stations_for(
    gathering: Gathering, volunteer: Volunteer, now: datetime
) -> StationsFor:
    """Return where somebody may be put: ten queries at most."""
    asks = gathering.stations.select_related("briefing", "competence")
    stations = list(asks.with_counts().in_order())
    known = known_of([volunteer], gathering, stations)
    briefings = [row.briefing for row in stations if row.briefing]
    newest = {
        version.briefing_id: version
        for version in BriefingVersion.objects.current()
        .filter(briefing__in=briefings)
        .select_related("briefing")
    }
    row = gathering.turnout.by(volunteer).first()
    place = gathering.sign_ups.live().by(volunteer).select_related("station").first()
    held = place if place and place.status == SignUpStatus.HELD else None
    still = standing_still(gathering, stations)
    choices = []
    for station in stations:
        why = refusal(station, gathering, volunteer, known) or still.get(station.pk)
        text = newest.get(station.briefing_id or 0)
        choices.append(
            Choice(
                station,
                filling_of(station),
                why,
                held is not None and held.station_id == station.pk,
                text if why and why.needs_briefing else None,
            )
        )
    is_here = row is not None and row.is_here_at(now)
    return StationsFor(
        gathering,
        volunteer,
        row,
        place,
        tuple(choices),
        is_here,
    )
