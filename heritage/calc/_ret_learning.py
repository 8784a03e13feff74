"""How much longer or shorter one ret is than the likely one, learned from its signs."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from math import exp, log, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from ._band import Band
from ._checks import finite, fraction, not_negative, positive
from ._ret_model import SCATTER, KnownBy, scatter
from ._ret_signs import Floats, Look, Sign, log_likelihoods, tails

# Half of the scatter lies between dams, half between the batches of one: our own
# judgement, no source.
BETWEEN_DAMS: Final = SCATTER[KnownBy.THERMOMETER] / sqrt(2)
BETWEEN_BATCHES: Final = SCATTER[KnownBy.THERMOMETER] / sqrt(2)
# A past ret whose signs tell less than this teaches nothing. [1 / log²]
LEAST_TOLD: Final = 0.5
# Nineteen rets in twenty lie within so many standard deviations.
NINETEEN_IN_TWENTY: Final = 1.96

# A look that one in so many would be, as green or as ripe, is asked about: judgement.
ASKED_ABOUT: Final = 0.05

# The grid: so many points, over so many standard deviations either way.
POINTS: Final = 801
GRID_REACH: Final = 6.0


@dataclass(frozen=True, slots=True)
class PastRet:
    """What an ended ret of this dam says of its factor, see `past_ret`.

    Attributes
    ----------
    y : float
        Logarithm of the factor, as its tests and its verdict alone would have it. [-]
    sd : float
        How unsure that is, above nought. [-]
    """

    y: float
    sd: float

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        finite(self.y, "y")
        positive(self.sd, "sd")


@dataclass(frozen=True, slots=True)
class _Spread:
    """The chances of a factor, by the edges of the grid's cells."""

    edges: Floats
    below: Floats

    @classmethod
    def of(cls, grid: Floats, logs: Floats) -> "_Spread":
        """Gather logarithms of a density, up to a constant, into chances."""
        half = (grid[1] - grid[0]) / 2
        mass = np.exp(logs - logs.max())
        below = np.append(0.0, np.cumsum(mass))
        return cls(np.append(grid - half, grid[-1] + half), below / below[-1])

    def quantile(self, share: float) -> float:
        return exp(np.interp(share, self.below, self.edges))

    @property
    def band(self) -> Band:
        return Band(*(self.quantile(share) for share in (0.1, 0.5, 0.9)))


@dataclass(frozen=True, slots=True)
class Moved:
    """How one look moved the estimate, after all that came before it.

    Attributes
    ----------
    look : tuple of Sign
        The signs of one kind, tester and progress.
    before, after : Band
        The factor's range of eight in ten without and with it. [-]
    """

    look: Look
    before: Band
    after: Band

    @property
    def times(self) -> float:
        """How many times longer the likely ret is for it, below 1 where shorter."""
        return self.after.likely / self.before.likely

    @property
    def width(self) -> float:
        """How many times as wide, as a logarithm, the range is for it."""
        before, after = (log(one.high / one.low) for one in (self.before, self.after))
        return after / before


@dataclass(frozen=True)
class Factor:
    """How many times the likely length one ret takes: all that is known of it.

    The ret is ready, half its stems slipping freely at mid-stalk, when its progress
    equals the factor. The whole distribution is held on a grid; nothing is sampled.

    Attributes
    ----------
    mean, sd : float
        The logarithm's mean and standard deviation before any sign, see `prior`. [-]
    signs : tuple of Sign
        All that it was learned from, the earliest first.

    References
    ----------
    .. [1] The lognormal start: twelve Irish reports, see `scatter`. What each sign
       tells is our own judgement: no published hit rate of any test was found.
    """

    mean: float
    sd: float
    signs: tuple[Sign, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        finite(self.mean, "mean")
        positive(self.sd, "sd")

    def quantile(self, q: float) -> float:
        """Return the factor below which so large a share of the chances lies.

        Parameters
        ----------
        q : float
            Share of the chances, from 0 to 1. [-]

        Returns
        -------
        float
            The factor. [-]
        """
        return self._spread.quantile(fraction(q, "q"))

    def below(self, x: float) -> float:
        """Return the chance that the factor is no more than ``x``.

        Parameters
        ----------
        x : float
            A factor, or a progress: then it is the chance of being ready. [-]

        Returns
        -------
        float
            The chance, from 0 to 1. [-]
        """
        return float(self.chances_below(not_negative(x, "x")))

    def chances_below(self, x: ArrayLike) -> Floats:
        """Return the chance that the factor is no more than each of many.

        Parameters
        ----------
        x : array_like
            Factors or progresses, none of them negative. [-]

        Returns
        -------
        ndarray
            The chances, in the shape of ``x``. [-]
        """
        logs = np.log(np.maximum(np.asarray(x, dtype=np.float64), 1e-300))
        chances: Floats = np.interp(logs, self._spread.edges, self._spread.below)
        return chances

    @property
    def band(self) -> Band:
        """The range that holds the factor eight times in ten."""
        return self._spread.band

    @property
    def is_unlike_others(self) -> bool:
        """Whether it lies where only one ret in twenty should: look at everything.

        The thermometer and the water are to be checked, and a second tester to be
        asked: our own judgement.
        """
        off = abs(log(self.quantile(0.5)) - self.mean)
        return off > NINETEEN_IN_TWENTY * self.sd

    def moved(self) -> tuple[Moved, ...]:
        """Return how each look moved the estimate, the earliest first.

        Returns
        -------
        tuple of Moved
            One for each look that counted. Each begins where the one before ended, so
            their ``times`` multiply to the whole way from the start.
        """
        told, before = [], _Spread.of(self._grid, self._start).band
        for look, logs in log_likelihoods(self.signs, self._grid):
            after = _Spread.of(self._grid, self._start + logs).band
            told.append(Moved(look, before, after))
            before = after
        return tuple(told)

    def fits(self, signs: Iterable[Sign]) -> float:
        """Return how often a look would find something so green, or so ripe.

        Parameters
        ----------
        signs : iterable of Sign
            One look, not among those it was learned from.

        Returns
        -------
        float
            The chance of a finding on its side of what is expected that is as far off
            or farther, for its middle stem; 1 where nothing is to be told. Below 0.05
            it contradicts what was found before: ask, then keep and weigh it. [-]

        References
        ----------
        .. [1] All the errors of `SIGN_MODELS` together; where to ask is our judgement.
        """
        mass = np.diff(self._spread.below)
        return min(tails(tuple(signs), self._grid, mass))

    def moments(self) -> tuple[float, float]:
        """Return the mean and the variance of the factor's logarithm, as learned.

        Returns
        -------
        tuple of float
            Mean and variance. [-]
        """
        mass = np.diff(self._spread.below)
        mean = float(mass @ self._grid)
        return mean, float(mass @ (self._grid - mean) ** 2)

    @cached_property
    def _grid(self) -> Floats:
        reach = GRID_REACH * self.sd
        return np.linspace(self.mean - reach, self.mean + reach, POINTS)

    @cached_property
    def _start(self) -> Floats:
        start: Floats = -(((self._grid - self.mean) / self.sd) ** 2) / 2
        return start

    @cached_property
    def _spread(self) -> _Spread:
        logs = self._start
        for _, told in log_likelihoods(self.signs, self._grid):
            logs = self._start + told
        return _Spread.of(self._grid, logs)


def prior(
    known_by: KnownBy | str = KnownBy.THERMOMETER,
    *,
    mean_c: float | None = None,
    past: Iterable[PastRet] = (),
) -> Factor:
    """Return what is known of a ret's factor before any sign of its own.

    Parameters
    ----------
    known_by : KnownBy
        How the warmth of the water is known.
    mean_c : float, optional
        Mean warmth of the water over the ret; colder than 14 °C widens it. [°C]
    past : iterable of PastRet
        Ended rets of the same dam, as `past_ret` gives them.

    Returns
    -------
    Factor
        About 1 and as wide as `scatter` says for a new dam; drawn towards the past
        rets, and narrower, for one that is known. [-]

    References
    ----------
    .. [1] A normal model of two levels, exact. That dams and batches share the
       scatter in equal halves is our own judgement, no source.
    """
    apart = [(one.y, BETWEEN_BATCHES**2 + one.sd**2) for one in past]
    told = 1 / BETWEEN_DAMS**2 + sum(1 / variance for _, variance in apart)
    mean = sum(y / variance for y, variance in apart) / told
    wider = scatter(known_by, mean_c=mean_c) ** 2 - SCATTER[KnownBy.THERMOMETER] ** 2
    return Factor(mean, sqrt(1 / told + BETWEEN_BATCHES**2 + max(0.0, wider)))


def learn(factor: Factor, signs: Iterable[Sign]) -> Factor:
    """Return what is known of a ret's factor with further signs.

    Parameters
    ----------
    factor : Factor
        What was known before.
    signs : iterable of Sign
        What was found since, in any order.

    Returns
    -------
    Factor
        What is known now: the same whether the signs come one by one or together.

    References
    ----------
    .. [1] Bayes, on a grid. Every cut, error and slip is our own judgement, see
       `SIGN_MODELS`.
    """
    every = sorted((*factor.signs, *signs), key=lambda sign: sign.progress)
    return Factor(factor.mean, factor.sd, tuple(every))


def past_ret(signs: Iterable[Sign]) -> PastRet | None:
    """Return what an ended ret teaches of the next one in the same dam.

    Parameters
    ----------
    signs : iterable of Sign
        Its tests, and the verdict after scutching at the progress of its lifting.

    Returns
    -------
    PastRet or None
        What its signs alone say; ``None`` where they say next to nothing.

    References
    ----------
    .. [1] The start of 0.30 is divided out again, so that it is not counted twice.
       How little is next to nothing is our own judgement.
    """
    start = SCATTER[KnownBy.THERMOMETER] ** 2
    mean, variance = learn(Factor(0.0, sqrt(start)), signs).moments()
    told = 1 / variance - 1 / start
    if told < LEAST_TOLD:
        return None
    return PastRet(mean / variance / told, sqrt(1 / told))
