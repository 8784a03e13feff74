"""Breaking, scutching and hackling: what may come out, and how long it takes."""

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from ._band import Band
from ._checks import not_negative, positive


class Work(StrEnum):
    """The three pieces of work on dry retted straw, in their order."""

    BREAKING = "breaking"
    SCUTCHING = "scutching"
    HACKLING = "hackling"


class Basis(StrEnum):
    """Whose figures an expectation is made of."""

    # Ribe Viking Centre, report of 2011: four lots scutched by hand.
    RIBE = "ribe"
    # The USDA's Dodge (1898), an American cyclopaedia of 1879, and our own range.
    HACKLERS = "hacklers"
    # Reckoned back from what is scutched of retted straw.
    RECKONED = "reckoned"


@dataclass(frozen=True, slots=True)
class Expected:
    """What a piece of work may give, as shares of what went in.

    Attributes
    ----------
    work : Work
        The work.
    onward : Band
        What goes on to the next piece of work; hackled line at the end. [-]
    tow : Band or None
        Tow beside it, where a figure for it was found. [-]
    basis : Basis
        Whose figures.
    """

    work: Work
    onward: Band
    tow: Band | None
    basis: Basis

    @property
    def rest(self) -> Band:
        """The share that does not go on: tow, shive, dust and what is lost."""
        on = self.onward
        return Band(1 - on.high, 1 - on.likely, 1 - on.low)


# Ribe lost 16.4, 21.2, 24.4 and 31.2 per cent of broken flax; the 50 is our own end.
_SCUTCHED_OF_BROKEN: Final = Band(0.50, 0.76, 0.84)
# 16 (10 to 25) scutched of retted, over what scutching leaves of broken.
_BROKEN_OF_RETTED: Final = Band(0.12, 0.21, 0.50)

EXPECTED: Final = MappingProxyType(
    {
        Work.BREAKING: Expected(Work.BREAKING, _BROKEN_OF_RETTED, None, Basis.RECKONED),
        Work.SCUTCHING: Expected(Work.SCUTCHING, _SCUTCHED_OF_BROKEN, None, Basis.RIBE),
        Work.HACKLING: Expected(
            Work.HACKLING,
            Band(0.40, 0.55, 0.70),
            Band(0.30, 0.35, 0.50),
            Basis.HACKLERS,
        ),
    }
)

# Kilograms put through in one person's hour. Breaking is our own judgement; scutching
# from Ribe (7.6 and 10 g a minute) and two accounts of a day's work. Sources differ by
# four to six times. None was found for hackling alone: the last is hackled line from
# retted straw by all three pieces of work together.
PACE_KG_PER_H: Final = MappingProxyType(
    {Work.BREAKING: Band(1.0, 2.5, 4.0), Work.SCUTCHING: Band(0.3, 0.5, 1.0)}
)
LINE_KG_PER_H: Final = Band(0.03, 0.1, 0.3)


@dataclass(frozen=True, slots=True)
class Yield:
    """What came out of a piece of work, as shares of what went in.

    Attributes
    ----------
    onward, tow, shive : float
        What was weighed of each. [-]
    unweighed : float
        What went in and was not weighed again: dust, and what fell. [-]
    is_expected : bool
        Whether what goes on lies in the published range.
    """

    onward: float
    tow: float
    shive: float
    unweighed: float
    is_expected: bool


def expected_out(work: Work, in_kg: float) -> tuple[Band, Band | None, Band]:
    """Return what may come out of so much.

    Parameters
    ----------
    work : Work
        The piece of work.
    in_kg : float
        What goes in, dry. [kg]

    Returns
    -------
    tuple of Band, Band or None, Band
        What goes on, tow if a figure for it was found, and all the rest. [kg]
    """
    kg, shares = not_negative(in_kg, "in_kg"), EXPECTED[work]
    tow = shares.tow.scaled(kg) if shares.tow else None
    return shares.onward.scaled(kg), tow, shares.rest.scaled(kg)


def worked(
    work: Work, in_kg: float, *, onward_kg: float, tow_kg: float, shive_kg: float
) -> Yield:
    """Return what a piece of work gave, beside the published range.

    Parameters
    ----------
    work : Work
        The piece of work.
    in_kg : float
        What went in, dry, above zero. [kg]
    onward_kg, tow_kg, shive_kg : float
        What came out of each, dry. [kg]

    Returns
    -------
    Yield
        The shares.

    Raises
    ------
    ValueError
        If more came out than went in.
    """
    went_in = positive(in_kg, "in_kg")
    out = (
        not_negative(onward_kg, "onward_kg") / went_in,
        not_negative(tow_kg, "tow_kg") / went_in,
        not_negative(shive_kg, "shive_kg") / went_in,
    )
    if sum(out) > 1 + 1e-9:
        raise ValueError("more must not come out than went in")
    band = EXPECTED[work].onward
    return Yield(*out, max(0.0, 1 - sum(out)), band.low <= out[0] <= band.high)


def hours_of(work: Work, in_kg: float) -> Band | None:
    """Return one person's hours for so much.

    Parameters
    ----------
    work : Work
        The piece of work.
    in_kg : float
        What goes in, dry. [kg]

    Returns
    -------
    Band or None
        Hours; None for hackling, of which no pace was found. [h]
    """
    pace = PACE_KG_PER_H.get(work)
    kg = not_negative(in_kg, "in_kg")
    return pace.inverse().scaled(kg) if pace else None
