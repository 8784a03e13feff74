"""A station with its people: who has a place, who waits, how to reach them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.briefings.models import Briefing
from heritage.briefings.selectors import BriefingPage, briefing_page
from heritage.calc.young_people import AgeRule
from heritage.gatherings.asked.selectors import (
    Known,
    Refusal,
    age_asked,
    age_words,
    refusal,
)
from heritage.gatherings.ground.selectors import Filling
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.people.letters.selectors import address_of, own_address
from heritage.people.models import AgeBand, Volunteer
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Place:
    """Somebody's place or turn, and what the lead needs to know of them."""

    sign_up: SignUp
    turn: int | None
    has_heard: bool
    # Why a place goes past somebody who waits for it, if it does.
    barred: Refusal | None = None
    # The children who wait too, and move up together with them or not at all.
    beside: tuple[str, ...] = ()

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
        return self.filling.free

    @property
    def filling(self) -> Filling:
        """How full the station is, in figures and words."""
        return Filling(
            self.station.places,
            self.station.fewest,
            held=len(self.held),
            waiting=len(self.waiting),
            unanswered=sum(place.answer_by is not None for place in self.held),
            barred=sum(
                place.barred is not None or bool(place.beside) for place in self.waiting
            ),
        )


def shown_name(person: Volunteer) -> str:
    """Return the name others see: of a child, the first name only."""
    if person.age_band == AgeBand.ADULT:
        return person.name
    return person.name.split(" ")[0]


def station_view(
    gathering: Gathering,
    station: Station,
    sign_ups: list[SignUp],
    known: Known,
) -> StationView:
    """Return a station as the page shows it, of all who are signed up."""
    held: list[Place] = []
    waiting: list[Place] = []
    for row in sign_ups:
        if row.station_id != station.pk:
            continue
        key = (row.volunteer_id, station.briefing_id)
        has_heard = station.briefing_id is None or key in known.heard
        if row.status == SignUpStatus.HELD:
            held.append(Place(row, None, has_heard))
        else:
            barred = refusal(station, gathering, row.volunteer, known)
            beside = _beside(row, sign_ups)
            waiting.append(Place(row, len(waiting) + 1, has_heard, barred, beside))
    years, rule = age_asked(station, gathering)
    return StationView(station, years, rule, held, waiting)


def _beside(row: SignUp, sign_ups: list[SignUp]) -> tuple[str, ...]:
    """Name the children who wait with somebody and come only with them."""
    return tuple(
        other.volunteer.name
        for other in sign_ups
        if other.volunteer.guardian_id == row.volunteer_id
        and other.volunteer.needs_adult
        and not other.is_held
    )


@dataclass(frozen=True, slots=True)
class Choice:
    """One station for one person of the household: open to them, or why not."""

    view: StationView
    refusal: Refusal | None

    @property
    def waits(self) -> bool:
        """Whether only a turn is to be had, beside an adult who waits too."""
        return self.refusal is not None and self.refusal.may_wait

    def opens_by(self, briefing: Briefing | None) -> bool:
        """Whether all that keeps them from it is a briefing to hear: this one."""
        asked = self.view.station.briefing
        needs = self.refusal is not None and self.refusal.needs_briefing
        return needs and asked is not None and asked == briefing


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
    def wishes(self) -> list[Station]:
        """Where else they said they would work, in the order of the stations."""
        if self.place is None:
            return []
        wished = {station.pk for station in self.place.sign_up.also.all()}
        return [
            one.view.station for one in self.choices if one.view.station.pk in wished
        ]

    @property
    def may_wish(self) -> list[Station]:
        """The other stations they may say so of: not those they are too young for."""
        return [
            one.view.station
            for one in self.choices
            if one.view.station != self.station
            and not (one.refusal and one.refusal.code == "age")
        ]

    @property
    def open(self) -> list[Choice]:
        """The stations they may ask for now."""
        return [one for one in self.choices if one.refusal is None or one.waits]

    @property
    def open_together(self) -> list[Choice]:
        """The stations they may ask for in one form with the adult they come with."""
        return [
            one
            for one in self.choices
            if one.refusal is None or one.waits or one.refusal.needs_adult
        ]

    def offered(self, briefing: Briefing | None) -> list[Choice]:
        """Return the stations they may ask for, one briefing read on the page."""
        return [
            one
            for one in self.choices
            if one in self.open_together or one.opens_by(briefing)
        ]

    @property
    def needs_adult(self) -> str:
        """Why a child has no place yet: the adult they come with has none."""
        refusals = (one.refusal for one in self.choices if one.refusal)
        return next((why.reason for why in refusals if why.needs_adult), "")

    @property
    def to_hear(self) -> list[ToHear]:
        """Each briefing that keeps them from a station, said once."""
        stations_of: dict[Briefing, list[str]] = {}
        for choice in self.choices:
            asked = choice.view.station.briefing
            if asked and choice.refusal and choice.refusal.needs_briefing:
                stations_of.setdefault(asked, []).append(choice.view.station.title)
        return [ToHear(asked, stations) for asked, stations in stations_of.items()]

    @property
    def not_for_them(self) -> list[Choice]:
        """The stations that nothing they do would open to them."""
        return [
            choice
            for choice in self.choices
            if choice.refusal
            and not choice.refusal.needs_briefing
            and not choice.refusal.needs_adult
            and not choice.waits
        ]


def mine_of(
    person: Volunteer,
    reader: Volunteer | None,
    gathering: Gathering,
    views: list[StationView],
    known: Known,
) -> Mine:
    """Return where one person of the reader's household stands."""
    choices = [
        Choice(view, refusal(view.station, gathering, person, known)) for view in views
    ]
    for view in views:
        for place in view.held + view.waiting:
            if place.volunteer.pk == person.pk:
                return Mine(person, person == reader, place, view.station, choices)
    return Mine(person, person == reader, None, None, choices)


@dataclass(frozen=True, slots=True)
class ComePage:
    """Those of a household without a place, and the briefing that they read here.

    ``others`` are the briefings that would open more stations, each with those.
    """

    people: list[Mine]
    briefing: BriefingPage | None
    others: list[ToHear]

    @property
    def shown(self) -> Briefing | None:
        """The briefing that stands on the page."""
        return self.briefing.briefing if self.briefing else None


def come_page(mine: Iterable[Mine], wanted: str = "") -> ComePage:
    """Show who may take which place: two queries for the briefing that is read.

    It is the one ``wanted`` by its key or, for the first who can take no place yet
    without one, that of their first station.
    """
    people = [one for one in mine if one.place is None]
    asked = [ask for one in people for ask in one.to_hear]
    first = [one.to_hear[0] for one in people if one.to_hear and not one.open]
    chosen = [ask for ask in asked if str(ask.briefing.pk) == wanted] or first
    if not chosen:
        return ComePage(people, None, _once(asked))
    briefing = chosen[0].briefing
    rest = _once(ask for ask in asked if ask.briefing != briefing)
    return ComePage(people, briefing_page(briefing, None), rest)


def _once(asked: Iterable[ToHear]) -> list[ToHear]:
    """Return each briefing once, with the stations it opens."""
    return list({ask.briefing.pk: ask for ask in asked}.values())


def newcomer_of(
    demonstration: Demonstration,
    name: str,
    gathering: Gathering,
    views: list[StationView],
) -> Mine:
    """Return what an adult who has not joined yet may ask for."""
    person = Volunteer(demonstration=demonstration, name=name, age_band=AgeBand.ADULT)
    return mine_of(person, person, gathering, views, Known())


@dataclass(frozen=True, slots=True)
class Unfit:
    """A place or turn that stands, though its station would refuse it by now."""

    place: Place
    reason: str

    @property
    def waits(self) -> bool:
        """Whether they wait: a place that comes free goes past them."""
        return self.place.turn is not None


def unfit_places(
    gathering: Gathering, views: Iterable[StationView], known: Known
) -> list[Unfit]:
    """Return the places to look at again: a confirmation ended, a decision changed.

    Nobody is turned out by the site: the lead speaks with them first. Who has a place
    and has yet to hear a briefing is told of elsewhere.
    """
    views = list(views)
    refusals = [
        (place, refusal(view.station, gathering, place.volunteer, known))
        for view in views
        for place in view.held
    ]
    past = [place for view in views for place in view.waiting]
    return [
        Unfit(place, why.reason)
        for place, why in refusals
        if why and not why.needs_briefing
    ] + [
        Unfit(place, place.barred.reason)
        for place in past
        if place.barred and not place.barred.may_wait
    ]


@dataclass(frozen=True, slots=True)
class MyPlace:
    """One place or turn of somebody the reader answers for."""

    sign_up: SignUp
    is_self: bool

    @property
    def turn(self) -> int | None:
        """Which they are in the queue, if they wait."""
        waits = self.sign_up.status == SignUpStatus.WAITING
        return self.sign_up.ahead + 1 if waits else None

    @property
    def is_off(self) -> bool:
        """Whether nobody is expected there."""
        return self.sign_up.gathering.is_called_off

    @property
    def words(self) -> str:
        """Say how they stand there."""
        if self.is_off:
            return _("called off")
        if self.turn:
            return _("%s in the queue") % ordinal(self.turn)
        if self.sign_up.answer_by:
            return _("please answer")
        return _("you have a place")


def my_places(volunteer: Volunteer, now: datetime) -> list[MyPlace]:
    """Return the places and turns to come of a volunteer's household: one query."""
    rows = SignUp.objects.of(volunteer.demonstration).answered_for_by(volunteer)
    rows = rows.coming_up(now).with_turns()
    places = rows.select_related("station", "volunteer", "gathering__demonstration")
    return [MyPlace(row, row.volunteer_id == volunteer.pk) for row in places]


def ordinal(number: int) -> str:
    """Write a number as a rank: 1st, 2nd, 3rd, 11th."""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"
