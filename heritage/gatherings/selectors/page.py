"""A gathering's own page."""

from dataclasses import dataclass, field
from datetime import datetime
from operator import attrgetter

from heritage.gatherings.models import Call, Gathering, SignUp
from heritage.gatherings.selectors.asks import known_of
from heritage.gatherings.selectors.homes import call_in_words
from heritage.gatherings.selectors.light import Light, light_of, light_warnings, was
from heritage.gatherings.selectors.mine import Mine, mine_of
from heritage.gatherings.selectors.running import machine_warnings
from heritage.gatherings.selectors.stations import Place, StationView, station_view
from heritage.gatherings.selectors.unfit import Unfit, unfit_places
from heritage.people.models import Volunteer


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
    sees_names: bool
    is_led: bool
    others: list[Volunteer] = field(default_factory=list)
    unfit: list[Unfit] = field(default_factory=list)

    @property
    def was(self) -> str:
        """When and where it was first to be, if it has moved."""
        return was(self.gathering)

    @property
    def to_sign_up(self) -> list[Mine]:
        """Those of the household who have no place yet and could have one."""
        return [one for one in self.mine if one.place is None and one.open_together]

    @property
    def unanswered(self) -> list[Place]:
        """Those who moved up and have yet to say that they come, the soonest first."""
        places = [one for view in self.stations for one in view.held if one.answer_by]
        return sorted(places, key=attrgetter("sign_up.answer_by", "sign_up.pk"))

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

    Five of them, one more for members, for a lead, for stations that ask for a
    competence, and for young people at the machines; three more for a lead where
    stations are at the machines.
    """
    asks = gathering.stations.select_related("briefing", "competence")
    stations = list(asks.in_order())
    rows = gathering.sign_ups.live().for_page()
    sign_ups = list(rows.with_wishes() if is_led or volunteer else rows)
    household = _household(volunteer)
    others = _others(gathering, sign_ups, is_led)
    people = {row.volunteer_id: row.volunteer for row in sign_ups}
    people |= {person.pk: person for person in household}
    known = known_of(people.values(), gathering, stations)
    views = [station_view(gathering, row, sign_ups, known) for row in stations]
    light = light_of(gathering)
    return GatheringPage(
        gathering=gathering,
        light=light,
        warnings=light_warnings(light, gathering, stations),
        machines=machine_warnings(gathering, stations, now) if is_led else [],
        stations=views,
        mine=[mine_of(one, volunteer, gathering, views, known) for one in household],
        calls=list(gathering.calls.newest_first()),
        is_open=gathering.status == "posted" and now < gathering.starts_at,
        sees_names=is_led or volunteer is not None,
        is_led=is_led,
        others=others,
        unfit=unfit_places(gathering, views, known) if is_led else [],
    )


def _household(volunteer: Volunteer | None) -> list[Volunteer]:
    if volunteer is None:
        return []
    people = Volunteer.objects.active().answered_for_by(volunteer)
    people = people.select_related("guardian").by_name()
    return sorted(people, key=lambda person: person.pk != volunteer.pk)


def _others(
    gathering: Gathering, sign_ups: list[SignUp], is_led: bool
) -> list[Volunteer]:
    """Return those the lead may still sign up."""
    if not is_led:
        return []
    there = {row.volunteer_id for row in sign_ups}
    people = Volunteer.objects.of(gathering.demonstration).active().by_name()
    return [person for person in people if person.pk not in there]
