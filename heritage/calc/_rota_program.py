"""A rota written as a whole-number program."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import ceil, floor

from ._milp import Program, Solution
from ._rota_model import Person, Rules, Slot

Terms = dict[int, float]


@dataclass(frozen=True)
class RotaProgram:
    """One variable for each slot filled and for each person who could be on it."""

    slots: Sequence[Slot]
    people: Sequence[Person]
    rules: Rules

    @cached_property
    def program(self) -> Program:
        """The program, to which the rules are added as it is solved."""
        return Program()

    @cached_property
    def filled(self) -> dict[str, int]:
        """The variable that tells whether a slot is filled."""
        return {slot.name: self.program.variable() for slot in self.slots}

    @cached_property
    def on(self) -> dict[tuple[str, str], int]:
        """The variable that tells whether a person is on a slot."""
        return {
            (person.name, slot.name): self.program.variable()
            for person in self.people
            for slot in self.slots
            if slot.name in person.can
        }

    @cached_property
    def high(self) -> int:
        """The variable that no load is above."""
        return self.program.variable(upper=len(self.slots))

    @cached_property
    def low(self) -> int:
        """The variable that no load of those who share alike is below."""
        return self.program.variable(upper=len(self.slots))

    def solve(self) -> tuple[Solution | None, bool]:
        """Fill as many slots as can be, then evenly, then as people like best."""
        self._bind()
        best, proven = None, True
        for aim, costs in enumerate(self._aims()):
            solution = self.program.minimise(costs, seconds=self.rules.seconds)
            if solution is None:
                return best, False
            best, proven = solution, proven and solution.proven
            worth = sum(cost * solution.values[n] for n, cost in costs.items())
            self.program.require(costs, most=worth + 1e-6)
            if aim == 0:
                self._cut(-round(worth))
        return best, proven

    def takes(self, slot: Slot) -> int:
        """Return how many people a slot takes, or took."""
        if slot.past:
            return sum(slot.name in person.fixed for person in self.people)
        return slot.people or self.rules.people_per_slot

    def sharers(self) -> list[Person]:
        """Return who is to share alike: those free at all who named no limit."""
        able = [person for person in self.people if self._load(person)]
        return [person for person in able if person.most is None] or able

    def _load(self, person: Person) -> Terms:
        """Return the sum of a person's turns."""
        names = (slot.name for slot in self.slots if slot.name in person.can)
        return {self.on[person.name, name]: 1.0 for name in names}

    def _aims(self) -> Iterator[Terms]:
        """Yield what to make small, the most important first."""
        yield dict.fromkeys(self.filled.values(), -1.0)
        yield {self.high: 1.0, self.low: -1.0}
        costs = {
            self.on[person.name, slot]: cost
            for person in self.people
            for slot, cost in person.costs.items()
            if (person.name, slot) in self.on
        }
        if any(costs.values()):
            yield costs

    def _bind(self) -> None:
        """Write every rule down."""
        for slot in self.slots:
            self._fill(slot)
        sharers = {person.name for person in self.sharers()}
        self.program.require({self.high: 1.0, self.low: -1.0}, least=0)
        for person in self.people:
            if load := self._load(person):
                self._rest(person)
                self.program.require(load | {self.high: -1.0}, most=0)
                if person.most is not None:
                    self.program.require(load, most=person.most)
                if person.name in sharers:
                    self.program.require(load | {self.low: -1.0}, least=0)

    def _fill(self, slot: Slot) -> None:
        """Fill a slot whole or not at all, with its promises and its experience."""
        able = [person for person in self.people if slot.name in person.can]
        on = {person.name: self.on[person.name, slot.name] for person in able}
        filled = self.filled[slot.name]
        everybody = dict.fromkeys(on.values(), 1.0)
        whole = {filled: -float(self.takes(slot))}
        self.program.require(everybody | whole, least=0, most=0)
        if slot.past:
            self.program.require({filled: 1.0}, least=1)
        elif self.rules.experience:
            knows = {on[person.name]: 1.0 for person in able if person.experienced}
            self.program.require(knows | {filled: -1.0}, least=0)
        for person in able:
            if slot.name in person.fixed:
                self.program.require({on[person.name]: 1.0, filled: -1.0}, least=0)

    def _rest(self, person: Person) -> None:
        """Leave a person their rest within each day and each run of days."""
        by_day: defaultdict[date, Terms] = defaultdict(dict)
        past = set()
        for slot in self.slots:
            if slot.name in person.can:
                turn = self.on[person.name, slot.name]
                by_day[slot.day][turn] = 1.0
                past |= {turn} if slot.past else set()
        for first, same_day in by_day.items():
            end = first + timedelta(days=self.rules.window_days)
            run = [terms for day, terms in by_day.items() if first <= day < end]
            window = {n: weight for terms in run for n, weight in terms.items()}
            for terms, most in (
                (same_day, self.rules.most_per_day),
                (window, self.rules.most_in_window),
            ):
                # What has been cannot be mended, and makes no rota impossible.
                self.program.require(terms, most=max(most, len(past & terms.keys())))

    def _cut(self, slots_filled: int) -> None:
        """Say what the mean load says of the extremes: it saves much searching."""
        takes = sorted(self.takes(slot) for slot in self.slots)
        fewest = sum(takes[:slots_filled])
        most = sum(takes[len(takes) - slots_filled :])
        able = sum(bool(self._load(person)) for person in self.people)
        if able:
            self.program.require({self.high: 1.0}, least=ceil(fewest / able))
            self.program.require(
                {self.low: 1.0}, most=floor(most / len(self.sharers()))
            )
