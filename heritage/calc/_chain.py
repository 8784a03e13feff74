"""From the air-dry crop to the hackled line: what is left at each step."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from ._band import Band, joined
from ._checks import not_negative, positive, whole


class Step(StrEnum):
    """What is weighed, in the order it comes about.

    The air-dry crop, the straw without its bolls, the retted straw, the scutched
    fibre and the hackled line.
    """

    CROP = "crop"
    STRAW = "straw"
    RETTED = "retted"
    SCUTCHED = "scutched"
    LINE = "line"


class Source(StrEnum):
    """Whose figures a chain is made of."""

    MILLS = "mills"
    PUBLISHED = "published"
    OWN_JUDGEMENT = "own_judgement"


ONE: Final = Band(1.0, 1.0, 1.0)


@dataclass(frozen=True, slots=True)
class Chain:
    """What each step keeps of the one before it.

    Attributes
    ----------
    beet_kg : Band
        Air-dry weight of one beet. [kg]
    kept : mapping of Step to Band
        Share kept by each step after the crop. [-]
    tow : mapping of Step to Band
        Share that comes off beside it as tow, where any does. [-]
    confirmed : bool
        Whether every likely share was read in print.
    source : Source or None
        Whose figures they are, if that is known.
    """

    beet_kg: Band
    kept: Mapping[Step, Band]
    tow: Mapping[Step, Band] = field(default_factory=dict)
    confirmed: bool = False
    source: Source | None = None

    def __post_init__(self) -> None:
        """Refuse shares that could not be."""
        positive(self.beet_kg.low, "beet_kg.low")
        if set(self.kept) != set(Step) - {Step.CROP}:
            raise ValueError("kept must name every step after the crop, and no other")
        if strange := set(self.tow) - set(self.kept):
            raise ValueError(f"tow must name steps after the crop, not {strange.pop()}")
        for step, share in (*self.kept.items(), *self.tow.items()):
            positive(share.low, f"share of {step}")
            if share.high > 1:
                raise ValueError(f"share of {step} must not be above 1")
        for step, tow in self.tow.items():
            if self.kept[step].likely + tow.likely > 1:
                raise ValueError(f"line and tow of {step} must not come to more than 1")


BEET_KG: Final = Band(2.0, 3.0, 5.0)
_TO_RETTED: Final = MappingProxyType(
    {
        Step.STRAW: Band(0.67, 0.75, 0.80),
        Step.RETTED: Band(0.70, 0.75, 0.85),
    }
)

# Hodges (Encyclopaedia Britannica, 9th ed., v. 9 p. 296) down to the scutched fibre;
# hackling by the USDA's Dodge (1898), rounded from 62.5 : 32.5 : 5.
MILL: Final = Chain(
    beet_kg=BEET_KG,
    kept=MappingProxyType(
        {
            **_TO_RETTED,
            Step.SCUTCHED: Band(0.10, 0.16, 0.20),
            Step.LINE: Band(0.45, 0.60, 0.65),
        }
    ),
    tow=MappingProxyType({Step.LINE: Band(0.30, 0.35, 0.50)}),
    confirmed=True,
    source=Source.MILLS,
)

# Our own judgement: hand work by beginners falls below the mills.
VOLUNTEERS: Final = Chain(
    beet_kg=BEET_KG,
    kept=MappingProxyType(
        {
            **_TO_RETTED,
            Step.SCUTCHED: Band(0.08, 0.10, 0.12),
            Step.LINE: Band(0.40, 0.50, 0.60),
        }
    ),
    tow=MappingProxyType(
        {Step.SCUTCHED: Band(0.04, 0.06, 0.08), Step.LINE: Band(0.30, 0.40, 0.50)}
    ),
    confirmed=False,
    source=Source.OWN_JUDGEMENT,
)

# Several published yields together, of hand and mill: the likely are Hodges' and, of
# hackling, between 50 per cent by hand (American Cyclopaedia, 1879) and 60.
PUBLISHED: Final = Chain(
    beet_kg=BEET_KG,
    kept=MappingProxyType(
        {
            **_TO_RETTED,
            Step.SCUTCHED: Band(0.10, 0.16, 0.25),
            Step.LINE: Band(0.40, 0.55, 0.70),
        }
    ),
    tow=MappingProxyType(
        {Step.SCUTCHED: Band(0.04, 0.09, 0.13), Step.LINE: Band(0.30, 0.35, 0.50)}
    ),
    confirmed=False,
    source=Source.PUBLISHED,
)


@dataclass(frozen=True, slots=True)
class StepWeight:
    """What is left at one step.

    Attributes
    ----------
    step : Step
        What is weighed.
    kg : Band
        Its weight, without range where it was measured. [kg]
    lost_kg : float
        Likely weight lost since the step before, its tow left out. [kg]
    tow_kg : Band or None
        Tow that came off beside it. [kg]
    measured : bool
        Whether it was weighed, and not worked out.
    """

    step: Step
    kg: Band
    lost_kg: float
    tow_kg: Band | None
    measured: bool


def project(
    chain: Chain, beets: int, *, measured: Mapping[Step, float] | None = None
) -> tuple[StepWeight, ...]:
    """Return the weight at each step from the crop to the hackled line.

    Parameters
    ----------
    chain : Chain
        What each step keeps.
    beets : int
        Beets in the crop.
    measured : mapping of Step to float, optional
        Weights already taken; what follows goes on from the last of them. [kg]

    Returns
    -------
    tuple of StepWeight
        One for each step in order, with ranges.

    Raises
    ------
    ValueError
        If a number has no meaning, or a later step was weighed heavier than an
        earlier one.
    """
    count = whole(beets, "beets")
    weighed = _refuse_growth(measured or {})
    start, factors = float(count), [chain.beet_kg]
    before, steps = Band(0.0, 0.0, 0.0), []
    for step in Step:
        own, tow = chain.kept.get(step, ONE), chain.tow.get(step)
        beside = joined((*factors, tow)).scaled(start) if tow else None
        factors = [*factors, own]
        if step in weighed:
            start, factors = weighed[step], [ONE]
        kg = joined(factors).scaled(start)
        gone = before.likely - kg.likely - (beside.likely if beside else 0.0)
        steps.append(StepWeight(step, kg, max(gone, 0.0), beside, step in weighed))
        before = kg
    return tuple(steps)


def _refuse_growth(measured: Mapping[Step, float]) -> dict[Step, float]:
    """Return the weights in order, unless a later one is above an earlier one."""
    weighed = {
        step: not_negative(measured[step], f"measured[{step}]")
        for step in Step
        if step in measured
    }
    for (earlier, heavy), (later, light) in pairwise(weighed.items()):
        if light > heavy:
            raise ValueError(f"measured: the {later} must not outweigh the {earlier}")
    return weighed


def kept(before_kg: float, after_kg: float) -> float:
    """Return the share that a step kept.

    Parameters
    ----------
    before_kg, after_kg : float
        Weight before and after. [any one unit]

    Returns
    -------
    float
        The share, 0 to 1. [-]

    Raises
    ------
    ValueError
        If it weighed more after than before.
    """
    share = not_negative(after_kg, "after_kg") / positive(before_kg, "before_kg")
    if share > 1:
        raise ValueError("after_kg must not be above before_kg")
    return share


def parts(*weights: float) -> tuple[float, ...]:
    """Return the share of each part in their sum.

    Parameters
    ----------
    *weights : float
        Weights of the parts, such as line, tow and waste. [any one unit]

    Returns
    -------
    tuple of float
        Shares that add up to 1. [-]

    Raises
    ------
    ValueError
        If the parts come to nothing.
    """
    total = positive(sum(not_negative(each, "weights") for each in weights), "weights")
    return tuple(each / total for each in weights)
