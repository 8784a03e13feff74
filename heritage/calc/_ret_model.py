"""How fast flax rets in water of a given warmth, and how far a log has brought it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from math import exp, hypot
from typing import Final, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ._checks import finite, not_negative, positive

SECONDS_PER_DAY: Final = 86_400.0
REFERENCE_C: Final = 20.0
Q10_STEP_C: Final = 10.0

# Where the fitted curve may be trusted, where it is stretched, where it is silent.
TRUSTED_FROM_C: Final = 12.0
STRETCHED_FROM_C: Final = 8.0
NO_DATE_BELOW_C: Final = 6.0
TOO_HOT_C: Final = 40.0
# No water in the open is colder or hotter, whatever a thermometer says.
COLDEST_C: Final = -5.0
HOTTEST_C: Final = 60.0

# Four batches in five lie within so many standard deviations of the likely one.
FOUR_IN_FIVE: Final = 1.2815515655446004
# Below this mean warmth the scatter is taken to grow by so much a degree: judgement.
COLD_BELOW_C: Final = 14.0
COLD_SCATTER_PER_C: Final = 0.12


class KnownBy(StrEnum):
    """How the warmth of the water is known."""

    THERMOMETER = "thermometer"
    AIR = "air"
    SEASON = "season"


SCATTER: Final = {KnownBy.THERMOMETER: 0.30, KnownBy.AIR: 0.32, KnownBy.SEASON: 0.34}


def scatter(
    known_by: KnownBy | str = KnownBy.THERMOMETER, *, mean_c: float | None = None
) -> float:
    """Return how far batches scatter about the likely length, as a logarithm.

    Parameters
    ----------
    known_by : KnownBy
        Whether a thermometer hangs in the dam, or the warmth was reckoned from the
        air, or taken from the season alone.
    mean_c : float, optional
        Mean warmth of the water over the ret; colder than 14 °C widens it. [°C]

    Returns
    -------
    float
        Standard deviation of the logarithm of the ret's length. [-]

    References
    ----------
    .. [1] 0.34: standard deviation of the logarithms of twelve Irish reports, whose
       water was not measured. From it the unknown warmth (1.5 °C) and the rounding
       to days are taken for 0.30 and 0.32. The growth in the cold, 0.12 a degree
       below 14 °C added at right angles, is our own judgement.
    """
    base = SCATTER[KnownBy(known_by)]
    if mean_c is None:
        return base
    short = max(0.0, COLD_BELOW_C - finite(mean_c, "mean_c"))
    return hypot(base, COLD_SCATTER_PER_C * short)


@dataclass(frozen=True, slots=True)
class RetModel:
    """The settings of the ret's rate.

    Attributes
    ----------
    days_at_20 : float, default 7.5
        Length of a ret at 20 °C; 6.4 to 9.1. [d]
    q10 : float, default 2.1
        How many times faster 10 °C warmer is, above 1; 1.8 to 2.5. [-]
    cap_c : float, default 33
        Warmth beyond which the water gains nothing more. [°C]
    sigma : float, default 0.30
        How far batches scatter about the likely time, see `scatter`. [-]

    References
    ----------
    .. [1] Fitted to Chesson (1978, 32 °C), Univ. P. & M. Curie (32 °C), Ruan et al.
       (2015, room), the Flax Society's directions (1846) and others whose warmth
       had to be inferred. A real dam scatters by a factor of 1.4.
    """

    days_at_20: float = 7.5
    q10: float = 2.1
    cap_c: float = 33.0
    sigma: float = 0.30

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        positive(self.days_at_20, "days_at_20")
        finite(self.cap_c, "cap_c")
        if finite(self.q10, "q10") <= 1:
            raise ValueError(f"q10 must be above 1, not {self.q10}")
        not_negative(self.sigma, "sigma")

    @property
    def early(self) -> float:
        """Share of the likely time at which one batch in ten is ready."""
        return exp(-FOUR_IN_FIVE * self.sigma)

    @property
    def late(self) -> float:
        """Share of the likely time at which nine batches in ten are ready."""
        return exp(FOUR_IN_FIVE * self.sigma)


DEFAULT_RET: Final = RetModel()


@overload
def rate(temp_c: float, model: RetModel = ...) -> float: ...
@overload
def rate(temp_c: ArrayLike, model: RetModel = ...) -> NDArray[np.float64]: ...


def rate(
    temp_c: ArrayLike, model: RetModel = DEFAULT_RET
) -> float | NDArray[np.float64]:
    """Return the share of a ret that one day in such water brings.

    Parameters
    ----------
    temp_c : float or array_like
        Warmth of the water, -5 to 60. Trusted from 12 to 33; flat above. [°C]
    model : RetModel, optional
        Settings of the rate.

    Returns
    -------
    float or ndarray
        Rate, in the shape of ``temp_c``. [1/d]

    Raises
    ------
    ValueError
        If a temperature is not a finite number, or none of water in the open.

    References
    ----------
    .. [1] See `RetModel`. Of hemp, 45 °C was found too hot (Magnusson and
       Svennerstedt, J. Ind. Hemp 12 (2007) 3-17), so heat past the cap counts no more.
    """
    temps = np.asarray(temp_c, dtype=np.float64)
    if not np.isfinite(temps).all():
        raise ValueError("temp_c must be a finite number throughout")
    if temps.size and not COLDEST_C <= temps.min() <= temps.max() <= HOTTEST_C:
        raise ValueError(
            f"temp_c must lie from {COLDEST_C:g} to {HOTTEST_C:g} °C throughout"
        )
    steps = (np.minimum(temps, model.cap_c) - REFERENCE_C) / Q10_STEP_C
    rates = np.power(model.q10, steps) / model.days_at_20
    return rates if temps.ndim else float(rates)


def days_at(temp_c: float, model: RetModel = DEFAULT_RET) -> float:
    """Return the likely length of a ret in water of one warmth.

    Parameters
    ----------
    temp_c : float
        Warmth of the water, 6 or more. [°C]
    model : RetModel, optional
        Settings of the rate.

    Returns
    -------
    float
        Days until the ret is likely to be ready. [d]

    Raises
    ------
    ValueError
        If the water is too cold for any honest answer.
    """
    if finite(temp_c, "temp_c") < NO_DATE_BELOW_C:
        raise ValueError(
            f"temp_c must be {NO_DATE_BELOW_C:.0f} or more: in colder water "
            "no length of ret can be told"
        )
    return 1.0 / rate(float(temp_c), model)


def days_since_start(times: Sequence[datetime]) -> NDArray[np.float64]:
    """Return the days that have gone by at each time since the first.

    Parameters
    ----------
    times : sequence of datetime, length n >= 1
        Aware times that strictly rise.

    Returns
    -------
    ndarray, shape (n,)
        Days, the first of them nought. [d]

    Raises
    ------
    ValueError
        If there are no times, one is naive, or they do not strictly rise.
    """
    if not len(times):
        raise ValueError("times must hold at least one time")
    if any(moment.utcoffset() is None for moment in times):
        raise ValueError("times must be aware of their time zone")
    # Stamps, because two times of one zone subtract by the wall clock.
    stamps = np.array([moment.timestamp() for moment in times])
    if (np.diff(stamps) <= 0).any():
        raise ValueError("times must strictly rise")
    days: NDArray[np.float64] = (stamps - stamps[0]) / SECONDS_PER_DAY
    return days


def progress(
    times: Sequence[datetime], temps: ArrayLike, model: RetModel = DEFAULT_RET
) -> NDArray[np.float64]:
    """Return the share of the ret that is behind at each reading.

    The rate is averaged between readings, not the warmth: in a curve that bends
    upwards, the rate of the mean would fall short.

    Parameters
    ----------
    times : sequence of datetime, length n >= 1
        Aware times that strictly rise, however unevenly.
    temps : array_like, shape (..., n)
        Warmth of the water at those times; further axes are further dams. [°C]
    model : RetModel, optional
        Settings of the rate.

    Returns
    -------
    ndarray, shape (..., n)
        Progress, nought at the first time. Likely to be ready at 1. [-]

    Raises
    ------
    ValueError
        If times and temperatures do not match, or either cannot be used.
    """
    days = days_since_start(times)
    rates = np.asarray(rate(np.asarray(temps, dtype=np.float64), model))
    if rates.shape[-1:] != days.shape:
        raise ValueError(f"temps must hold one value for each of the {days.size} times")
    steps = np.diff(days) * (rates[..., 1:] + rates[..., :-1]) / 2
    behind = np.zeros_like(rates)
    np.cumsum(steps, axis=-1, out=behind[..., 1:])
    return behind
