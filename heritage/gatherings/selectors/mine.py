"""The reader's own household at a gathering: where each stands, what each may do."""

from dataclasses import dataclass

from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors.asks import Known, Refusal, refusal
from heritage.gatherings.selectors.stations import Place, StationView
from heritage.people.models import Volunteer
from heritage.safety.models import Briefing


@dataclass(frozen=True, slots=True)
class Choice:
    """One station for one person of the household: open to them, or why not."""

    view: StationView
    refusal: Refusal | None

    @property
    def waits(self) -> bool:
        """Whether only a turn is to be had, beside an adult who waits too."""
        return self.refusal is not None and self.refusal.may_wait


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

    @property
    def needs_adult(self) -> str:
        """Why a child has no place yet: the adult they come with has none."""
        found = (one.refusal for one in self.choices if one.refusal)
        return next((why.reason for why in found if why.needs_adult), "")

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
