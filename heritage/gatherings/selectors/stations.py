"""A station with its people: who has a place, who waits, how to reach them."""

from dataclasses import dataclass
from datetime import datetime

from heritage.calc.young_people import AgeRule
from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.selectors.asks import (
    Known,
    Refusal,
    age_asked,
    age_words,
    refusal,
)
from heritage.gatherings.selectors.filling import Filling
from heritage.people.models import AgeBand, Volunteer
from heritage.people.selectors import address_of, own_address


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
