"""A first screening of a lift, and what a team may lift together."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from ._checks import not_negative, positive
from ._niosh import DoesNotApply
from .reasons import Reason


class Zone(StrEnum):
    """How high the hands are."""

    ABOVE_SHOULDER = "above_shoulder"
    SHOULDER_TO_ELBOW = "shoulder_to_elbow"
    ELBOW_TO_KNUCKLE = "elbow_to_knuckle"
    KNUCKLE_TO_MID_LEG = "knuckle_to_mid_leg"
    BELOW_MID_LEG = "below_mid_leg"


class Reach(StrEnum):
    """How far out the hands are."""

    CLOSE = "close"
    ARMS_LENGTH = "arms_length"


class Who(StrEnum):
    """Whose grid is read; for a mixed group, the women's."""

    WOMEN = "women"
    MEN = "men"


class Unscreened(StrEnum):
    """What puts a lift outside the screening."""

    ONE_HAND = "one_hand"
    POOR_GRIP = "poor_grip"
    REDUCED_CAPACITY = "reduced_capacity"
    UNSTABLE_STANCE = "unstable_stance"


class TooMany(StrEnum):
    """What puts a lift by several outside the guidance on teams."""

    NO_FACTOR = "no_factor"


class ScreeningNote(StrEnum):
    """What was taken off a weight: a percentage, but for the rule of our own."""

    OFTEN = "often"
    TWIST = "twist"
    BOTH = "both"


# Close and at arm's length. From memory but for the two marked, which were read.
_GRID: Final = MappingProxyType(
    {
        (Who.WOMEN, Zone.ABOVE_SHOULDER): (7.0, 3.0),
        (Who.WOMEN, Zone.SHOULDER_TO_ELBOW): (13.0, 7.0),
        (Who.WOMEN, Zone.ELBOW_TO_KNUCKLE): (16.0, 10.0),
        (Who.WOMEN, Zone.KNUCKLE_TO_MID_LEG): (13.0, 7.0),
        (Who.WOMEN, Zone.BELOW_MID_LEG): (7.0, 3.0),
        (Who.MEN, Zone.ABOVE_SHOULDER): (10.0, 5.0),
        (Who.MEN, Zone.SHOULDER_TO_ELBOW): (20.0, 10.0),
        (Who.MEN, Zone.ELBOW_TO_KNUCKLE): (25.0, 15.0),
        (Who.MEN, Zone.KNUCKLE_TO_MID_LEG): (20.0, 10.0),
        (Who.MEN, Zone.BELOW_MID_LEG): (10.0, 5.0),
    }
)
_READ_IN_PRINT: Final = (Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE)

# Lifts a minute up to which each share is left. The old text names 30 an hour,
# once or twice, 5 to 8 and over 12; in its gaps the stricter share is taken.
_FREQUENCY: Final = ((0.5, 1.0), (2.0, 0.7), (8.0, 0.5), (float("inf"), 0.2))

# Degrees of twist from which each share is left.
_TWIST: Final = ((90.0, 0.8), (45.0, 0.9), (0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Screening:
    """A weight below which a lift needs no closer look. No safe or legal limit.

    Attributes
    ----------
    kg : float
        The weight. [kg]
    notes : tuple of Reason
        What was taken off it.
    confirmed : bool
        Whether it has been read in print as it stands.
    """

    kg: float
    notes: tuple[Reason[ScreeningNote], ...]
    confirmed: bool


def screening_weight(
    zone: Zone | Iterable[Zone],
    reach: Reach,
    who: Who,
    lifts_per_minute: float = 0.0,
    twist_deg: float = 0.0,
    *,
    outside: Collection[Unscreened] = (),
) -> Screening | DoesNotApply[Unscreened]:
    """Return the weight below which a lift needs no closer look.

    Parameters
    ----------
    zone : Zone or iterable of Zone
        How high the hands are, or every height they pass through.
    reach : Reach
        How far out they are.
    who : Who
        Whose grid is read.
    lifts_per_minute : float, default 0
        How often; up to 30 an hour takes nothing off. [1/min]
    twist_deg : float, default 0
        How far the body turns. [°]
    outside : collection of Unscreened
        What puts this lift outside the screening, if anything.

    Returns
    -------
    Screening or DoesNotApply
        The weight with its notes; or why the screening does not cover it.

    Raises
    ------
    ValueError
        If no zone is given, or a number is negative or not finite.

    References
    ----------
    .. [1] HSE INDG143 rev. 4 (2020) and L23: the two headline weights. The rest of the
       grid is from memory. What frequency and twist take off stands in older text
       of INDG143, and was not found again in rev. 4.
    """
    if outside:
        return DoesNotApply(tuple(why for why in Unscreened if why in outside))
    zones = {zone} if isinstance(zone, Zone) else set(zone)
    if not zones:
        raise ValueError("zone must name at least one zone")
    often = _share_for_frequency(not_negative(lifts_per_minute, "lifts_per_minute"))
    turned = _share_for_twist(not_negative(twist_deg, "twist_deg"))
    column = list(Reach).index(Reach(reach))
    weight = min(_GRID[Who(who), each][column] for each in zones)
    return Screening(
        kg=weight * often * turned,
        notes=_notes(often, turned),
        confirmed=(often, turned) == (1.0, 1.0)
        and {(each, reach) for each in zones} == {_READ_IN_PRINT},
    )


def _share_for_frequency(per_minute: float) -> float:
    """Return the share that so frequent a lift leaves."""
    return next(share for most, share in _FREQUENCY if per_minute <= most)


def _share_for_twist(degrees: float) -> float:
    """Return the share that so wide a turn leaves."""
    return next(share for least, share in _TWIST if degrees >= least)


def _notes(often: float, turned: float) -> tuple[Reason[ScreeningNote], ...]:
    """Say what was taken off."""
    shares = {ScreeningNote.OFTEN: often, ScreeningNote.TWIST: turned}
    notes = [
        Reason(code, {"percent": 100 * (1 - share)})
        for code, share in shares.items()
        if share < 1
    ]
    if len(notes) == len(shares):
        notes.append(Reason(ScreeningNote.BOTH))
    return tuple(notes)


_TEAM_SHARE: Final = MappingProxyType({1: 1.0, 2: 2 / 3, 3: 1 / 2})


def team_capacity(capacities: Sequence[float]) -> float | DoesNotApply[TooMany]:
    """Return what people may lift together.

    Parameters
    ----------
    capacities : sequence of float, length n >= 1
        What each of them may lift alone. [kg]

    Returns
    -------
    float or DoesNotApply
        Two thirds of the sum for two people, half for three; for more, no factor
        has been published. [kg]

    Raises
    ------
    ValueError
        If there is nobody, or a capacity is not above zero.

    References
    ----------
    .. [1] HSE L23 (4th ed. 2016), guidance on team handling.
    """
    if not len(capacities):
        raise ValueError("capacities must hold at least one person's")
    total = sum(positive(capacity, "capacities") for capacity in capacities)
    share = _TEAM_SHARE.get(len(capacities))
    if share is None:
        return DoesNotApply((TooMany.NO_FACTOR,))
    return total * share
