"""What a sign of a ret tells of its factor: the kinds, and how unsure each is."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import groupby
from math import ceil, hypot, log
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from ._checks import positive, whole

Floats = NDArray[np.float64]

# A look in so many is a slip and says nothing: our own judgement.
SLIP: Final = 0.03
# Errors are summed over so many of their standard deviations, at even steps.
REACH: Final = 5.0
# Keeps a logarithm finite where the chance is nought to the last bit.
TINY: Final = 1e-300


class SignKind(StrEnum):
    """What was looked at."""

    CORE = "core"
    BREAK = "break"
    RING = "ring"
    KNOTTED = "knotted"
    BUNDLE = "bundle"
    BUBBLES = "bubbles"
    SLIMY = "slimy"
    VERDICT = "verdict"


class StemPlace(StrEnum):
    """Where on the stem it was looked at."""

    BUTT = "butt"
    MIDDLE = "middle"
    TOP = "top"


@dataclass(frozen=True, slots=True)
class SignModel:
    """How one kind of sign follows the ret; all of it is our own judgement.

    Attributes
    ----------
    categories : tuple of str, length k
        What may be found, from the greenest to the ripest. Their order is published.
    cuts : tuple of float, length k - 1
        Logarithm of progress over the factor at which one passes into the next. [-]
    each : float
        How far one stem errs from the look it belongs to. [-]
    look : float
        How far one look errs from its tester or its kind. [-]
    shared : float
        How far the tester errs (core), or the kind in this ret (all others). [-]
    """

    categories: tuple[str, ...]
    cuts: tuple[float, ...]
    each: float
    look: float
    shared: float


# The order of each: Flax Society 1846 (core, bubbles), Ure (break, knotted, bundle),
# Spon's Encyclopaedia (ring), spinners' own reports (slimy). Where the cuts lie and how
# far each errs: our own judgement, as is the whole of the verdict.
SIGN_MODELS: Final[Mapping[str, SignModel]] = MappingProxyType(
    {
        SignKind.CORE: SignModel(
            ("fast", "partly", "free", "tears"), (-0.20, 0.0, 0.20), 0.10, 0.05, 0.08
        ),
        SignKind.BREAK: SignModel(("bends", "snaps"), (-0.08,), 0.12, 0.06, 0.10),
        SignKind.RING: SignModel(("sharp", "dull"), (-0.05,), 0.15, 0.08, 0.12),
        SignKind.KNOTTED: SignModel(("float", "sink"), (-0.05,), 0.12, 0.06, 0.10),
        SignKind.BUNDLE: SignModel(("floats", "sinks"), (-0.15,), 0.10, 0.06, 0.12),
        SignKind.BUBBLES: SignModel(("rising", "ceased"), (-0.18,), 0.10, 0.06, 0.15),
        SignKind.SLIMY: SignModel(("no", "yes"), (-0.30,), 0.15, 0.10, 0.20),
        SignKind.VERDICT: SignModel(
            ("under", "right", "over"), (-0.08, 0.15), 0.08, 0.0, 0.06
        ),
    }
)
# Butts ret first and tops last (published); by how much is our own judgement.
PLACES: Final[Mapping[str, float]] = MappingProxyType(
    {StemPlace.BUTT: 0.06, StemPlace.MIDDLE: 0.0, StemPlace.TOP: -0.06}
)
# Of these it matters where on the stem they were looked at.
OF_A_PLACE: Final = frozenset({SignKind.CORE, SignKind.BREAK, SignKind.RING})
# A stalk is taken out for these; the others are seen or felt in passing.
TESTS: Final = OF_A_PLACE | {SignKind.KNOTTED}


@dataclass(frozen=True, slots=True)
class Sign:
    """One finding of a ret. Those of one kind, tester and progress are one look.

    Attributes
    ----------
    kind : SignKind
        What was looked at.
    category : str
        What was found, one of its kind's in `SIGN_MODELS`.
    progress : float
        Share of the ret that was behind, by its temperatures, above nought. [-]
    count : int, default 1
        How many stems or stalks were found so.
    place : StemPlace, default middle
        Where on the stem; it counts for the core, the break and the ring alone.
    tester : str
        Who looked; testers differ, and nobody's name is one more tester.
    """

    kind: SignKind | str
    category: str
    progress: float
    count: int = 1
    place: StemPlace | str = StemPlace.MIDDLE
    tester: str = ""

    def __post_init__(self) -> None:
        """Refuse what could not be."""
        _one_of(self.kind, SIGN_MODELS, "kind")
        _one_of(self.category, SIGN_MODELS[self.kind].categories, "category")
        _one_of(self.place, PLACES, "place")
        positive(self.progress, "progress")
        whole(self.count, "count", 1)


Look = tuple[Sign, ...]


def _one_of(value: str, known: Iterable[str], name: str) -> None:
    """Refuse a word that is not among those known."""
    if value not in known:
        raise ValueError(f"{name} must be one of {', '.join(known)}, not {value}")


def looks(signs: Iterable[Sign]) -> Iterator[Look]:
    """Gather signs into looks, the earliest first.

    That the bubbles have stopped counts only after they were seen to rise: before,
    the water may not have begun to work.
    """

    def of_one_look(sign: Sign) -> tuple[float, str, str]:
        return sign.progress, str(sign.kind), sign.tester

    told = tuple(signs)
    risen = [sign.progress for sign in told if sign.category == "rising"]
    began = min(risen, default=float("inf"))
    counted = [
        sign for sign in told if sign.category != "ceased" or began < sign.progress
    ]
    for _, look in groupby(sorted(counted, key=of_one_look), key=of_one_look):
        yield tuple(look)


def tails(look: Look, grid: Floats, mass: Floats) -> tuple[float, float]:
    """Return the chances of a finding as green or greener, and as ripe or riper.

    Parameters
    ----------
    look : tuple of Sign
        One look; its middle stem is the one that is reckoned with.
    grid : ndarray, shape (n,)
        Logarithms of the factor.
    mass : ndarray, shape (n,)
        How likely each of them is, in all 1.

    Returns
    -------
    tuple of float
        The two chances, both 1 for an empty look. [-]
    """
    if not look:
        return 1.0, 1.0
    sign = _middle_stem(look)
    model = SIGN_MODELS[sign.kind]
    at = model.categories.index(sign.category)
    ripe = log(sign.progress) - grid + _shift(sign)
    spread = hypot(model.each, model.look, model.shared)
    upto = [float(mass @ ndtr((cut - ripe) / spread)) for cut in (*model.cuts, np.inf)]
    return upto[at], 1 - (upto[at - 1] if at else 0.0)


def _middle_stem(look: Look) -> Sign:
    """Return the finding of the middle stem, in the order of their ripeness."""
    order = SIGN_MODELS[look[0].kind].categories
    stems = [
        sign
        for sign in sorted(look, key=lambda sign: order.index(sign.category))
        for _ in range(sign.count)
    ]
    return stems[len(stems) // 2]


def log_likelihoods(
    signs: Iterable[Sign], grid: Floats
) -> Iterator[tuple[Look, Floats]]:
    """Give, after each look, how well all so far fit each factor.

    Parameters
    ----------
    signs : iterable of Sign
        The findings, in any order.
    grid : ndarray, shape (n,)
        Logarithms of the factor, at even steps.

    Yields
    ------
    Look, ndarray of shape (n,)
        The look, and the logarithm of the likelihood, up to a constant. [-]

    Notes
    -----
    An ordinal probit model. The errors of a look, and those that a tester or a kind
    shares, are summed over the grid's own steps: both shift the factor's logarithm, so
    each sum is a convolution, and for smooth errors the trapezium is exact.
    """
    shared: dict[str, Floats] = {}
    told: dict[str, Floats] = {}
    first, step = float(grid[0]), float(grid[1] - grid[0])
    for look in looks(signs):
        kind = look[0].kind
        group = f"core by {look[0].tester}" if kind == SignKind.CORE else str(kind)
        weights = _weights(SIGN_MODELS[kind].shared, step)
        fits = _fit_of_look(look, first, step, grid.size)
        shared[group] = shared.get(group, 0.0) + fits
        told[group] = _blurred(shared[group], weights)
        yield look, np.sum(list(told.values()), axis=0)


@lru_cache(maxsize=512)
def _fit_of_look(look: Look, first: float, step: float, size: int) -> Floats:
    """Return the logarithm of a look's likelihood, its own error summed over.

    On the grid and as much beyond as the shared error reaches. Kept, for whatever is
    learned from a later look asks for those before it again.
    """
    model = SIGN_MODELS[look[0].kind]
    weights = _weights(model.look, step)
    more = _weights(model.shared, step).size // 2 + weights.size // 2
    wide = first + step * np.arange(-more, size + more, dtype=np.float64)
    stems = np.sum([sign.count * _fit_of_stem(sign, wide) for sign in look], axis=0)
    count = sum(sign.count for sign in look)
    slip = log(SLIP) - count * log(len(model.categories))
    fits: Floats = np.logaddexp(log(1 - SLIP) + _blurred(stems, weights), slip)
    fits.flags.writeable = False
    return fits


def _fit_of_stem(sign: Sign, grid: Floats) -> Floats:
    """Return the logarithm of the chance of one stem's finding."""
    model = SIGN_MODELS[sign.kind]
    at = model.categories.index(sign.category)
    cuts = (-np.inf, *model.cuts, np.inf)
    ripe = log(sign.progress) - grid + _shift(sign)
    low, high = ((cut - ripe) / model.each for cut in cuts[at : at + 2])
    # From the tail that is the smaller, where the difference is the more exact.
    chance = np.where(low > 0, ndtr(-low) - ndtr(-high), ndtr(high) - ndtr(low))
    fits: Floats = np.log(np.maximum(chance, TINY))
    return fits


def _shift(sign: Sign) -> float:
    """Return by how much its place on the stem makes a finding riper."""
    return PLACES[sign.place] if sign.kind in OF_A_PLACE else 0.0


@lru_cache(maxsize=64)
def _weights(sd: float, step: float) -> Floats:
    """Return a normal error's weights at steps so wide, in all 1."""
    reach = ceil(REACH * sd / step)
    steps = np.arange(-reach, reach + 1) * step
    heights = np.exp(-((steps / sd) ** 2) / 2) if sd else np.ones(1)
    weights: Floats = heights / heights.sum()
    weights.flags.writeable = False
    return weights


def _blurred(fits: Floats, weights: Floats) -> Floats:
    """Sum an error over logarithms of likelihoods; the ends that it reaches go."""
    top = fits.max()
    blurred = np.convolve(np.exp(fits - top), weights, mode="valid")
    told: Floats = top + np.log(blurred + TINY)
    return told
