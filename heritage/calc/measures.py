"""Old measures of land and weight, exactly, and back again.

The constants are exact fractions of the SI unit. A ``Fraction`` goes wherever a
number goes, and turns into a float as soon as it meets one.

References
----------
.. [1] Weights and Measures Act 1985, Schedule 1 as enacted: the yard is 0.9144 m,
   the pound 0.45359237 kg; acre, rood, stone, hundredweight and ton follow.
.. [2] sizes.com on the Irish acre, quoting Kelly (1835): a perch of 7 yards.
.. [3] The Cunningham acre's perch of 6¼ yards is common practice, from memory.
"""

from decimal import Decimal
from fractions import Fraction

from heritage.calc._checks import not_negative, positive, whole

YARD_M = Fraction(9144, 10_000)

PERCH_M2 = (Fraction(11, 2) * YARD_M) ** 2
ROOD_M2 = 40 * PERCH_M2
ACRE_M2 = 160 * PERCH_M2
IRISH_ACRE_M2 = 160 * (7 * YARD_M) ** 2
CUNNINGHAM_ACRE_M2 = 160 * (Fraction(25, 4) * YARD_M) ** 2

POUND_KG = Fraction(45_359_237, 100_000_000)
STONE_KG = 14 * POUND_KG
HUNDREDWEIGHT_KG = 112 * POUND_KG
LONG_TON_KG = 2240 * POUND_KG

Number = float | Fraction | Decimal


def acres_roods_perches(
    area_m2: Number, acre_m2: Number = ACRE_M2
) -> tuple[int, int, Fraction]:
    """Give an area in acres, roods and perches.

    Parameters
    ----------
    area_m2 : float, Fraction or Decimal
        The area. A float is taken for the decimal that it prints as, so that
        6555.2385024 is exactly one Irish acre. [m²]
    acre_m2 : float, Fraction or Decimal
        The acre in use: statute, Irish, Cunningham. Its rood is a quarter and its
        perch a hundred-and-sixtieth of it. [m²]

    Returns
    -------
    tuple of (int, int, Fraction)
        Whole acres; whole roods, 0 to 3; perches, from 0 to below 40.

    Raises
    ------
    ValueError
        If ``area_m2`` is negative or ``acre_m2`` not above zero, or not finite.

    Examples
    --------
    >>> acres_roods_perches(IRISH_ACRE_M2)
    (1, 2, Fraction(2320, 121))
    """
    not_negative(area_m2, "area_m2")
    positive(acre_m2, "acre_m2")
    perches = _exact(area_m2) / _exact(acre_m2) * 160
    roods, perches = divmod(perches, 40)
    acres, roods = divmod(int(roods), 4)
    return acres, roods, perches


def area_m2(
    acres: Number = 0,
    roods: Number = 0,
    perches: Number = 0,
    *,
    acre_m2: Number = ACRE_M2,
) -> Fraction:
    """Give acres, roods and perches in square metres, exactly.

    Parameters
    ----------
    acres : float, Fraction or Decimal
        Acres; not negative. [acre]
    roods : float, Fraction or Decimal
        Roods, four to the acre; not negative. [rood]
    perches : float, Fraction or Decimal
        Perches, forty to the rood; not negative. [perch]
    acre_m2 : float, Fraction or Decimal
        The acre in use. [m²]

    Returns
    -------
    Fraction
        The area. [m²]

    Raises
    ------
    ValueError
        If a part is negative or ``acre_m2`` not above zero, or not finite.
    """
    for value, name in ((acres, "acres"), (roods, "roods"), (perches, "perches")):
        not_negative(value, name)
    positive(acre_m2, "acre_m2")
    in_acres = _exact(acres) + _exact(roods) / 4 + _exact(perches) / 160
    return in_acres * _exact(acre_m2)


def write_area(area_m2: Number, acre_m2: Number = ACRE_M2) -> str:
    """Write an area in acres, roods and perches, to the nearest perch.

    Parameters
    ----------
    area_m2 : float, Fraction or Decimal
        The area; not negative. [m²]
    acre_m2 : float, Fraction or Decimal
        The acre in use. [m²]

    Returns
    -------
    str
        Such as ``"1a 2r 19p"``.

    Raises
    ------
    ValueError
        If ``area_m2`` is negative or ``acre_m2`` not above zero, or not finite.
    """
    acres, roods, perches = acres_roods_perches(area_m2, acre_m2)
    roods, perches_whole = divmod(160 * acres + 40 * roods + round(perches), 40)
    acres, roods = divmod(roods, 4)
    return f"{acres}a {roods}r {perches_whole}p"


def stooks_and_beets(beets: int, beets_per_stook: int = 12) -> tuple[int, int]:
    """Count beets in whole stooks and beets over.

    Parameters
    ----------
    beets : int
        Beets; not negative.
    beets_per_stook : int
        Beets that make a stook, at least 1: 12 at Newry, 6 in Monaghan [1]_.

    Returns
    -------
    tuple of (int, int)
        Whole stooks, and beets over.

    Raises
    ------
    ValueError
        If either is not a whole number, or too small.

    References
    ----------
    .. [1] newryjournal.co.uk, "Pulling the Flax Plant"; the Schools' Collection,
       duchas.ie, vol. 0941 p. 188.
    """
    return divmod(
        whole(beets, "beets"), whole(beets_per_stook, "beets_per_stook", least=1)
    )


def yield_kg_per_ha(weight_kg: Number, area_m2: Number) -> float:
    """Give what a hectare would have yielded at this rate.

    Parameters
    ----------
    weight_kg : float, Fraction or Decimal
        What the area gave; not negative. [kg]
    area_m2 : float, Fraction or Decimal
        The area. [m²]

    Returns
    -------
    float
        The yield. [kg/ha]

    Raises
    ------
    ValueError
        If ``weight_kg`` is negative or ``area_m2`` not above zero, or not finite.
    """
    not_negative(weight_kg, "weight_kg")
    positive(area_m2, "area_m2")
    return float(10_000 * _exact(weight_kg) / _exact(area_m2))


def _exact(value: Number) -> Fraction:
    """Take a float for the decimal it prints as, and all else for what it is."""
    return Fraction(repr(float(value))) if isinstance(value, float) else Fraction(value)
