"""Judging a hazard, and the figures that a public day is planned by.

A score is an opinion in numbers. Severity and likelihood are kept apart, and a low
score never takes a control away.
"""

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Final

from ._checks import whole
from ._reporting import Case, Hurt, Prompt, Reporting, WhyReport, reporting_prompt
from ._site import (
    LEVEL_RATE,
    OPEN_AIR_RATE,
    STEPPED_RATE,
    Petrol,
    PetrolAnswer,
    SiteCapacity,
    SiteWarning,
    exit_capacity,
    holding_capacity,
    petrol_storage,
    site_capacity,
)

__all__ = [
    "LEVEL_RATE",
    "OPEN_AIR_RATE",
    "STEPPED_RATE",
    "Case",
    "Hurt",
    "Likelihood",
    "Petrol",
    "PetrolAnswer",
    "Prompt",
    "Rating",
    "Reporting",
    "ResidualProblem",
    "RiskBand",
    "Severity",
    "SiteCapacity",
    "SiteWarning",
    "WhyReport",
    "band",
    "exit_capacity",
    "holding_capacity",
    "needs_named_person",
    "petrol_storage",
    "reporting_prompt",
    "residual_problems",
    "site_capacity",
]

TRIVIAL_BELOW: Final = 4
INTOLERABLE_ABOVE: Final = 12


class Severity(IntEnum):
    """How bad it would be."""

    GRAZE = 1
    FIRST_AID = 2
    DOCTOR = 3
    HOSPITAL = 4
    DEATH = 5


class Likelihood(IntEnum):
    """How likely it is to come to that."""

    HARDLY = 1
    UNLIKELY = 2
    POSSIBLE = 3
    LIKELY = 4
    NEARLY_SURE = 5


class RiskBand(StrEnum):
    """What the product of the two asks for."""

    TRIVIAL = "trivial"
    REDUCE = "reduce"
    INTOLERABLE = "intolerable"


@dataclass(frozen=True, slots=True)
class Rating:
    """A judgement of one hazard.

    Attributes
    ----------
    severity : Severity
        How bad it would be.
    likelihood : Likelihood
        How likely it is to come to that.
    """

    severity: Severity
    likelihood: Likelihood

    def __post_init__(self) -> None:
        """Refuse what is not on the two scales."""
        Severity(self.severity)
        Likelihood(self.likelihood)


def band(
    severity: Severity,
    likelihood: Likelihood,
    *,
    trivial_below: int = TRIVIAL_BELOW,
    intolerable_above: int = INTOLERABLE_ABOVE,
) -> RiskBand:
    """Return what a judgement asks for.

    Parameters
    ----------
    severity : Severity
        How bad it would be, 1 to 5.
    likelihood : Likelihood
        How likely it is to come to that, 1 to 5.
    trivial_below, intolerable_above : int, default 4 and 12
        Where the bands part, by the product of the two.

    Returns
    -------
    RiskBand
        Trivial, to be reduced, or intolerable.

    Raises
    ------
    ValueError
        If a judgement is not on its scale, or the bands overlap.

    References
    ----------
    .. [1] An IOSH text: above 12 of 25 intolerable, below 4 trivial. A convention: no
       standard fixes the bands, and scores can rank wrongly (Cox, Risk Analysis 28
       (2008) 497-512).
    """
    whole(trivial_below, "trivial_below", 1)
    if whole(intolerable_above, "intolerable_above") < trivial_below:
        raise ValueError("intolerable_above must not be below trivial_below")
    product = Severity(severity) * Likelihood(likelihood)
    if product < trivial_below:
        return RiskBand.TRIVIAL
    return RiskBand.INTOLERABLE if product > intolerable_above else RiskBand.REDUCE


def needs_named_person(severity: Severity) -> bool:
    """Tell whether somebody has to be named who sees to a hazard's controls.

    Parameters
    ----------
    severity : Severity
        How bad it would be, before any control.

    Returns
    -------
    bool
        Whether it could kill, however unlikely that is.

    References
    ----------
    .. [1] Our own rule: dam, shafts, tractor and children want a person, not a score.
    """
    return Severity(severity) is Severity.DEATH


class ResidualProblem(StrEnum):
    """What is wrong with a judgement made after the controls."""

    SAY_WHY_LESS_BAD = "say_why_less_bad"
    WORSE_WITH_CONTROLS = "worse_with_controls"


def residual_problems(
    before: Rating, after: Rating, *, severity_reason: str = ""
) -> tuple[ResidualProblem, ...]:
    """Say what is wrong with a judgement made after the controls.

    Parameters
    ----------
    before, after : Rating
        The judgement without and with the controls.
    severity_reason : str, default ""
        Why it would be less bad, where it is said to be.

    Returns
    -------
    tuple of ResidualProblem
        What has to be changed; empty if nothing.

    References
    ----------
    .. [1] Our own rule: controls mostly make harm less likely, seldom less bad.
    """
    problems = []
    if after.severity < before.severity and not severity_reason.strip():
        problems.append(ResidualProblem.SAY_WHY_LESS_BAD)
    if after.severity > before.severity or after.likelihood > before.likelihood:
        problems.append(ResidualProblem.WORSE_WITH_CONTROLS)
    return tuple(problems)
