"""How many people a piece of ground may hold, and how much petrol may stand on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from ._checks import not_negative, positive
from .reasons import Reason
from .young_people import Jurisdiction

PEOPLE_PER_M2: Final = 2.0
CROWDED_PER_M2: Final = 4.0
NARROWEST_EXIT_M: Final = 1.5
FEWEST_EXITS: Final = 2
PETROL_FREE_L: Final = 30.0
PETROL_MOST_L: Final = 275.0

# People through a metre of exit in a minute.
OPEN_AIR_RATE: Final = 109.0
LEVEL_RATE: Final = 82.0
STEPPED_RATE: Final = 66.0
SHORTEST_MINUTES: Final = 5.0


def exit_capacity(
    width_m: float, *, rate: float = LEVEL_RATE, minutes: float = SHORTEST_MINUTES
) -> int:
    """Return how many people get out through exits of one width in a given time.

    Parameters
    ----------
    width_m : float
        Clear width of the exits together; leave the widest out. [m]
    rate : float, default 82
        People through a metre in a minute: 82 on the level, 66 on steps, 109 in the
        open by another guide. [1/(m min)]
    minutes : float, default 5
        Time to get out; 5 where much can go wrong, up to 10 where little. [min]

    Returns
    -------
    int
        Whole people.

    References
    ----------
    .. [1] Councils' event guidance quoting the Green Guide (82, 66) and the fire
       guide for open-air events (109).
    """
    flow = not_negative(width_m, "width_m") * positive(rate, "rate")
    return int(flow * positive(minutes, "minutes") + 1e-9)


def holding_capacity(
    area_m2: float, *, taken_m2: float = 0.0, per_m2: float = PEOPLE_PER_M2
) -> int:
    """Return how many people a piece of ground holds.

    Parameters
    ----------
    area_m2 : float
        The whole ground. [m²]
    taken_m2 : float, default 0
        What stalls, machines, barriers and water take up. [m²]
    per_m2 : float, default 2
        People to a square metre, not above 4, where crowds become unsteady. [1/m²]

    Returns
    -------
    int
        Whole people.

    Raises
    ------
    ValueError
        If more is taken up than there is, or people would stand too thick.

    References
    ----------
    .. [1] HSG195 (withdrawn) as quoted by councils: half a square metre each.
    """
    free = not_negative(area_m2, "area_m2") - not_negative(taken_m2, "taken_m2")
    if free < 0:
        raise ValueError(f"taken_m2 must not be above the area, not {taken_m2}")
    if positive(per_m2, "per_m2") > CROWDED_PER_M2:
        raise ValueError(f"per_m2 must not be above {CROWDED_PER_M2:.0f}, not {per_m2}")
    return int(free * per_m2 + 1e-9)


class SiteWarning(StrEnum):
    """What should be looked at again, with the names of its figures."""

    # fewest exits.
    FEW_EXITS = "few_exits"
    # narrowest_m: the least width of an exit.
    NARROW_EXIT = "narrow_exit"


@dataclass(frozen=True, slots=True)
class SiteCapacity:
    """A starting point to talk over with the landowner, council and fire service.

    Attributes
    ----------
    people : int
        The lower of the two.
    by_area, by_exits : int
        What the ground holds, and what gets out with the widest exit shut.
    warnings : tuple of Reason
        What should be looked at again.
    """

    people: int
    by_area: int
    by_exits: int
    warnings: tuple[Reason[SiteWarning], ...]


def site_capacity(
    area_m2: float,
    exit_widths_m: Sequence[float],
    *,
    taken_m2: float = 0.0,
    per_m2: float = PEOPLE_PER_M2,
    rate: float = LEVEL_RATE,
    minutes: float = SHORTEST_MINUTES,
) -> SiteCapacity:
    """Return how many people a site may take, by its ground and by its exits.

    Parameters
    ----------
    area_m2 : float
        The whole ground open to visitors. [m²]
    exit_widths_m : sequence of float
        Clear width of each exit; the widest is left out. [m]
    taken_m2 : float, default 0
        As in `holding_capacity`. [m²]
    per_m2 : float, default 2
        As in `holding_capacity`. [1/m²]
    rate : float, default 82
        As in `exit_capacity`. [1/(m min)]
    minutes : float, default 5
        As in `exit_capacity`. [min]

    Returns
    -------
    SiteCapacity
        The lower of the two, both, and what should be looked at again.

    References
    ----------
    .. [1] Councils' event guidance: the lower counts, the largest exit is left out,
       and there are two or more exits of 1.5 m or more.
    """
    widths = sorted(positive(width, "exit_widths_m") for width in exit_widths_m)
    by_area = holding_capacity(area_m2, taken_m2=taken_m2, per_m2=per_m2)
    by_exits = exit_capacity(sum(widths[:-1]), rate=rate, minutes=minutes)
    warnings = []
    if len(widths) < FEWEST_EXITS:
        warnings.append(Reason(SiteWarning.FEW_EXITS, {"fewest": FEWEST_EXITS}))
    if widths and widths[0] < NARROWEST_EXIT_M:
        figures = {"narrowest_m": NARROWEST_EXIT_M}
        warnings.append(Reason(SiteWarning.NARROW_EXIT, figures))
    return SiteCapacity(min(by_area, by_exits), by_area, by_exits, tuple(warnings))


class Petrol(StrEnum):
    """What a store of petrol asks for."""

    FREE = "free"
    NOTIFY = "notify"
    REFUSE = "refuse"
    ASK = "ask"


@dataclass(frozen=True, slots=True)
class PetrolAnswer:
    """What a store of petrol asks for, and the limit it goes by.

    Attributes
    ----------
    verdict : Petrol
        Free, to be notified, refused, or to be asked about.
    limit_l : float or None
        Up to here it is free, or above here it is not; ``None`` where no limit is
        known. [L]
    """

    verdict: Petrol
    limit_l: float | None = None


def petrol_storage(litres: float, *, jurisdiction: Jurisdiction = "gb") -> PetrolAnswer:
    """Say what storing petrol away from a workplace asks for.

    Parameters
    ----------
    litres : float
        All the petrol on the premises, tanks of vehicles left out. [L]
    jurisdiction : {"gb", "ni", "ie", "elsewhere"}
        Whose law holds; only Great Britain's is known here.

    Returns
    -------
    PetrolAnswer
        Verdict and limit.

    References
    ----------
    .. [1] Petroleum (Consolidation) Regulations 2014 (SI 2014/1637), sch. 2.
    """
    not_negative(litres, "litres")
    if jurisdiction != "gb":
        return PetrolAnswer(Petrol.ASK)
    if litres <= PETROL_FREE_L:
        return PetrolAnswer(Petrol.FREE, PETROL_FREE_L)
    if litres <= PETROL_MOST_L:
        return PetrolAnswer(Petrol.NOTIFY, PETROL_FREE_L)
    return PetrolAnswer(Petrol.REFUSE, PETROL_MOST_L)
