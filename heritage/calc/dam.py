"""The dam: what it holds, and what holds the crop under."""

from dataclasses import dataclass
from math import exp, sqrt
from typing import Final

from ._ballast import (
    SAFETY,
    STONE_DENSITIES,
    UPLIFT_KG_PER_TONNE,
    Ballast,
    Phase,
    Sign,
    ballast,
    ballast_by_curve,
    has_died_down,
    phase_chances,
    phase_seen,
    stone_factor,
    stones,
)
from ._band import Band, joined
from ._checks import not_negative, positive, whole
from ._stones import StoneAct, StoneAdvice, stone_advice

__all__ = [
    "BEET_KG",
    "DEEPEST_M",
    "LIQUOR_L_PER_KG",
    "SAFETY",
    "STONE_DENSITIES",
    "UPLIFT_KG_PER_TONNE",
    "Ballast",
    "Band",
    "Basin",
    "Capacity",
    "Phase",
    "Sign",
    "StoneAct",
    "StoneAdvice",
    "ballast",
    "ballast_by_curve",
    "capacity",
    "has_died_down",
    "phase_chances",
    "phase_seen",
    "stone_advice",
    "stone_factor",
    "stones",
    "weighed_beet",
]

LITRES_PER_M3: Final = 1000.0

# Spon's Encyclopaedia (gluedideas P53): a dam should not be deeper than 4 ft.
DEEPEST_M: Final = 1.2192

# Chesson (1978) used 25 L/kg; Spon's dam comes to 19 to 33 at 1.5 to 2.6 tons of
# straw to the acre, and those tons are assumed.
LIQUOR_L_PER_KG: Final = Band(19.0, 25.0, 33.0)

# Inferred from girth and packing; no published weight of a beet was found.
BEET_KG: Final = Band(2.0, 3.0, 5.0)

# How far one beet differs from the next, as a share: our own judgement, no source.
BEET_SPREAD: Final = 0.25
NINE_IN_TEN: Final = 1.2816


@dataclass(frozen=True, slots=True)
class Basin:
    """A dam with a level oblong bottom and evenly sloping sides.

    Attributes
    ----------
    top_length, top_width : float
        Size at the brim, above zero. [m]
    bottom_length, bottom_width : float
        Size of the floor, not above the brim's; nought for a ditch. [m]
    depth : float
        Height of the brim above the floor, above zero. [m]
    """

    top_length: float
    top_width: float
    bottom_length: float
    bottom_width: float
    depth: float

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        for name in ("top_length", "top_width", "depth"):
            positive(getattr(self, name), name)
        for side in ("length", "width"):
            bottom = not_negative(getattr(self, f"bottom_{side}"), f"bottom_{side}")
            if bottom > getattr(self, f"top_{side}"):
                raise ValueError(f"bottom_{side} must not be above top_{side}")

    def surface(self, water_depth: float) -> float:
        """Return the area of the water's surface.

        Parameters
        ----------
        water_depth : float
            Height of the water above the floor, not above ``depth``. [m]

        Returns
        -------
        float
            Area at that height. [m²]

        Raises
        ------
        ValueError
            If the water would stand above the brim.
        """
        height = self._height(water_depth)
        length = self.bottom_length + height * (self.top_length - self.bottom_length)
        width = self.bottom_width + height * (self.top_width - self.bottom_width)
        return length * width

    def volume(self, water_depth: float) -> float:
        """Return the water that the dam holds at one depth.

        Parameters
        ----------
        water_depth : float
            Height of the water above the floor, not above ``depth``. [m]

        Returns
        -------
        float
            Volume up to that height. [m³]

        Raises
        ------
        ValueError
            If the water would stand above the brim.

        References
        ----------
        .. [1] The prismoidal formula, exact where the sides are plane.
        """
        floor, middle = self.surface(0.0), self.surface(water_depth / 2)
        return water_depth / 6 * (floor + 4 * middle + self.surface(water_depth))

    def _height(self, water_depth: float) -> float:
        """Return the water's height as a share of the dam's."""
        not_negative(water_depth, "water_depth")
        if water_depth > self.depth:
            raise ValueError(
                f"water_depth must not be above the dam's {self.depth} m, "
                f"not {water_depth}"
            )
        return water_depth / self.depth


@dataclass(frozen=True, slots=True)
class Capacity:
    """What a dam should hold in one filling.

    The range joins the spread of the water wanted and of the beet's weight as
    independent factors; a beet weighed on the spot narrows it.

    Attributes
    ----------
    beets : int
        Likely number of beets.
    dry_kg : float
        Likely dry weight of the crop. [kg]
    low, high : int
        Fewest and most beets to reckon with.
    """

    beets: int
    dry_kg: float
    low: int
    high: int


def weighed_beet(beets: int, total_kg: float) -> Band:
    """Return the weight of a beet from some that were weighed together.

    Parameters
    ----------
    beets : int
        Beets weighed, at least 1.
    total_kg : float
        Their dry weight together, above zero. [kg]

    Returns
    -------
    Band
        Their mean, and where the mean of the whole crop lies eight times in ten if
        beets differ by a quarter. [kg]

    References
    ----------
    .. [1] The normal's ninth decile over the square root of the number; how far
       beets differ is our own judgement.
    """
    count = whole(beets, "beets", 1)
    mean = positive(total_kg, "total_kg") / count
    reach = exp(NINE_IN_TEN * BEET_SPREAD / sqrt(count))
    return Band(mean / reach, mean, mean * reach)


def capacity(
    basin: Basin,
    *,
    water_depth: float | None = None,
    liquor_l_per_kg: Band = LIQUOR_L_PER_KG,
    beet_kg: Band = BEET_KG,
) -> Capacity:
    """Return how many beets a dam can take in one filling.

    Parameters
    ----------
    basin : Basin
        The dam.
    water_depth : float, optional
        Depth of water meant to stand over the floor; full if not given. [m]
    liquor_l_per_kg : Band, default 19 / 25 / 33
        Water wanted for each kilogram of dry straw, above zero. [L/kg]
    beet_kg : Band, default 2 / 3 / 5
        Dry weight of one beet, above zero. [kg]

    Returns
    -------
    Capacity
        Beets and dry weight, with the beets' range.

    References
    ----------
    .. [1] Chesson, J. Appl. Bact. 45 (1978) 219-230: 14 kg of straw in 350 L.
    .. [2] Spon's Encyclopaedia (gluedideas P53): a dam of 50 by 9 by 4 ft for the
       average crop of an acre.
    """
    positive(liquor_l_per_kg.low, "liquor_l_per_kg.low")
    positive(beet_kg.low, "beet_kg.low")
    depth = basin.depth if water_depth is None else water_depth
    litres = basin.volume(depth) * LITRES_PER_M3
    beets = joined((liquor_l_per_kg.inverse(), beet_kg.inverse())).scaled(litres)
    return Capacity(
        beets=_whole_beets(beets.likely),
        dry_kg=litres / liquor_l_per_kg.likely,
        low=_whole_beets(beets.low),
        high=_whole_beets(beets.high),
    )


def _whole_beets(beets: float) -> int:
    """Return whole beets; a sum that is whole but for its last bits is whole."""
    return int(beets + 1e-9 * max(beets, 1.0))
