"""The water in straw and fibre: what is weighed, and what of it is dry."""

from typing import Final

from ._checks import finite, not_negative, positive

# Commercial regain of flax (ASTM D1909-13, which calls such figures arbitrary; EU
# 1007/2011, Annex IX, from memory).
REGAIN_PCT: Final = 12.0


def moisture_of_regain(regain_pct: float) -> float:
    """Return the moisture content of a regain.

    Parameters
    ----------
    regain_pct : float
        Water as a share of the dry mass. [%]

    Returns
    -------
    float
        Water as a share of the whole weight, as a moisture meter says it. [%]

    References
    ----------
    .. [1] By definition: M = R / (100 + R).
    """
    regain = not_negative(regain_pct, "regain_pct")
    return regain / (1 + regain / 100)


def dry_mass(kg: float, moisture_pct: float) -> float:
    """Return what is left of a weight without its water.

    Parameters
    ----------
    kg : float
        What the scale says. [kg]
    moisture_pct : float
        Water as a share of that weight, below 100. [%]

    Returns
    -------
    float
        Bone-dry mass. [kg]
    """
    share = _moisture(moisture_pct, "moisture_pct") / 100
    return not_negative(kg, "kg") * (1 - share)


def weight_at(kg: float, from_pct: float, to_pct: float) -> float:
    """Return what something will weigh at another moisture: the target weight.

    Parameters
    ----------
    kg : float
        What it weighs now. [kg]
    from_pct, to_pct : float
        Its moisture now, and then, of the whole weight and below 100. [%]

    Returns
    -------
    float
        Its weight then. [kg]
    """
    return dry_mass(kg, from_pct) / (1 - _moisture(to_pct, "to_pct") / 100)


def moisture_by_oven(wet_kg: float, dry_kg: float) -> float:
    """Return the moisture of a sample that was dried until it lost no more.

    Parameters
    ----------
    wet_kg, dry_kg : float
        Its weight before the oven and after. [any one unit]

    Returns
    -------
    float
        Water as a share of the weight before. [%]

    Raises
    ------
    ValueError
        If it weighs more after than before, or nothing.

    References
    ----------
    .. [1] The oven method of ISO 18134-1: 105 °C to constant mass, wet basis.
    """
    wet, dry = positive(wet_kg, "wet_kg"), positive(dry_kg, "dry_kg")
    if dry > wet:
        raise ValueError("dry_kg must not be above wet_kg")
    return 100 * (wet - dry) / wet


def _moisture(value: float, name: str) -> float:
    """Return a moisture, or refuse it unless something dry is left."""
    number = finite(value, name)
    if not 0 <= number < 100:
        raise ValueError(f"{name} must lie from 0 to below 100 %, not {value}")
    return number
