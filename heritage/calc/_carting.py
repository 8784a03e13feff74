"""Loads and trips: what a load weighs, and how often one comes to the dam."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log
from typing import Final

from heritage.calc._band import Band, joined
from heritage.calc._checks import not_negative, positive, whole

MINUTES: Final = 60.0
M_PER_MIN_OF_KMH: Final = 1000.0 / MINUTES

# Beets that one person forks up, or takes from the load and stands in the dam, in an
# hour, and the minutes that a cart stands to be tipped: our own judgement. No figure
# was found in print for a load, its loading or its placing.
LOADED_PER_H: Final = Band(60.0, 120.0, 240.0)
PLACED_PER_H: Final = Band(30.0, 60.0, 120.0)
TIP_MIN: Final = Band(3.0, 6.0, 12.0)

# Flax as pulled over flax dry enough to keep: from 60 to 75 % of water in the one, 12
# in the other. From memory and reckoned.
GREEN_OF_DRY: Final = Band(2.2, 2.9, 3.5)

# How one gap between two loads differs from the next, as a logarithm: our judgement.
GAP_SPREAD: Final = 0.35
NINE_IN_TEN: Final = 1.2816


@dataclass(frozen=True, slots=True)
class Carts:
    """The carts of an evening and the hands that load them.

    Attributes
    ----------
    carts : int
        Carts that go to and fro, at least 1.
    load_beets : int
        Beets to a load, at least 1.
    distance_m : float
        From the field to the dam by the cart's way, not negative. [m]
    speed_kmh : float
        Speed on the way, laden or empty, above zero. [km/h]
    loaders : int
        People who load, one cart at a time; at least 1.
    """

    carts: int
    load_beets: int
    distance_m: float
    speed_kmh: float
    loaders: int

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        for name in ("carts", "load_beets", "loaders"):
            whole(getattr(self, name), name, least=1)
        not_negative(self.distance_m, "distance_m")
        positive(self.speed_kmh, "speed_kmh")

    @property
    def way_min(self) -> float:
        """Minutes on the way, once."""
        return self.distance_m / (self.speed_kmh * M_PER_MIN_OF_KMH)

    @property
    def load_min(self) -> Band:
        """Minutes to load one cart."""
        per_min = LOADED_PER_H.scaled(self.loaders / MINUTES)
        return per_min.inverse().scaled(self.load_beets)

    @property
    def first_min(self) -> Band:
        """Minutes from the start until the first load is at the dam."""
        return Band(*(one + self.way_min for one in _ends(self.load_min)))


@dataclass(frozen=True, slots=True)
class LoadWeight:
    """What one load weighs.

    Attributes
    ----------
    dry : Band
        If the flax is dry. [kg]
    green : Band
        If it goes in as it was pulled. [kg]
    """

    dry: Band
    green: Band


def load_weight(beets: int, beet_kg: Band) -> LoadWeight:
    """Return what so many beets weigh on a cart.

    Parameters
    ----------
    beets : int
        Beets on the cart.
    beet_kg : Band
        Dry weight of one beet, above zero. [kg]

    Returns
    -------
    LoadWeight
        Dry and green, each with its range; rain on the load is not in it.

    References
    ----------
    .. [1] Green flax weighs 2.2 to 3.5 times its dry weight: from memory, reckoned.
    """
    dry = beet_kg.scaled(whole(beets, "beets"))
    if not beets:
        return LoadWeight(dry, dry)
    return LoadWeight(dry, joined((dry, GREEN_OF_DRY)))


def load_every(carts: Carts) -> Band:
    """Return how often a load comes to the dam once the first is there.

    The loaders load one cart at a time, so no load comes sooner after another than one
    is loaded; and no cart comes sooner again than it goes round.

    Parameters
    ----------
    carts : Carts
        The carts and those who load them.

    Returns
    -------
    Band
        Minutes between two loads, the quick end first. [min]

    References
    ----------
    .. [1] The cycle of haulage: with ``n`` carts the loaders wait if the round takes
       longer than ``n`` loadings, else the carts do (R. W. Morgan and L. L. Peterson,
       Determining shovel-truck productivity, Mining Engineering, 1968; from memory).
    """
    both_ways = 2 * carts.way_min
    ends = zip(_ends(carts.load_min), _ends(TIP_MIN), strict=True)
    return Band(
        *(max(load, (load + both_ways + tip) / carts.carts) for load, tip in ends)
    )


def learn_pace(reckoned: Band, gaps_min: Sequence[float], to_come: int) -> Band:
    """Return the minutes between the loads to come, by those that came.

    The logarithm of the mean gap is taken to be normal, its range eight times in ten;
    each gap that was measured narrows it, and a few to come vary more than many.

    Parameters
    ----------
    reckoned : Band
        What was reckoned beforehand, above zero. [min]
    gaps_min : sequence of float
        Minutes between the loads that came, each above zero. [min]
    to_come : int
        Loads to come, at least 1.

    Returns
    -------
    Band
        The mean gap of the loads to come, right eight times in ten. [min]

    References
    ----------
    .. [1] The normal with known variance and a normal prior (A. Gelman and others,
       Bayesian Data Analysis, section 2.5). How gaps differ, by about a third, is our
       own judgement.
    """
    positive(reckoned.low, "reckoned.low")
    prior_var = (log(reckoned.high / reckoned.low) / (2 * NINE_IN_TEN)) ** 2
    gap_var = GAP_SPREAD**2
    mean, var = log(reckoned.likely), prior_var
    if gaps_min:
        # The mean of lognormal gaps lies half a variance above their logarithms' mean.
        logs = [log(positive(gap, "gaps_min")) + gap_var / 2 for gap in gaps_min]
        seen = len(logs) / gap_var
        prior = 1 / prior_var if prior_var else float("inf")
        share = seen / (seen + prior)
        mean += share * (sum(logs) / len(logs) - mean)
        var = 1 / (seen + prior)
    reach = NINE_IN_TEN * (var + gap_var / whole(to_come, "to_come", least=1)) ** 0.5
    return Band(exp(mean - reach), exp(mean), exp(mean + reach))


def _ends(band: Band) -> tuple[float, float, float]:
    return band.low, band.likely, band.high
