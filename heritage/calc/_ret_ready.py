"""When a ret may be ready, when to test it next, and whether it may be lifted."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from ._ballast import GASSING_FROM, GASSING_UNTIL, Phase
from ._checks import not_negative, positive
from ._ret_learning import Factor
from ._ret_model import (
    DEFAULT_RET,
    NO_DATE_BELOW_C,
    Q10_STEP_C,
    RetModel,
    rate,
)
from ._ret_outlook import STRAYS_ON, strays_c
from ._ret_signs import TESTS, Floats, Sign, SignKind, StemPlace
from .reasons import Reason

# How long after the ready day, as a share of the ret, the fibre is still good: our own
# judgement, from Ure's "a single day too long".
GOOD_FOR: Final = 0.10
# Of the stems at mid-stalk so many must slip before a lifting: our own judgement.
FREE_SHARE: Final = 0.60
# Later tests come no sooner and no later than this: our own judgement, but for the six
# hours (Flax Society 1846).
SOONEST_H, LATEST_H = 6.0, 24.0
# Nothing is told of what lies further ahead.
HORIZON_D: Final = 120
HOURS_A_DAY: Final = 24
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(15)


@dataclass(frozen=True, slots=True)
class RetCosts:
    """What a visit, a day too late and a day too early cost against each other.

    Attributes
    ----------
    visit : float, default 1
        One visit with a test, above nought.
    day_late : float, default 40
        One day past ready: the fibre weakens, and that cannot be undone. Above nought.
    day_early : float, default 10
        One day short of ready: it is put back, or finished on the grass. Not negative.

    References
    ----------
    .. [1] Our own judgement: a fifth of some 200 hours of people's work.
    """

    visit: float = 1.0
    day_late: float = 40.0
    day_early: float = 10.0

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        positive(self.visit, "visit")
        positive(self.day_late, "day_late")
        not_negative(self.day_early, "day_early")


USUAL_COSTS: Final = RetCosts()


@dataclass(frozen=True, slots=True)
class Ready:
    """When tests may find a ret ready. It never says when to lift: only a test can.

    Attributes
    ----------
    early, likely, late : float or None
        Days from now by which one, five and nine rets in ten like it are ready; nought
        where that is past, ``None`` where it cannot be told. [d]
    chance_now : float
        Chance that it is ready by now. [-]
    """

    early: float | None
    likely: float | None
    late: float | None
    chance_now: float


class LiftReason(StrEnum):
    """What speaks for or against lifting, with the names of its figures."""

    # No core was drawn at mid-stalk.
    NO_TEST = "no_test"
    # free, stems, needed (a share).
    TOO_FEW_FREE = "too_few_free"
    ENOUGH_FREE = "enough_free"
    # not_ready, past (chances), early, late (what each costs a day).
    EARLY_COSTS_MORE = "early_costs_more"
    LATE_COSTS_MORE = "late_costs_more"
    # times the likely length: see `Factor.is_unlike_others`. It forbids nothing.
    UNLIKE_OTHERS = "unlike_others"


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether the tests allow lifting, and why; never a date for it.

    Attributes
    ----------
    may : bool
        Whether they do.
    reasons : tuple of Reason
        What speaks for and against it.
    """

    may: bool
    reasons: tuple[Reason[LiftReason], ...]


@dataclass(frozen=True, slots=True)
class _Ahead:
    """The hours ahead, the chance to be ready by each, and how far it can be told."""

    days: Floats
    chances: Floats
    told_until: float

    def day_of(self, share: float) -> float | None:
        """Return the day by which so large a share of rets is ready."""
        if share > self.chances[-1]:
            return None
        day = float(np.interp(share, self.chances, self.days))
        day = 0.0 if share <= self.chances[0] else day
        return day if day <= self.told_until else None


def ready(
    factor: Factor,
    progress_now: float,
    outlook_c: Sequence[float] | float,
    outlook_sd: Sequence[float] | float | None = None,
    *,
    model: RetModel = DEFAULT_RET,
) -> Ready:
    """Say when tests may find a ret ready.

    Parameters
    ----------
    factor : Factor
        What is known of the ret, with all its signs.
    progress_now : float
        Share of the ret that is behind, as `progress` gives it. [-]
    outlook_c : float or sequence of float, length n >= 1
        Mean warmth of the water on each day ahead; the last is held. [°C]
    outlook_sd : float or sequence of float, optional
        How far each of those means may be off; the last is held. Grows from 0.66 on
        the first day to 1.6 if not given. [°C]
    model : RetModel, optional
        Settings of the rate.

    Returns
    -------
    Ready
        Early, likely and late, in days ahead. ``None`` for a day from which the water
        is expected below 6 °C, or more than 120 days off.

    Raises
    ------
    ValueError
        If the outlook is empty or holds what is no number, or a spread is negative.

    References
    ----------
    .. [1] R. S. Padrón et al., Hydrol. Earth Syst. Sci. 29 (2025) 1685: a stream's
       forecast scores 0.38 °C (CRPS) after one day and 0.90 after 32, which is a
       spread of 0.67 and 1.60. How one day's error stays on is our own judgement.
    """
    ahead = _ahead(factor, progress_now, outlook_c, outlook_sd, model)
    early, likely, late = (ahead.day_of(share) for share in (0.1, 0.5, 0.9))
    return Ready(early, likely, late, factor.below(progress_now))


def next_test(
    factor: Factor,
    progress_now: float,
    outlook_c: Sequence[float] | float,
    outlook_sd: Sequence[float] | float | None = None,
    *,
    costs: RetCosts = USUAL_COSTS,
    model: RetModel = DEFAULT_RET,
) -> float:
    """Return how long the next test may wait.

    It waits until the days that it may be late are expected to cost as much as a
    visit.

    Parameters
    ----------
    factor : Factor
        What is known of the ret, with all its signs.
    progress_now : float
        Share of the ret that is behind. [-]
    outlook_c, outlook_sd : float or sequence of float
        As in `ready`. [°C]
    costs : RetCosts, optional
        The organiser's own weights.
    model : RetModel, optional
        Settings of the rate.

    Returns
    -------
    float
        Hours from now: 6 to 24, but for a first test, which waits as long as it may.
        [h]

    References
    ----------
    .. [1] Flax Society of Ireland (1846): every six hours once fermentation subsides.
       Manual of Flax Culture: daily. The costs are our own judgement.
    """
    ahead = _ahead(factor, progress_now, outlook_c, outlook_sd, model)
    steps = (ahead.chances[1:] + ahead.chances[:-1]) / 2 / HOURS_A_DAY
    late_by = np.append(0.0, np.cumsum(steps))
    hours = HOURS_A_DAY * float(
        np.interp(costs.visit / costs.day_late, late_by, ahead.days)
    )
    if not any(sign.kind in TESTS for sign in factor.signs):
        return hours
    return min(max(hours, SOONEST_H), LATEST_H)


def may_lift(
    factor: Factor,
    progress_now: float,
    signs: Iterable[Sign],
    *,
    costs: RetCosts = USUAL_COSTS,
) -> Verdict:
    """Say whether the tests allow lifting. Never a date, and never by the date.

    Parameters
    ----------
    factor : Factor
        What is known of the ret, with all its signs.
    progress_now : float
        Share of the ret that is behind. [-]
    signs : iterable of Sign
        Its signs; the last core drawn at mid-stalk counts.
    costs : RetCosts, optional
        The organiser's own weights.

    Returns
    -------
    Verdict
        Yes if six in ten stems slipped at the last test, and the chance to be past
        the good days, times what that costs, is no less than the chance not to be
        ready, times what that costs.

    References
    ----------
    .. [1] A core that slips at mid-stalk: Flax Society of Ireland (1846). The six in
       ten, the good days and the costs are our own judgement.
    """
    not_negative(progress_now, "progress_now")
    found = _of_last_test(signs)
    weighed = _of_costs(factor, progress_now, costs)
    may = {found.code, weighed.code} == {
        LiftReason.ENOUGH_FREE,
        LiftReason.LATE_COSTS_MORE,
    }
    if not factor.is_unlike_others:
        return Verdict(may, (found, weighed))
    unlike = Reason(LiftReason.UNLIKE_OTHERS, {"times": factor.quantile(0.5)})
    return Verdict(may, (found, weighed, unlike))


def phase_chances(
    factor: Factor, progress_now: float, *, dry: bool | None = None
) -> dict[Phase, float]:
    """Return the chance of each phase of a filling, from all that is known of its ret.

    Parameters
    ----------
    factor : Factor
        What is known of the ret, with all its signs.
    progress_now : float
        Share of the ret that is behind. [-]
    dry : bool, optional
        Whether the flax went in dry, or green; if nobody knows, either.

    Returns
    -------
    dict of Phase to float
        Chances that add up to 1, see `dam.phase_chances`. What was seen of the water
        itself goes before them: `dam.phase_seen`.

    References
    ----------
    .. [1] That it gasses from 0.2 to 0.7 of its own length is our own judgement.
    """
    not_negative(progress_now, "progress_now")
    begun = factor.below(progress_now / GASSING_FROM)
    ended = factor.below(progress_now / GASSING_UNTIL)
    share_dry = 0.5 if dry is None else float(dry)
    return {
        Phase.GREEN: (1 - begun) * (1 - share_dry),
        Phase.DRY: (1 - begun) * share_dry,
        Phase.GASSING: begun - ended,
        Phase.END: ended,
    }


def _of_last_test(signs: Iterable[Sign]) -> Reason[LiftReason]:
    """Say what the last core at mid-stalk found."""
    cores = [
        sign
        for sign in signs
        if sign.kind == SignKind.CORE and sign.place == StemPlace.MIDDLE
    ]
    if not cores:
        return Reason(LiftReason.NO_TEST)
    at = max(sign.progress for sign in cores)
    last = [sign for sign in cores if sign.progress == at]
    free = sum(sign.count for sign in last if sign.category in ("free", "tears"))
    stems = sum(sign.count for sign in last)
    enough = free >= FREE_SHARE * stems - 1e-9
    code = LiftReason.ENOUGH_FREE if enough else LiftReason.TOO_FEW_FREE
    return Reason(code, {"free": free, "stems": stems, "needed": FREE_SHARE})


def _of_costs(factor: Factor, now: float, costs: RetCosts) -> Reason[LiftReason]:
    """Weigh the chance to be too late against that to be too early."""
    past, not_ready = factor.below(now * exp(-GOOD_FOR)), 1 - factor.below(now)
    late = costs.day_late * past >= costs.day_early * not_ready
    code = LiftReason.LATE_COSTS_MORE if late else LiftReason.EARLY_COSTS_MORE
    figures = {"not_ready": not_ready, "past": past}
    return Reason(code, figures | {"early": costs.day_early, "late": costs.day_late})


def _ahead(
    factor: Factor,
    now: float,
    outlook_c: ArrayLike,
    outlook_sd: ArrayLike | None,
    model: RetModel,
) -> _Ahead:
    """Reckon the chance to be ready, hour by hour, as the water warms or strays."""
    not_negative(now, "progress_now")
    means = _held(outlook_c, "outlook_c")
    gained = np.append(0.0, np.cumsum(rate(means, model)))
    whole_days = np.arange(HORIZON_D + 1.0)
    days = np.arange(HORIZON_D * HOURS_A_DAY + 1) / HOURS_A_DAY
    spread = np.interp(days, whole_days, _spread_of_mean(outlook_sd))
    warmer = np.exp(log(model.q10) / Q10_STEP_C * np.outer(_NODES, spread))
    reached = now + np.interp(days, whole_days, gained) * warmer
    chances = _WEIGHTS / _WEIGHTS.sum() @ factor.chances_below(reached)
    (cold,) = np.nonzero(means < NO_DATE_BELOW_C)
    told_until = float(cold[0]) if cold.size else float(HORIZON_D)
    # A ret that is ready stays so: a spread that jumps takes no chance back.
    return _Ahead(days, np.maximum.accumulate(chances), told_until)


def _held(values: ArrayLike, name: str) -> Floats:
    """Return a value for every day ahead, the last of them held."""
    told = np.atleast_1d(np.asarray(values, dtype=np.float64))[:HORIZON_D]
    if told.ndim != 1 or not told.size or not np.isfinite(told).all():
        raise ValueError(f"{name} must hold a finite number for one day or more")
    return np.pad(told, (0, HORIZON_D - told.size), mode="edge")


def _spread_of_mean(outlook_sd: ArrayLike | None) -> Floats:
    """Return how far the mean of all days up to each may be off, from nought on."""
    days = np.arange(1.0, HORIZON_D + 1)
    if outlook_sd is None:
        each = strays_c(days)
    else:
        each = _held(outlook_sd, "outlook_sd")
        not_negative(each.min(), "outlook_sd")
    together = STRAYS_ON ** np.abs(np.subtract.outer(days, days)) * np.outer(each, each)
    upto = together.cumsum(axis=0).cumsum(axis=1).diagonal()
    return np.append(0.0, np.sqrt(upto) / days)
