"""What it takes to hold a crop under water, and when to take it off again."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, erfc, log, sqrt
from types import MappingProxyType
from typing import Final

from ._band import Band
from ._checks import finite, not_negative, positive

WATER_DENSITY: Final = 1000.0
SAFETY: Final = 1.3
KG_PER_TONNE: Final = 1000.0

STONE_DENSITIES: Final = MappingProxyType(
    {"basalt": 2900.0, "granite": 2650.0, "limestone": 2500.0, "sandstone": 2400.0}
)

# The ret gasses between about these two points of its progress.
GASSING_FROM: Final = 0.2
GASSING_UNTIL: Final = 0.7
# A phase that so many batches may be in is reckoned with: our own judgement.
ONE_IN_TEN: Final = 0.1


class Phase(StrEnum):
    """How far a filling has come, as the water sees it."""

    GREEN = "green"
    DRY = "dry"
    GASSING = "gassing"
    END = "end"


# Pull upwards [kg per tonne of dry crop]. Worked out from densities, trapped air
# and gas; only its sign and order have been seen in print, not its size.
UPLIFT_KG_PER_TONNE: Final = MappingProxyType(
    {
        Phase.GREEN: Band(-150.0, 100.0, 450.0),
        Phase.DRY: Band(330.0, 760.0, 1900.0),
        Phase.GASSING: Band(100.0, 500.0, 1000.0),
        Phase.END: Band(-333.0, -150.0, 0.0),
    }
)


@dataclass(frozen=True, slots=True)
class Ballast:
    """The stone that holds a filling under, in a wide and honest range.

    No published weight of stone for a flax dam was found: the figures are physics
    and judgement. Watch the crop, not the sum.

    Attributes
    ----------
    low_kg, likely_kg, high_kg : float
        Weight of stone. [kg]
    confirmed : bool
        Whether a published weight bears the figures out; none does.
    """

    low_kg: float
    likely_kg: float
    high_kg: float
    confirmed: bool = False


class Sign(StrEnum):
    """What was found when the wood was drawn, or seen of the flax and the water."""

    FAST = "fast"
    LOOSENING = "loosening"
    FREE = "free"
    BUBBLES = "bubbles"
    STILL = "still"
    RISEN = "risen"
    SUNK = "sunk"


def phase_seen(signs: Iterable[Sign | str]) -> Phase | None:
    """Say what the signs prove of a filling's phase, if they prove anything.

    Bubbles, or flax that has risen, show that it works. That the bubbles have
    stopped, or that it sinks, shows the end only once it was seen to work: before, it
    may not have begun. Wood that draws out free shows the end; wood that is fast
    after a sign of the end takes that sign back, since cold water stops bubbles too.

    Parameters
    ----------
    signs : iterable of Sign
        The signs, the earliest first.

    Returns
    -------
    Phase or None
        Gassing or the end; nothing if no sign tells.

    References
    ----------
    .. [1] American Agriculturist XI:13 (7 Dec 1853): weight is added as
       fermentation grows, and taken off once it stops. That a sign of the end needs
       one of the working before it is our own judgement.
    """
    phase: Phase | None = None
    for sign in map(Sign, signs):
        if sign in (Sign.BUBBLES, Sign.RISEN):
            phase = Phase.GASSING
        elif sign is Sign.FREE or (sign in (Sign.STILL, Sign.SUNK) and phase):
            phase = Phase.END
        elif sign is Sign.FAST and phase is Phase.END:
            # It was seen to work, but whether it does so still is open.
            phase = Phase.GASSING
    return phase


def has_died_down(signs: Iterable[Sign | str]) -> bool:
    """Say whether the water was last seen to be still, or the flax to sink.

    Parameters
    ----------
    signs : iterable of Sign
        The signs, the earliest first. Bubbles, or flax that rises, take it back.

    Returns
    -------
    bool
        Whether it is time for tests every six hours, see
        `retting.time_between_tests`. It says nothing of the stones: `phase_seen` does.
    """
    is_down = False
    for sign in map(Sign, signs):
        if sign in (Sign.STILL, Sign.SUNK):
            is_down = True
        elif sign in (Sign.BUBBLES, Sign.RISEN):
            is_down = False
    return is_down


def phase_chances(progress: float, sigma: float) -> dict[Phase, float]:
    """Return the chance of each phase at a point of the ret, by the curve alone.

    Parameters
    ----------
    progress : float
        Share of the ret that is behind, as `retting.progress` gives it. [-]
    sigma : float
        How far batches scatter, as `retting.scatter` gives it. [-]

    Returns
    -------
    dict of Phase to float
        Chances that add up to 1. How the crop went in is not known, so its first
        phase counts half as green and half as dry.

    References
    ----------
    .. [1] A batch gasses from 0.2 to 0.7 of its own length, which is lognormal about
       the likely one. The points 0.2 and 0.7 are our own judgement.
    """
    not_negative(sigma, "sigma")
    ready_first = not_negative(progress, "progress")
    begun = _chance_below(ready_first / GASSING_FROM, sigma)
    ended = _chance_below(ready_first / GASSING_UNTIL, sigma)
    return {
        Phase.GREEN: (1 - begun) / 2,
        Phase.DRY: (1 - begun) / 2,
        Phase.GASSING: begun - ended,
        Phase.END: ended,
    }


def _chance_below(ratio: float, sigma: float) -> float:
    """Return the chance that a batch's length is below a share of the likely one."""
    if ratio <= 0:
        return 0.0
    if sigma == 0:
        return float(ratio >= 1)
    return 0.5 * erfc(-log(ratio) / (sigma * sqrt(2)))


def ballast_by_curve(
    dry_kg: float,
    chances: Mapping[Phase, float],
    *,
    stone_density: float = STONE_DENSITIES["granite"],
) -> Ballast:
    """Return the stone that should hold a filling under while no sign tells its phase.

    It covers every phase that one batch in ten may be in. The end counts for nothing
    here, however likely the curve makes it: stones come off by what is seen, never by
    a date, so there is always some stone in the answer.

    Parameters
    ----------
    dry_kg : float
        Dry weight of the crop in the dam. [kg]
    chances : mapping of Phase to float
        As `phase_chances` gives them.
    stone_density : float, default 2650
        Density of the stone (granite). [kg/m³]

    Returns
    -------
    Ballast
        The lowest low and the highest high of those phases, and the mean of their
        likely weights by chance. [kg]

    References
    ----------
    .. [1] One in ten, so that the whole range of four batches in five is covered, is
       our own judgement, as are the phases' weights.
    """
    start = chances[Phase.GREEN] + chances[Phase.DRY]
    weights = {Phase.GASSING: chances[Phase.GASSING]}
    if start >= ONE_IN_TEN:
        weights |= {each: chances[each] for each in (Phase.GREEN, Phase.DRY)}
    if start >= ONE_IN_TEN > weights[Phase.GASSING]:
        del weights[Phase.GASSING]
    held = {
        each: ballast(dry_kg, each, stone_density=stone_density) for each in weights
    }
    total = sum(weights.values())
    likely = (
        sum(share * held[each].likely_kg for each, share in weights.items()) / total
        if total > 0
        else held[Phase.GASSING].likely_kg
    )
    return Ballast(
        min(one.low_kg for one in held.values()),
        likely,
        max(one.high_kg for one in held.values()),
    )


def stone_factor(stone_density: float, *, submerged: bool = True) -> float:
    """Return the stone needed for each kilogram of pull upwards.

    Parameters
    ----------
    stone_density : float
        Density of the stone. [kg/m³]
    submerged : bool, default True
        Whether the stone lies under water; out of it, it counts in full.

    Returns
    -------
    float
        Kilograms of stone for one kilogram of pull. [-]

    Raises
    ------
    ValueError
        If the stone would float.

    References
    ----------
    .. [1] Archimedes' principle. Rock densities: About.com Geology table.
    """
    finite(stone_density, "stone_density")
    if stone_density <= WATER_DENSITY:
        raise ValueError(f"stone_density must be above {WATER_DENSITY:.0f} kg/m³")
    return 1 / (1 - WATER_DENSITY / stone_density) if submerged else 1.0


def ballast(
    dry_kg: float,
    phase: Phase,
    *,
    stone_density: float = STONE_DENSITIES["granite"],
    safety: float = SAFETY,
    submerged: bool = True,
    uplift_kg_per_tonne: Band | None = None,
) -> Ballast:
    """Return the stone that should hold a filling under in one phase.

    Parameters
    ----------
    dry_kg : float
        Dry weight of the crop in the dam. [kg]
    phase : Phase
        Green or dry in its first day, gassing in mid-ret, or at its end.
    stone_density : float, default 2650
        Density of the stone (granite). [kg/m³]
    safety : float, default 1.3
        What the balance is multiplied by, 1 or more; 1.2 to 1.5. [-]
    submerged : bool, default True
        Whether the stones lie under water.
    uplift_kg_per_tonne : Band, optional
        A pull measured on the spot, in place of the phase's own. [kg/t]

    Returns
    -------
    Ballast
        Low, likely and high weight of stone. Nought means: lighten it. [kg]

    References
    ----------
    .. [1] American Agriculturist XI:13 (7 Dec 1853), Ure's Dictionary of Arts and
       Spon's Encyclopaedia give the order (rises, add, sinks, remove), no weights.
    """
    tonnes = not_negative(dry_kg, "dry_kg") / KG_PER_TONNE
    if finite(safety, "safety") < 1:
        raise ValueError(f"safety must be 1 or more, not {safety}")
    pull = uplift_kg_per_tonne or UPLIFT_KG_PER_TONNE[Phase(phase)]
    stone_kg = tonnes * safety * stone_factor(stone_density, submerged=submerged)
    low, likely, high = (
        max(p, 0.0) * stone_kg for p in (pull.low, pull.likely, pull.high)
    )
    return Ballast(low, likely, high)


def stones(ballast_kg: float, stone_kg: float) -> int:
    """Return how many stones of one weight make up a ballast.

    Parameters
    ----------
    ballast_kg : float
        Weight of stone wanted. [kg]
    stone_kg : float
        Weight of one stone. [kg]

    Returns
    -------
    int
        Whole stones, never too few.
    """
    count = not_negative(ballast_kg, "ballast_kg") / positive(stone_kg, "stone_kg")
    # A sum that is whole but for its last bits is whole: 0.3 / 0.1 wants 3 stones.
    return ceil(count - 1e-9 * max(count, 1.0))
