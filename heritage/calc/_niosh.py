"""The recommended weight of one lift, by the revised NIOSH equation."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from math import prod
from typing import Final, Generic, TypeVar

from . import _niosh_tables as tables
from ._checks import not_negative
from ._niosh_tables import CONSTANTS, Duration, Grip, Units
from .measures import POUND_KG


class Mode(StrEnum):
    """Whether multipliers are worked out in full or read from the tables."""

    FORMULA = "formula"
    TABLES = "tables"


class Outside(StrEnum):
    """What puts a lift outside the equation, as the manual lists it."""

    SHOVEL_OR_BARROW = "shovel_or_barrow"
    OVER_8_HOURS = "over_8_hours"
    FAST = "fast"
    ONE_HAND = "one_hand"
    HOT_COLD_OR_DAMP = "hot_cold_or_damp"
    POOR_FOOTING = "poor_footing"
    SEATED_OR_KNEELING = "seated_or_kneeling"
    ON_THE_MOVE = "on_the_move"
    UNSTABLE_LOAD = "unstable_load"
    CRAMPED = "cramped"


Code = TypeVar("Code", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class DoesNotApply(Generic[Code]):
    """The answer of a method that does not cover what it was asked.

    Attributes
    ----------
    reasons : tuple of StrEnum
        Why not.
    """

    reasons: tuple[Code, ...]


@dataclass(frozen=True, slots=True)
class LiftTask:
    """One lift, as it is at its start or at its end.

    Attributes
    ----------
    load : float
        Weight lifted. [kg, or lb in US units]
    horizontal : float
        From between the ankles to between the hands. [cm, or in]
    vertical : float
        Height of the hands above the floor. [cm, or in]
    travel : float
        How far up or down the load goes. [cm, or in]
    asymmetry_deg : float
        How far to one side of straight ahead the hands are. [°]
    lifts_per_minute : float
        Lifts in a minute, over a quarter of an hour. [1/min]
    duration : Duration
        How long it goes on.
    grip : Grip
        How well the hands hold it.
    origin_vertical : float, optional
        Height of the hands at the start, if this is the end of the lift: the
        frequency goes by the start. [cm, or in]
    units : Units
        Which of the manual's two sets of constants is meant.
    outside : frozenset of Outside
        What puts this lift outside the equation, if anything.
    """

    load: float
    horizontal: float
    vertical: float
    travel: float
    asymmetry_deg: float = 0.0
    lifts_per_minute: float = tables.LEAST_PER_MINUTE
    duration: Duration = Duration.SHORT
    grip: Grip = Grip.POOR
    origin_vertical: float | None = None
    units: Units = Units.METRIC
    outside: frozenset[Outside] = field(default=frozenset())

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        for name in ("load", "horizontal", "vertical", "travel", "asymmetry_deg"):
            not_negative(getattr(self, name), name)
        not_negative(self.lifts_per_minute, "lifts_per_minute")
        if self.origin_vertical is not None:
            not_negative(self.origin_vertical, "origin_vertical")


@dataclass(frozen=True, slots=True)
class Lift:
    """What the equation makes of a lift.

    Attributes
    ----------
    multipliers : mapping of str to float
        HM, VM, DM, AM, FM and CM. [-]
    rwl_kg : float
        Weight that nearly all healthy workers could lift so. A guide, no safe
        limit; nought means no load at all. [kg]
    index : float or None
        Load as a share of it; above 1 some are at risk, above 3 nearly all.
        ``None`` where there should be no load. [-]
    confirmed : bool
        Whether the figures behind it have been read in print: not while the
        tables for grip and frequency are from memory.
    """

    multipliers: Mapping[str, float]
    rwl_kg: float
    index: float | None
    confirmed: bool = False


_KG_PER_UNIT: Final = {Units.METRIC: 1.0, Units.US: float(POUND_KG)}


def recommended_weight(
    task: LiftTask, *, mode: Mode = Mode.FORMULA
) -> Lift | DoesNotApply[Outside]:
    """Return the recommended weight of one lift, and the load's share of it.

    Parameters
    ----------
    task : LiftTask
        The lift. Where the load has to be placed with care, ask for its start and
        its end and go by the lower.
    mode : Mode, default formula
        The tables round each multiplier to two places as the manual prints them;
        use them to check worked examples.

    Returns
    -------
    Lift or DoesNotApply
        Multipliers, weight and index; or why the equation does not cover it.

    References
    ----------
    .. [1] Waters, Putz-Anderson and Garg, Applications manual for the revised NIOSH
       lifting equation, DHHS (NIOSH) 94-110 (rev. 9/2021),
       DOI 10.26616/NIOSHPUB94110revised092021. Its limits and Tables 1 to 5 and 7
       were read in a public transcription of that revision.
    """
    if task.outside:
        return DoesNotApply(tuple(why for why in Outside if why in task.outside))
    factors = _multipliers(task, mode)
    rwl = CONSTANTS[task.units].load * prod(factors.values())
    return Lift(
        multipliers=factors,
        rwl_kg=rwl * _KG_PER_UNIT[task.units],
        index=task.load / rwl if rwl > 0 else None,
    )


def start_height(task: LiftTask) -> float:
    """Return the height of the hands at the start of a lift."""
    return task.vertical if task.origin_vertical is None else task.origin_vertical


def _multipliers(task: LiftTask, mode: Mode) -> dict[str, float]:
    """Return the six multipliers of a lift."""
    units, knuckle = task.units, CONSTANTS[task.units].knuckle
    factors = {
        "HM": tables.horizontal(task.horizontal, units),
        "VM": tables.vertical(task.vertical, units),
        "DM": tables.travel(task.travel, units),
        "AM": tables.asymmetry(task.asymmetry_deg),
        "FM": tables.frequency(
            task.lifts_per_minute, task.duration, low=start_height(task) < knuckle
        ),
        "CM": tables.coupling(task.grip, low=task.vertical < knuckle),
    }
    if mode is Mode.FORMULA:
        return factors
    at = {"HM": task.horizontal, "DM": task.travel}
    return {
        name: tables.as_printed(name, at.get(name, -1.0), value, units)
        for name, value in factors.items()
    }
