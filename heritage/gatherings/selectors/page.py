"""A gathering's own page."""

from dataclasses import dataclass, field
from datetime import datetime
from operator import attrgetter

from heritage.calc.young_people import AgeRule
from heritage.gatherings.models import (
    Call,
    Gathering,
    SignUp,
    SignUpStatus,
    Station,
)
from heritage.gatherings.selectors.asks import (
    Known,
    Refusal,
    age_asked,
    age_words,
    known_of,
    refusal,
)
from heritage.gatherings.selectors.light import Light, light_of, light_warnings
from heritage.people.models import AgeBand, Volunteer
from heritage.people.selectors import address_of, own_address
from heritage.safety.models import Briefing


@dataclass(frozen=True, slots=True)
class Place:
    """Somebody's place or turn, and what the lead needs to know of them."""

    sign_up: SignUp
    turn: int | None
    has_heard: bool

    @property
    def volunteer(self) -> Volunteer:
        return self.sign_up.volunteer

    @property
    def shown_name(self) -> str:
        return shown_name(self.volunteer)

    @property
    def answer_by(self) -> datetime | None:
        """When they are to have said that they come, if they still have to."""
        return self.sign_up.answer_by

    @property
    def is_reached(self) -> bool:
        """Whether letters reach them; if not, the lead telephones."""
        return bool(address_of(self.volunteer))

    @property
    def telephone(self) -> str:
        """The number to ring, as a telephone takes it: digits, and a plus before."""
        guardian = self.volunteer.guardian
        number = self.volunteer.phone or (guardian.phone if guardian else "")
        return "".join(mark for mark in number if mark.isdigit() or mark == "+")

    @property
    def contact(self) -> str:
        """How to reach them, or the adult who answers for them."""
        person = self.volunteer
        own = person.phone or own_address(person)
        guardian = person.guardian
        if own or guardian is None:
            return own
        return f"{guardian}, {guardian.phone or address_of(guardian)}"


@dataclass(frozen=True, slots=True)
class StationView:
    """A station as the page shows it."""

    station: Station
    years: int
    rule: AgeRule
    held: list[Place]
    waiting: list[Place]

    @property
    def age_words(self) -> str:
        return age_words(self.years, self.rule)

    @property
    def free(self) -> int:
        return max(0, self.station.places - len(self.held) - len(self.waiting))


@dataclass(frozen=True, slots=True)
class Choice:
    """One station for one person of the household: open to them, or why not."""

    view: StationView
    refusal: Refusal | None


@dataclass(frozen=True, slots=True)
class ToHear:
    """A briefing somebody has yet to hear, and the stations it opens."""

    briefing: Briefing
    stations: list[str]


@dataclass(frozen=True, slots=True)
class Mine:
    """One person the reader answers for, and where they stand."""

    volunteer: Volunteer
    is_self: bool
    place: Place | None
    station: Station | None
    choices: list[Choice]

    @property
    def open(self) -> list[Choice]:
        """The stations they may ask for now."""
        return [choice for choice in self.choices if choice.refusal is None]

    @property
    def to_hear(self) -> list[ToHear]:
        """Each briefing that keeps them from a station, said once."""
        found: dict[Briefing, list[str]] = {}
        for choice in self.choices:
            asked = choice.view.station.briefing
            if asked and choice.refusal and choice.refusal.needs_briefing:
                found.setdefault(asked, []).append(choice.view.station.title)
        return [ToHear(asked, stations) for asked, stations in found.items()]

    @property
    def not_for_them(self) -> list[Choice]:
        """The stations that nothing they do would open to them."""
        return [
            choice
            for choice in self.choices
            if choice.refusal and not choice.refusal.needs_briefing
        ]


@dataclass(frozen=True, slots=True)
class GatheringPage:
    """Everything a gathering's page shows; names only where they may be seen."""

    gathering: Gathering
    light: Light
    warnings: list[str]
    stations: list[StationView]
    mine: list[Mine]
    calls: list[Call]
    is_open: bool
    sees_names: bool
    is_led: bool
    others: list[Volunteer] = field(default_factory=list)

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


def shown_name(person: Volunteer) -> str:
    """Return the name others see: of a child, the first name only."""
    if person.age_band == AgeBand.ADULT:
        return person.name
    return person.name.split(" ")[0]


def gathering_page(
    gathering: Gathering,
    *,
    now: datetime,
    volunteer: Volunteer | None = None,
    is_led: bool = False,
) -> GatheringPage:
    """Return a gathering's page for its reader: in a fixed number of queries.

    Five of them, one more for a lead, for stations that ask for a competence, and
    for young people at the machines.
    """
    asks = gathering.stations.select_related("briefing", "competence")
    stations = list(asks.in_order())
    sign_ups = list(gathering.sign_ups.live().for_page())
    household = _household(volunteer)
    others = _others(gathering, sign_ups, is_led)
    people = {row.volunteer_id: row.volunteer for row in sign_ups}
    people |= {person.pk: person for person in household}
    known = known_of(people.values(), gathering, stations)
    views = [_view(gathering, row, sign_ups, known.heard) for row in stations]
    light = light_of(gathering)
    return GatheringPage(
        gathering=gathering,
        light=light,
        warnings=light_warnings(light, gathering, stations),
        stations=views,
        mine=[_mine(one, volunteer, gathering, views, known) for one in household],
        calls=list(gathering.calls.newest_first()),
        is_open=gathering.status == "posted" and now < gathering.starts_at,
        sees_names=is_led or volunteer is not None,
        is_led=is_led,
        others=others,
    )


def _household(volunteer: Volunteer | None) -> list[Volunteer]:
    if volunteer is None:
        return []
    people = Volunteer.objects.active().answered_for_by(volunteer).by_name()
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


def _view(
    gathering: Gathering,
    station: Station,
    sign_ups: list[SignUp],
    heard: set[tuple[int, int]],
) -> StationView:
    held: list[Place] = []
    waiting: list[Place] = []
    for row in sign_ups:
        if row.station_id != station.pk:
            continue
        key = (row.volunteer_id, station.briefing_id)
        has_heard = station.briefing_id is None or key in heard
        if row.status == SignUpStatus.HELD:
            held.append(Place(row, None, has_heard))
        else:
            waiting.append(Place(row, len(waiting) + 1, has_heard))
    years, rule = age_asked(station, gathering.demonstration)
    return StationView(station, years, rule, held, waiting)


def _mine(
    person: Volunteer,
    reader: Volunteer | None,
    gathering: Gathering,
    views: list[StationView],
    known: Known,
) -> Mine:
    choices = [
        Choice(view, refusal(view.station, gathering, person, known)) for view in views
    ]
    for view in views:
        for place in view.held + view.waiting:
            if place.volunteer.pk == person.pk:
                return Mine(person, person == reader, place, view.station, choices)
    return Mine(person, person == reader, None, None, choices)
