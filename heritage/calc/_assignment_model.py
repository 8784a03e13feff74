"""The stations, the people, and who is to be where."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ._checks import whole


@dataclass(frozen=True, slots=True)
class Station:
    """One job and its places.

    Attributes
    ----------
    name : str
        What it is called; no two stations share a name.
    places : int
        The most who may work there. [people]
    fewest : int
        With fewer than this the work is not started. [people]
    """

    name: str
    places: int
    fewest: int = 0

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        whole(self.places, "places")
        whole(self.fewest, "fewest")
        if self.fewest > self.places:
            raise ValueError(f"{self.name}: fewest cannot be more than places")


@dataclass(frozen=True, slots=True)
class Person:
    """One who has a place, or waits for one.

    Attributes
    ----------
    name : str
        Who it is; no two people share a name.
    at : str
        The station where they have their place, or for which they wait. It is what
        they asked for, and so their first choice.
    waits : bool
        Whether they wait for it.
    also : frozenset of str
        Other stations where they would work too.
    may : frozenset of str
        Stations where they may work: old enough, able to, and briefed. A person who
        has a place keeps it whether or not ``at`` is among them.
    stays : bool
        Whether they are to work at ``at`` or nowhere.
    """

    name: str
    at: str
    waits: bool = False
    also: frozenset[str] = frozenset()
    may: frozenset[str] = frozenset()
    stays: bool = False

    @property
    def can(self) -> frozenset[str]:
        """Stations where they could be put."""
        here = frozenset({self.at})
        chosen = here if self.stays else self.also | here
        return chosen & self.may if self.waits else chosen & self.may | here


class Why(StrEnum):
    """What a move is good for."""

    FILLS = "fills"
    PLACE = "place"
    ROOM = "room"


@dataclass(frozen=True, slots=True)
class Move:
    """One person to be put somewhere else.

    Attributes
    ----------
    person : str
        Who.
    origin, to : str
        From where, and to where.
    waited : bool
        Whether they only waited at ``origin``.
    why : Why
        ``FILLS``: the station had fewer than it needs. ``PLACE``: somebody who
        waited has a place. ``ROOM``: it makes room for somebody else.
    """

    person: str
    origin: str
    to: str
    waited: bool
    why: Why


class WhyShort(StrEnum):
    """Why nobody else could be put at a station."""

    NEEDED_ELSEWHERE = "needed_elsewhere"
    NOT_YET = "not_yet"
    NOBODY_WISHES = "nobody_wishes"


@dataclass(frozen=True, slots=True)
class Gap:
    """A station that stays short of its fewest, and why.

    Attributes
    ----------
    station : str
        Its name.
    missing : int
        How many it lacks. [people]
    reason : WhyShort
        Why nobody else could be put there.
    not_yet : tuple of str
        Who would work there, but may not.
    """

    station: str
    missing: int
    reason: WhyShort
    not_yet: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Assignment:
    """Who is to be where.

    Attributes
    ----------
    at : mapping of str to str
        The station of each person who has a place then.
    moves : tuple of Move
        Who changes station, in the order of the people.
    moved_up : tuple of str
        Who waited, and has a place at that same station then.
    gaps : tuple of Gap
        Stations that stay short, in order.
    short_before, short_after : int
        How many the stations lack together, now and then. [people]
    proven : bool
        Whether nothing better can exist.
    """

    at: Mapping[str, str]
    moves: tuple[Move, ...]
    moved_up: tuple[str, ...]
    gaps: tuple[Gap, ...]
    short_before: int
    short_after: int
    proven: bool
