"""Who of a gathering has heard what their station asks, and who is left."""

from dataclasses import dataclass

from heritage.gatherings.models import Gathering, Station
from heritage.people.models import Volunteer
from heritage.safety.models import Acknowledgement, Briefing, BriefingVersion
from heritage.safety.selectors import heard_pairs, missing_briefings


@dataclass(frozen=True, slots=True)
class Left:
    """Somebody who has a place and has yet to hear its briefing."""

    volunteer: Volunteer
    station: Station
    is_again: bool


@dataclass(frozen=True, slots=True)
class Told:
    """One briefing that the gathering's stations ask for."""

    briefing: Briefing
    version: BriefingVersion | None
    heard: tuple[Volunteer, ...]
    left: tuple[Left, ...]


@dataclass(frozen=True, slots=True)
class Unplaced:
    """Somebody who came without a place, and what they have not heard."""

    volunteer: Volunteer
    missing: tuple[Briefing, ...]


@dataclass(frozen=True, slots=True)
class BriefedPage:
    """All that a lead needs to know before the work begins."""

    gathering: Gathering
    told: tuple[Told, ...]
    unplaced: tuple[Unplaced, ...]

    @property
    def left(self) -> int:
        """How many places are held by somebody who has not heard."""
        return sum(len(one.left) for one in self.told)


def briefed_page(gathering: Gathering) -> BriefedPage:
    """Return who is left, by briefing: six queries, however many they are."""
    stations = [
        row
        for row in gathering.stations.select_related("briefing").in_order()
        if row.briefing
    ]
    briefings = {row.briefing.pk: row.briefing for row in stations if row.briefing}
    places = list(gathering.sign_ups.held().for_page())
    came = [row.volunteer for row in gathering.turnout.with_people()]
    people = {row.volunteer_id: row.volunteer for row in places}
    versions = BriefingVersion.objects.current().filter(briefing__in=briefings)
    newest = {version.briefing_id: version for version in versions}
    heard = heard_pairs(people.values(), briefings.values())
    rows = Acknowledgement.objects.void().filter(
        volunteer__in=people, version__briefing__in=briefings
    )
    before = set(rows.values_list("volunteer_id", "version__briefing_id"))
    placed = [(row.volunteer, row.station_id) for row in places]
    told = tuple(
        _told(one, newest.get(one.pk), stations, placed, heard, before)
        for one in briefings.values()
    )
    loose = [person for person in came if person.pk not in people]
    missing = missing_briefings(loose, briefings.values())
    return BriefedPage(
        gathering,
        told,
        tuple(Unplaced(one, missing[one.pk]) for one in loose if missing[one.pk]),
    )


def _told(
    briefing: Briefing,
    version: BriefingVersion | None,
    stations: list[Station],
    placed: list[tuple[Volunteer, int]],
    heard: set[tuple[int, int]],
    before: set[tuple[int, int]],
) -> Told:
    asking = {row.pk: row for row in stations if row.briefing_id == briefing.pk}
    there = [(person, asking[key]) for person, key in placed if key in asking]
    there.sort(key=lambda pair: pair[0].name)
    return Told(
        briefing,
        version,
        tuple(who for who, _ in there if (who.pk, briefing.pk) in heard),
        tuple(
            Left(who, station, (who.pk, briefing.pk) in before)
            for who, station in there
            if (who.pk, briefing.pk) not in heard
        ),
    )
