"""An assignment written as a whole-number program."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from ._assignment_model import Person, Station
from ._milp import Program, Solution

Terms = dict[int, float]

# The longest to look for something better, for each aim.
SECONDS = 10.0


@dataclass(frozen=True)
class AssignmentProgram:
    """One variable for each person at each station where they could be."""

    people: Sequence[Person]
    stations: Sequence[Station]

    @cached_property
    def program(self) -> Program:
        """The program, to which the rules are added as it is solved."""
        return Program()

    @cached_property
    def on(self) -> dict[tuple[str, str], int]:
        """The variable that tells whether a person is at a station."""
        return {
            (person.name, station.name): self.program.variable()
            for person in self.people
            for station in self.stations
            if station.name in person.can
        }

    @cached_property
    def missing(self) -> dict[str, int]:
        """The variable that tells how many a station lacks of its fewest."""
        return {
            station.name: self.program.variable(upper=station.fewest)
            for station in self.stations
        }

    @cached_property
    def idle(self) -> dict[str, int]:
        """The variable that tells whether a station cannot be started."""
        return {station.name: self.program.variable() for station in self.stations}

    @cached_property
    def held(self) -> Counter[str]:
        """How many have a place at each station now."""
        return Counter(person.at for person in self.people if not person.waits)

    def solve(self) -> tuple[Solution | None, bool]:
        """Seek each aim in turn, holding what the aims before it came to."""
        self._bind()
        best, proven = None, True
        for costs in filter(None, self._aims()):
            solution = self.program.minimise(costs, seconds=SECONDS)
            if solution is None:
                return best, False
            best, proven = solution, proven and solution.proven
            worth = sum(cost * solution.values[n] for n, cost in costs.items())
            self.program.require(costs, most=worth + 1e-6)
        return best, proven

    def placed(self, person: Person) -> Terms:
        """Return the sum that is one if a person has a place, and nought if not."""
        names = (one.name for one in self.stations if one.name in person.can)
        return {self.on[person.name, name]: 1.0 for name in names}

    def _aims(self) -> Iterator[Terms]:
        """Yield what to make small, the most important first."""
        yield dict.fromkeys(self.missing.values(), 1.0)
        yield dict.fromkeys(self.idle.values(), 1.0)
        yield dict.fromkeys(self.on.values(), -1.0)
        yield {n: 1.0 for (who, where), n in self.on.items() if where != self.home[who]}
        yield {
            n: 1.0
            for (who, where), n in self.on.items()
            if where != self.home[who] and who in self.holders
        }
        yield self._order()

    @cached_property
    def home(self) -> dict[str, str]:
        """Where each person is now, or waits to be."""
        return {person.name: person.at for person in self.people}

    @cached_property
    def holders(self) -> frozenset[str]:
        """Who has a place now."""
        return frozenset(person.name for person in self.people if not person.waits)

    def _order(self) -> Terms:
        """Place who asked first; move who asked last; then as listed."""
        width = len(self.stations)
        costs: Terms = {}
        for rank, person in enumerate(self.people):
            turn = rank if person.waits else len(self.people) - rank
            for column, station in enumerate(self.stations):
                key = (person.name, station.name)
                if key in self.on and (person.waits or station.name != person.at):
                    costs[self.on[key]] = float(turn * width + column)
        return costs

    def _bind(self) -> None:
        """Write every rule down."""
        for station in self.stations:
            self._station(station)
            self._queue(station)
        for person in self.people:
            if terms := self.placed(person):
                self.program.require(terms, least=0 if person.waits else 1, most=1)

    def _station(self, station: Station) -> None:
        """Keep to the places; count what is missing; never stop what can start."""
        crew: Terms = {
            n: 1.0 for (_, where), n in self.on.items() if where == station.name
        }
        missing, idle = self.missing[station.name], self.idle[station.name]
        held, least = self.held[station.name], float(station.fewest)
        # More may be there now than there are places: they are not sent away.
        self.program.require(crew, most=max(station.places, held))
        self.program.require(crew | {missing: 1.0}, least=least)
        self.program.require({missing: 1.0, idle: -least}, most=0)
        if held >= station.fewest:
            self.program.require({missing: 1.0}, most=0)

    def _queue(self, station: Station) -> None:
        """Let nobody come to a station past somebody who waits for it and may."""
        before: int | None = None
        for person in self.people:
            own = self.on.get((person.name, station.name))
            if person.waits and person.at == station.name and own is not None:
                if before is not None:
                    self.program.require({own: 1.0, before: -1.0}, most=0)
                before = self._all_placed(person, before)
        if before is None:
            return
        for person in self.people:
            key = (person.name, station.name)
            if person.at != station.name and key in self.on:
                self.program.require({self.on[key]: 1.0, before: -1.0}, most=0)

    def _all_placed(self, person: Person, before: int | None) -> int:
        """Return the variable that tells whether the queue is placed down to here."""
        both = self.program.variable()
        away = dict.fromkeys(self.placed(person), -1.0)
        self.program.require(away | {both: 1.0}, most=0)
        if before is not None:
            self.program.require({both: 1.0, before: -1.0}, most=0)
        return both
