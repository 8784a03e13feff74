"""The slots, the people, the rules and the finished rota."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from ._checks import finite, positive, whole
from .reasons import Reason

NEVER_ALONE = 2


@dataclass(frozen=True, slots=True)
class Slot:
    """One turn of work to be filled.

    Attributes
    ----------
    name : str
        What it is called; no two slots share a name.
    day : date
        The day it falls on.
    people : int, optional
        How many it takes, if not the rules' number; two or more.
    past : bool
        Whether it has been already. It stands as it was, with those fixed on it, be
        they as few or as tired as they may; it counts for rest and evenness.
    """

    name: str
    day: date
    people: int | None = None
    past: bool = False

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        if self.people is not None:
            whole(self.people, "people", NEVER_ALONE)


@dataclass(frozen=True, slots=True)
class Person:
    """One who can be asked.

    Attributes
    ----------
    name : str
        Who it is; no two people share a name.
    free : frozenset of str
        Names of the slots they are free for.
    experienced : bool
        Whether they have done it before.
    most : int, optional
        The most turns they will take. Who names one shares less than the others,
        and does not count for the even spread.
    fixed : frozenset of str
        Slots they have been promised, free or not.
    refused : frozenset of str
        Slots they must not be given.
    costs : mapping of str to float
        How much they would rather not, by slot; below nought, how much they would
        like to. [any unit, the same for everybody]
    """

    name: str
    free: frozenset[str]
    experienced: bool = False
    most: int | None = None
    fixed: frozenset[str] = frozenset()
    refused: frozenset[str] = frozenset()
    costs: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        if self.most is not None:
            whole(self.most, "most")
        for slot, cost in self.costs.items():
            finite(cost, f"costs[{slot}]")
        if both := sorted(self.fixed & self.refused):
            raise ValueError(f"{self.name} is both fixed on and refused for {both[0]}")

    @property
    def can(self) -> frozenset[str]:
        """Slots that may be given to them."""
        return (self.free | self.fixed) - self.refused


@dataclass(frozen=True, slots=True)
class Rules:
    """What every rota has to keep.

    Attributes
    ----------
    people_per_slot : int
        How many a slot takes; two or more, since nobody works alone by water.
    most_per_day : int
        The most turns of one person in a day.
    window_days, most_in_window : int
        The most turns of one person in so many days running. [d]
    experience : bool
        Whether every slot needs somebody experienced.
    seconds : float
        The longest to look for a better rota. [s]
    """

    people_per_slot: int = NEVER_ALONE
    most_per_day: int = 1
    window_days: int = 4
    most_in_window: int = 3
    experience: bool = True
    seconds: float = 20.0

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        whole(self.people_per_slot, "people_per_slot", NEVER_ALONE)
        for name in ("most_per_day", "window_days", "most_in_window"):
            whole(getattr(self, name), name, 1)
        positive(self.seconds, "seconds")


@dataclass(frozen=True, slots=True, order=True)
class Turn:
    """One person on one slot.

    Attributes
    ----------
    slot, person : str
        Their names.
    """

    slot: str
    person: str


class WhyUnfilled(StrEnum):
    """Why a slot stays empty, with the names of its figures."""

    # takes, could: people.
    TOO_FEW = "too_few"
    NOBODY_EXPERIENCED = "nobody_experienced"
    # takes, promised: people.
    TOO_MANY_PROMISED = "too_many_promised"
    REST_AND_LIMITS = "rest_and_limits"


@dataclass(frozen=True, slots=True)
class Unfilled:
    """A slot that stays empty, and why.

    Attributes
    ----------
    slot : str
        Its name.
    free : tuple of str
        Who could have come.
    reason : Reason
        Why that was not enough.
    """

    slot: str
    free: tuple[str, ...]
    reason: Reason[WhyUnfilled]


@dataclass(frozen=True, slots=True)
class Rota:
    """Who treads when.

    Attributes
    ----------
    turns : tuple of Turn
        In the order of the slots, then of the people. A slot is filled whole or not
        at all.
    spread : int
        Turns of the busiest less those of the least busy who shares alike.
    unfilled : tuple of Unfilled
        Slots that stay empty, in order.
    proven : bool
        Whether no rota fills more slots, nor fills as many more evenly, nor does
        either at less cost.
    """

    turns: tuple[Turn, ...]
    spread: int
    unfilled: tuple[Unfilled, ...]
    proven: bool

    def people_on(self, slot: str) -> tuple[str, ...]:
        """Return who is on one slot.

        Parameters
        ----------
        slot : str
            Its name.

        Returns
        -------
        tuple of str
            Names of the people.
        """
        return tuple(turn.person for turn in self.turns if turn.slot == slot)

    def loads(self) -> Counter[str]:
        """Return how many turns each person has.

        Returns
        -------
        Counter of str
            Turns by name; nought for everybody else.
        """
        return Counter(turn.person for turn in self.turns)
