"""Yarn and cloth: how fine, how long, how much of it, and the hours."""

from typing import Final

from ._band import Band, joined
from ._checks import not_negative, positive

POUND_G: Final = 453.59237
YARD_M: Final = 0.9144
LEA_M: Final = 300 * YARD_M

NOTHING: Final = Band(0.0, 0.0, 0.0)

# Our own reckoning, without a source: what is left of fibre once it is spun.
YARN_OF_LINE: Final = Band(0.85, 0.90, 0.95)
YARN_OF_TOW: Final = Band(0.60, 0.80, 0.90)
# What of the yarn ends in cloth: our own judgement for loom waste.
CLOTH_OF_YARN: Final = Band(0.90, 0.95, 0.98)

# Metres an hour. Our own reckoning but for the spindle, from a cloth count at Ribe.
WHEEL_LEARNER: Final = Band(60.0, 120.0, 250.0)
WHEEL_PRACTISED: Final = Band(120.0, 250.0, 450.0)
SPINDLE: Final = Band(30.0, 40.0, 60.0)


def tex_of_lea(lea: float) -> float:
    """Return the tex of a yarn counted in leas of 300 yards to the pound.

    Parameters
    ----------
    lea : float
        Leas to the pound, above zero.

    Returns
    -------
    float
        Grams a kilometre. [tex]
    """
    return 1000 * POUND_G / (positive(lea, "lea") * LEA_M)


def lea_of_tex(tex: float) -> float:
    """Return the leas to the pound of a yarn.

    Parameters
    ----------
    tex : float
        Grams a kilometre, above zero. [tex]

    Returns
    -------
    float
        Leas of 300 yards to the pound.
    """
    return 1000 * POUND_G / (positive(tex, "tex") * LEA_M)


def tex_of_metric(nm: float) -> float:
    """Return the tex of a yarn by its metric count.

    Parameters
    ----------
    nm : float
        Metres to the gram, above zero.

    Returns
    -------
    float
        Grams a kilometre. [tex]
    """
    return 1000 / positive(nm, "nm")


def yarn_length(yarn_kg: float, tex: float) -> float:
    """Return how long so much yarn is.

    Parameters
    ----------
    yarn_kg : float
        Its weight. [kg]
    tex : float
        How fine it is, above zero. [tex]

    Returns
    -------
    float
        Its length. [m]
    """
    return 1e6 * not_negative(yarn_kg, "yarn_kg") / positive(tex, "tex")


def yarn_of(fibre_kg: float | Band, keeps: Band = YARN_OF_LINE) -> Band:
    """Return how much yarn fibre may give.

    Parameters
    ----------
    fibre_kg : float or Band
        Line or tow. [kg]
    keeps : Band
        What of it ends in the yarn. [-]

    Returns
    -------
    Band
        Yarn. [kg]
    """
    if isinstance(fibre_kg, Band):
        return joined((fibre_kg, keeps)) if fibre_kg.likely > 0 else NOTHING
    return keeps.scaled(not_negative(fibre_kg, "fibre_kg"))


def cloth_of(yarn_kg: Band, g_per_m2: float, keeps: Band = CLOTH_OF_YARN) -> Band:
    """Return how much cloth yarn may give.

    Parameters
    ----------
    yarn_kg : Band
        Warp and weft together. [kg]
    g_per_m2 : float
        What the cloth weighs, above zero. [g/m²]
    keeps : Band
        What of the yarn ends in the cloth. [-]

    Returns
    -------
    Band
        Cloth. [m²]
    """
    heavy = positive(g_per_m2, "g_per_m2")
    if yarn_kg.likely == 0:
        return NOTHING
    return joined((yarn_kg, keeps)).scaled(1000 / heavy)


def spinning_hours(length_m: float, pace: Band = WHEEL_LEARNER) -> Band:
    """Return the hours to spin so much; always by length, never by weight.

    Parameters
    ----------
    length_m : float
        Yarn to spin. [m]
    pace : Band
        What one person spins. [m/h]

    Returns
    -------
    Band
        One person's hours. [h]
    """
    return pace.inverse().scaled(not_negative(length_m, "length_m"))
