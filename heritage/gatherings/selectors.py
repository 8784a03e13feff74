"""A gathering's own page, the list of them, the sign-in sheet, and the patterns."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from operator import attrgetter
from pathlib import Path
from typing import Any

from heritage.briefings.models import BriefingVersion
from heritage.common.models import Viewer
from heritage.gatherings.asked.selectors import known_of, machine_warnings
from heritage.gatherings.ground.selectors import (
    Filling,
    Light,
    call_in_words,
    filling_of,
    light_of,
    light_warnings,
    was,
)
from heritage.gatherings.models import (
    Call,
    Gathering,
    Pattern,
    PatternStation,
    Station,
)
from heritage.gatherings.places.selectors import (
    Mine,
    Place,
    StationView,
    Unfit,
    mine_of,
    shown_name,
    station_view,
    unfit_places,
)
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration, Stage


@dataclass(frozen=True, slots=True)
class GatheringPage:
    """Everything a gathering's page shows; names only where they may be seen."""

    gathering: Gathering
    light: Light
    warnings: list[str]
    machines: list[str]
    stations: list[StationView]
    mine: list[Mine]
    calls: list[Call]
    is_open: bool
    is_over: bool
    sees_names: bool
    is_led: bool
    unfit: list[Unfit] = field(default_factory=list)

    @property
    def was(self) -> str:
        """When and where it was first to be, if it has moved."""
        return was(self.gathering)

    @property
    def wants_hands(self) -> bool:
        """Whether it still matters how many more are needed or could come."""
        return not (self.is_over or self.gathering.is_called_off)

    @property
    def wants_place(self) -> bool:
        """Whether the household needs a page to come: children, or a briefing."""
        free = [one for one in self.mine if one.place is None]
        hears = any(one.to_hear and not one.open for one in free)
        could = [one for one in free if one.open_together or one.to_hear]
        return hears or len(could) > 1

    @property
    def has_begun(self) -> bool:
        """Whether signing up has closed because it goes on."""
        shut = self.is_open or self.is_over or self.gathering.is_draft
        return not (shut or self.gathering.is_called_off)

    @property
    def unanswered(self) -> list[Place]:
        """Those who moved up and have yet to say that they come, the soonest first."""
        places = [one for view in self.stations for one in view.held if one.answer_by]
        return sorted(places, key=attrgetter("sign_up.answer_by", "sign_up.pk"))

    @property
    def has_place(self) -> bool:
        """Whether anybody of the household has a place or a turn."""
        return any(one.place for one in self.mine)

    @property
    def named(self) -> set[int]:
        """The people at a station: their name is said there, once."""
        places = (one for view in self.stations for one in (*view.held, *view.waiting))
        return {place.sign_up.volunteer_id for place in places}

    @property
    def wanting(self) -> set[int]:
        """The stations where somebody has not answered, or does not fit."""
        asked = [*self.unanswered, *(one.place for one in self.unfit)]
        return {place.sign_up.station_id for place in asked}

    @property
    def one_briefing(self) -> StationView | None:
        """A station to say it at, where all of several ask for the same briefing."""
        asked = {view.station.briefing_id for view in self.stations}
        several = len(self.stations) > 1 and len(asked) == 1
        return self.stations[0] if several else None

    @property
    def call(self) -> Call | None:
        """The call that holds."""
        return self.calls[0] if self.calls else None

    @property
    def words_to_copy(self) -> str:
        """The call in a few words, to be texted to those whom no mail reaches."""
        return call_in_words(self.gathering, self.call) if self.call else ""

    @property
    def not_briefed(self) -> list[Place]:
        """Those with a place who have not heard what their station asks."""
        return [
            place
            for view in self.stations
            for place in view.held
            if not place.has_heard
        ]

    @property
    def not_reached(self) -> list[Place]:
        """Those whom no mail reaches: they are told by telephone."""
        places = [place for view in self.stations for place in view.held + view.waiting]
        return [place for place in places if not place.is_reached]


def gathering_page(
    gathering: Gathering,
    *,
    now: datetime,
    volunteer: Volunteer | None = None,
    is_led: bool = False,
) -> GatheringPage:
    """Return a gathering's page for its reader: in a fixed number of queries.

    Five of them, one more for members, for stations that ask for a competence, and for
    young people at the machines; three more for a lead where stations are at the
    machines.
    """
    stations = list(gathering.stations.with_asked())
    rows = gathering.sign_ups.live().for_page()
    sign_ups = list(rows.with_wishes() if is_led or volunteer else rows)
    household = _household(volunteer)
    people = {row.volunteer_id: row.volunteer for row in sign_ups}
    people |= {person.pk: person for person in household}
    known = known_of(people.values(), gathering, stations)
    views = [station_view(gathering, row, sign_ups, known) for row in stations]
    light, is_off = light_of(gathering), gathering.is_called_off
    return GatheringPage(
        gathering=gathering,
        light=light,
        warnings=[] if is_off else light_warnings(light, gathering, stations),
        machines=machine_warnings(gathering, stations, now) if is_led else [],
        stations=views,
        mine=[mine_of(one, volunteer, gathering, views, known) for one in household],
        calls=list(gathering.calls.newest_first()),
        is_open=gathering.status == "posted" and now < gathering.starts_at,
        is_over=now >= gathering.ends_at,
        sees_names=is_led or volunteer is not None,
        is_led=is_led,
        unfit=unfit_places(gathering, views, known) if is_led else [],
    )


def _household(volunteer: Volunteer | None) -> list[Volunteer]:
    if volunteer is None:
        return []
    people = Volunteer.objects.active().answered_for_by(volunteer)
    people = people.select_related("guardian").by_name()
    return sorted(people, key=lambda person: person.pk != volunteer.pk)


@dataclass(frozen=True, slots=True)
class Short:
    """A station that has fewer than it needs, and what it lacks."""

    station: Station
    filling: Filling


@dataclass(frozen=True, slots=True)
class GatheringLine:
    """One gathering in a list: its places, its light and its newest call."""

    gathering: Gathering
    light: Light
    places: int
    held: int
    waiting: int
    free: int
    call: Call | None
    short: list[Short] = field(default_factory=list)

    @property
    def is_full(self) -> bool:
        return self.free == 0

    @property
    def is_on_hold(self) -> bool:
        return bool(self.call and self.call.decision == "hold")

    @property
    def was(self) -> str:
        """When and where it was first to be, if it has moved."""
        return was(self.gathering)


def next_gatherings(
    demonstration: Demonstration, now: datetime, user: Viewer, limit: int = 3
) -> list[GatheringLine]:
    """Return the next posted gatherings that the user may see: three queries."""
    rows = Gathering.objects.visible_to(user).of(demonstration).published()
    return gathering_lines(rows.upcoming(now).for_page()[:limit])


def gathering_lines(gatherings: Iterable[Gathering]) -> list[GatheringLine]:
    """Describe gatherings for a list: two queries beside their own."""
    rows = list(gatherings)
    stations: dict[int, list[Station]] = {row.pk: [] for row in rows}
    for station in Station.objects.filter(gathering__in=rows).with_counts().in_order():
        stations[station.gathering_id].append(station)
    newest = Call.objects.filter(gathering__in=rows).newest_of_each()
    calls = {call.gathering_id: call for call in newest}
    return [_line(row, stations[row.pk], calls.get(row.pk)) for row in rows]


def _line(
    gathering: Gathering, stations: list[Station], call: Call | None
) -> GatheringLine:
    fillings = [(station, filling_of(station)) for station in stations]
    return GatheringLine(
        gathering=gathering,
        light=light_of(gathering),
        places=sum(station.places for station in stations),
        held=sum(station.held for station in stations),
        waiting=sum(station.waiting for station in stations),
        free=sum(filling.free for _, filling in fillings),
        call=call,
        short=[Short(one, filling) for one, filling in fillings if filling.short],
    )


@dataclass(frozen=True, slots=True)
class SheetStation:
    """A station's part of the sheet: names, places left, briefing with its version."""

    station: Station
    names: list[str]
    blank_rows: int
    briefing: str

    @property
    def filling(self) -> Filling:
        """How full the station is, in figures and words."""
        places, fewest = self.station.places, self.station.fewest
        return Filling(places, fewest, held=len(self.names))


@dataclass(frozen=True, slots=True)
class SignInSheet:
    """Everything on an evening's sign-in and tally sheet."""

    gathering: Gathering
    light: Light
    warnings: list[str]
    stations: list[SheetStation]

    @property
    def has_machine_or_water(self) -> bool:
        return any(one.station.work.stops_by_sunset for one in self.stations)


def sign_in_sheet(gathering: Gathering) -> SignInSheet:
    """Gather an evening's sheet: three queries."""
    stations = list(gathering.stations.select_related("briefing").in_order())
    names: dict[int, list[str]] = {row.pk: [] for row in stations}
    for entry in gathering.sign_ups.held().select_related("volunteer"):
        names[entry.station_id].append(shown_name(entry.volunteer))
    asked = [row.briefing_id for row in stations if row.briefing_id]
    newest = BriefingVersion.objects.current().filter(briefing__in=asked)
    numbers = dict(newest.values_list("briefing_id", "number"))
    light = light_of(gathering)
    return SignInSheet(
        gathering,
        light,
        light_warnings(light, gathering, stations),
        [_part(row, sorted(names[row.pk]), numbers) for row in stations],
    )


def _part(station: Station, names: list[str], numbers: dict[int, int]) -> SheetStation:
    briefing = ""
    if station.briefing:
        number = numbers.get(station.briefing.pk)
        version = f"version {number}" if number else "not published yet"
        briefing = f"{station.briefing.title}, {version}"
    return SheetStation(station, names, max(0, station.places - len(names)), briefing)


STARTING = Path(__file__).resolve().parent / "starting_patterns.json"


@dataclass(frozen=True, slots=True)
class StartingPattern:
    """A kind of gathering in our own words, not on the organiser's list yet."""

    title: str
    stage: str
    bring: str
    note: str
    stations: list[dict[str, Any]]

    @property
    def stage_words(self) -> str:
        return str(Stage(self.stage).label)


@dataclass(frozen=True, slots=True)
class PatternLine:
    """One pattern in the list, with its stations."""

    pattern: Pattern
    stations: list[PatternStation]


@dataclass(frozen=True, slots=True)
class PatternsPage:
    """The organiser's list, and what may still be taken into it."""

    patterns: list[PatternLine]
    starting: list[StartingPattern]


def patterns_page(demonstration: Demonstration) -> PatternsPage:
    """Return the list of patterns: two queries."""
    rows = list(Pattern.objects.of(demonstration).by_title())
    stations: dict[int, list[PatternStation]] = {row.pk: [] for row in rows}
    for station in PatternStation.objects.of(demonstration).in_order():
        stations[station.pattern_id].append(station)
    known = {row.title.casefold() for row in rows}
    return PatternsPage(
        [PatternLine(row, stations[row.pk]) for row in rows],
        [one for one in starting_patterns() if one.title.casefold() not in known],
    )


def starting_patterns() -> list[StartingPattern]:
    """Return every kind of gathering that may be begun with."""
    return [StartingPattern(**{"stations": [], **row}) for row in _read_patterns()]


@cache
def _read_patterns() -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(STARTING.read_text(encoding="utf-8"))
    return rows
