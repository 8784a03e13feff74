"""How much ground a person, a crew or a machine pulls in an hour."""

from dataclasses import astuple

import numpy as np
from scipy.special import betaln, binom

from heritage.calc._band import Band
from heritage.calc._checks import fraction, positive, whole

# A practised adult pulling only. Four accounts: 62.4 person-hours an acre in an
# American grower's record of the 1890s (UF Digital Collections AA00053724), 12 to 14
# pullers an acre a day in Monaghan (the Schools' Collection, vol. 0799 p. 295), and
# two whole-crew figures. [m²/person-hour]
PRACTISED = Band(25, 40, 65)
# The same grower's first lot against the next: 121.6 and some 83 hours an acre.
NOVICE = Band(0.5, 0.7, 0.9)
# A machine slows from 1.8 to 1.0 ha/h in lodged flax (ouest.cuma.fr); for hands
# only an analogy.
LODGED = Band(0.5, 0.6, 0.8)
# No source was found for pulling a wet crop; a judgement.
WET = Band(0.7, 0.85, 1.0)
# One tier to four pullers: 3 to 4 tiers with 12 to 14 pullers (vol. 0799 p. 295).
PULLERS_PER_TIER = 4
# A self-propelled machine of today, a sixth of whose time goes on the road
# (ouest.cuma.fr). [m²/h]
MODERN_MACHINE = Band(10_000, 14_000, 18_000)

# Where the formula for turnout holds its figures: beyond, a computer's numbers end.
MOST_PEOPLE = 1_000
EVENNESS_FROM, EVENNESS_TO = 0.01, 10_000.0
# Nearer than this to none or all, they all stay away or all come.
_CERTAIN = 1e-9


def person_rate(
    *,
    novices: float = 0.0,
    lodged: bool = False,
    wet: bool = False,
    practised: Band = PRACTISED,
) -> Band:
    """Give the ground that one person pulls in an hour.

    Parameters
    ----------
    novices : float
        Share of the crew who have not pulled before, 0 to 1. [-]
    lodged : bool
        Whether the crop lies flat.
    wet : bool
        Whether it is wet.
    practised : Band
        What a practised adult pulls in a standing, dry crop; the group's own figure
        after its first evening is better than any here. [m²/h]

    Returns
    -------
    Band
        The rate, each end taking every factor's same end. [m²/person-hour]

    Raises
    ------
    ValueError
        If ``novices`` is not from 0 to 1, or ``practised`` not above zero.

    References
    ----------
    .. [1] Beside ``PRACTISED``, ``NOVICE``, ``LODGED`` and ``WET``.
    """
    share = fraction(novices, "novices")
    positive(practised.low, "practised")
    crew = Band(*(1 - share * (1 - part) for part in astuple(NOVICE)))
    return _slowed(_times(practised, crew), lodged=lodged, wet=wet)


def machine_rate(
    hands: Band | float | None = None, *, lodged: bool = False, wet: bool = False
) -> Band:
    """Give the ground that a pulling machine covers in an hour.

    Parameters
    ----------
    hands : Band, float or None
        How many practised pullers it is worth: ask its driver. Eight is often
        said of the old ones, without a source. ``None`` for a machine of today.
        [person]
    lodged : bool
        Whether the crop lies flat.
    wet : bool
        Whether it is wet.

    Returns
    -------
    Band
        The rate, in the field alone. [m²/h]

    Raises
    ------
    ValueError
        If ``hands`` is not above zero.

    References
    ----------
    .. [1] ouest.cuma.fr, "Lin": 1 to 1.8 ha/h, 15 % of the time on the road.
    """
    if hands is None:
        return _slowed(MODERN_MACHINE, lodged=lodged, wet=wet)
    worth = hands if isinstance(hands, Band) else Band(hands, hands, hands)
    positive(worth.low, "hands")
    return _slowed(_times(PRACTISED, worth), lodged=lodged, wet=wet)


def tiers_needed(pullers: int, pullers_per_tier: int = PULLERS_PER_TIER) -> int:
    """Say how many must tie beets behind the pullers.

    Parameters
    ----------
    pullers : int
        People who pull; not negative.
    pullers_per_tier : int
        Pullers that one tier keeps up with, at least 1: 3 to 5.

    Returns
    -------
    int
        Tiers, at least one behind any puller at all.

    Raises
    ------
    ValueError
        If either is not a whole number, or too small.

    References
    ----------
    .. [1] The Schools' Collection, duchas.ie, vol. 0799 p. 295.
    """
    per_tier = whole(pullers_per_tier, "pullers_per_tier", least=1)
    return -(-whole(pullers, "pullers") // per_tier)


def turnout_capacity(
    signed_up: int,
    beets_each: int,
    *,
    mean_share: float = 0.6,
    evenness: float = 5.0,
) -> tuple[tuple[int, float], ...]:
    """Give what an evening may pull, with chances, when not all may come.

    Parameters
    ----------
    signed_up : int
        People who said that they would come, 0 to 1,000.
    beets_each : int
        What each who comes pulls in the evening; not negative.
    mean_share : float
        The share that comes on the whole, between 0 and 1. A placeholder until the
        group has its own count.
    evenness : float
        How alike the evenings are: small if they all come or all stay away
        together, large if each decides alone; 0.01 to 10,000. A placeholder
        likewise. [-]

    Returns
    -------
    tuple of (int, float)
        Each number of beets with its chance, as ``Evening`` takes it: a
        beta-binomial turnout.

    Raises
    ------
    ValueError
        If an argument is not finite or is out of its range.
    """
    people, each = whole(signed_up, "signed_up"), whole(beets_each, "beets_each")
    if people > MOST_PEOPLE:
        raise ValueError(f"signed_up must be {MOST_PEOPLE} or fewer, not {people}")
    share = fraction(mean_share, "mean_share")
    spread = positive(evenness, "evenness")
    if not EVENNESS_FROM <= spread <= EVENNESS_TO:
        raise ValueError(
            f"evenness must lie from {EVENNESS_FROM} to {EVENNESS_TO}, not {evenness}"
        )
    if min(share, 1 - share) < _CERTAIN:
        return ((round(share) * people * each, 1.0),)
    come, stay = share * spread, (1 - share) * spread
    came = np.arange(people + 1)
    chances = binom(people, came) * np.exp(
        betaln(came + come, people - came + stay) - betaln(come, stay)
    )
    return tuple(zip((each * came).tolist(), chances.tolist(), strict=True))


def _slowed(rate: Band, *, lodged: bool, wet: bool) -> Band:
    rate = _times(rate, LODGED) if lodged else rate
    return _times(rate, WET) if wet else rate


def _times(one: Band, other: Band) -> Band:
    return Band(*(a * b for a, b in zip(astuple(one), astuple(other), strict=True)))
