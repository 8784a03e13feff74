"""One estimate of when to pull, from everything that is known of a crop."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import combinations, pairwise
from math import ceil, hypot, sqrt

from heritage.calc._band import Band
from heritage.calc._checks import not_negative
from heritage.calc._heat import DayHeat, thermal_time
from heritage.calc._pull_anchors import (
    AnchorWindow,
    CropSigns,
    Disagreement,
    PullAnchor,
    PullEstimate,
    PullWarning,
    SeenShare,
)
from heritage.calc.reasons import Reason

# Days from each anchor until the crop is fit to pull. The start: 30 d, with 29 d
# counted in Monaghan in 2015 (Northern Standard, 16 August 2015). The end: 2 to 3
# weeks after the last flower (patchesofbluesky.wordpress.com, July 2016), which is
# common practice too. Full flower: halfway between those two, a reckoning of our own.
DAYS_TO_PULL: dict[str, Band] = {
    "flower_start": Band(25, 30, 40),
    "flower_full": Band(20, 24, 31),
    "flower_end": Band(14, 17, 21),
}
# Sowing to fit to pull: about 100 d (McSorley 1989, Clogher; the Schools' Collection,
# vol. 0941 p. 188).
READY_DAYS = Band(90, 100, 125)
# Heat over 5 °C: to the beginning of fibre maturity from sowing, and from the first
# flower (ARVALIS). The early end of the first is our own judgement.
READY_HEAT = Band(780, 850, 1000)
FLOWER_TO_PULL_HEAT = Band(300, 350, 400)
BASE_C = 5.0

# No window is shorter than a week. The rest is our own judgement too: how far the pace
# of ripening varies, and the warmth to come; from which part of the heat the warmth is
# heard, how many days make its pace, how long a gap is bridged.
LEAST_BEFORE, LEAST_AFTER = 3.0, 4.0
PACE_SPREAD = 0.25
HELD_SPREAD = 0.15
HEAT_SPEAKS_FROM = 0.25
HELD_FROM_DAYS = 14
LONGEST_GAP = 3
# Shares that only say "not yet", and "not any more".
NOT_YET, NO_MORE = 0.05, 0.95
# From sowing to flower in print: 44 d (Minnesota 2024) to 108 d (a cold 2013).
DAYS_TO_FLOWER = (40, 110)
# Three quarters of the bolls brown: the seed is ripe (SaskFlax, of linseed), about two
# weeks after the fibre.
SEED_RIPE = 0.75
# An eight-in-ten range reaches so many standard deviations either way.
REACH = 1.2816

# Anchors of one clock share its error, so that two of them tell little more than one.
CLOCKS = (
    (PullAnchor.SOWN, PullAnchor.SOWN_HEAT),
    (
        PullAnchor.FLOWER_START,
        PullAnchor.FLOWER_HEAT,
        PullAnchor.FLOWER_FULL,
        PullAnchor.FLOWER_END,
    ),
    (PullAnchor.STEMS, PullAnchor.LEAVES, PullAnchor.BOLLS),
)


@dataclass(frozen=True, slots=True)
class _Sign:
    """The share at which a crop is fit to pull, and days for the whole way."""

    target: Band
    days: float


# Yellow from a third up (a grower's diary, 2016) to two thirds (ARVALIS); bare two
# thirds up (ARVALIS), wider because drought throws leaves off and a fungicide keeps
# them; bolls at the general scale's 83, 30 % ripe (J. Natural Fibers 2014). The pace
# of the first two is 17 days from none to fit, of the bolls two weeks from there to
# 75 % brown (irishlinenmills.com); the pace is our own reckoning.
SIGNS = {
    PullAnchor.STEMS: _Sign(Band(0.33, 0.50, 0.67), 34.0),
    PullAnchor.LEAVES: _Sign(Band(0.45, 0.67, 0.85), 25.4),
    PullAnchor.BOLLS: _Sign(Band(0.20, 0.30, 0.45), 31.1),
}


@dataclass(frozen=True, slots=True)
class _Guess:
    """A day as a number, with how far it reaches before and after."""

    day: float
    before: float
    after: float

    @property
    def precision(self) -> float:
        return 4 / (self.before + self.after) ** 2


def turned_share(green: int, yellow: int, brown: int) -> float:
    """Say how far a handful of bolls has turned.

    Parameters
    ----------
    green, yellow, brown : int
        Bolls of each colour, none negative and not all of them nought.

    Returns
    -------
    float
        The brown ones and half of the yellow ones, of all; the half is a judgement.
        [-]

    Raises
    ------
    ValueError
        If there are no bolls.
    """
    for count, name in ((green, "green"), (yellow, "yellow"), (brown, "brown")):
        not_negative(count, name)
    if not (total := green + yellow + brown):
        raise ValueError("there must be a boll")
    return (brown + yellow / 2) / total


def when_to_pull(signs: CropSigns) -> PullEstimate | None:
    """Weigh everything that is known into one window for pulling.

    Anchors of one clock (sowing, flowering, ripening) share its error: their mean is
    no surer than the surest of them. Clocks are weighed by how sure they are, and
    where they contradict each other the window grows.

    Parameters
    ----------
    signs : CropSigns
        What is known.

    Returns
    -------
    PullEstimate or None
        When to go and look; the crop itself says when to pull. ``None`` where
        neither sowing nor flower nor ripening is known.

    Raises
    ------
    ValueError
        If a day's lowest temperature is above its highest, or not finite.

    References
    ----------
    .. [1] Weighted mean with the range widened by the square root of chi-squared over
       its degrees of freedom: R. T. Birge, Phys. Rev. 40 (1932) 207; from memory.
    """
    guesses, warnings = _dated(signs)
    guesses.update(_warmed(signs, warnings))
    for anchor, seen in _signs_of(signs).items():
        if NOT_YET <= seen.share <= NO_MORE:
            guesses[anchor] = _ripening(anchor, seen)
    if not guesses:
        return None
    guesses.update(_one_sided(signs, _weighed(guesses)[0].day))
    return _estimate(guesses, signs, warnings)


def _estimate(
    guesses: Mapping[PullAnchor, _Guess],
    signs: CropSigns,
    warnings: list[Reason[PullWarning]],
) -> PullEstimate:
    joint, weights = _weighed(guesses)
    first, best, last = _days(joint)
    windows = tuple(
        AnchorWindow(anchor, *_days(guesses[anchor]), weights[anchor])
        for anchor in PullAnchor
        if anchor in guesses
    )
    cautions = (*warnings, *_said_of(signs, first))
    return PullEstimate(first, best, last, windows, _disagreements(windows), cautions)


def _dated(
    signs: CropSigns,
) -> tuple[dict[PullAnchor, _Guess], list[Reason[PullWarning]]]:
    """Guess from days alone: the sowing and each phase of flowering."""
    guesses: dict[PullAnchor, _Guess] = {}
    if signs.sown_on:
        guesses[PullAnchor.SOWN] = _after(signs.sown_on, READY_DAYS)
    flowers = [
        (PullAnchor.FLOWER_START, signs.flower_start),
        (PullAnchor.FLOWER_FULL, signs.flower_full),
        (PullAnchor.FLOWER_END, signs.flower_end),
    ]
    seen = [(anchor, day) for anchor, day in flowers if day]
    for anchor, day in seen:
        guesses[anchor] = _after(day, DAYS_TO_PULL[anchor])
    warnings: list[Reason[PullWarning]] = []
    if any(one[1] > other[1] for one, other in pairwise(seen)):
        warnings.append(Reason(PullWarning.FLOWERS_OUT_OF_ORDER))
    if signs.sown_on and seen:
        days = (seen[0][1] - signs.sown_on).days
        low, high = DAYS_TO_FLOWER
        if not low <= days <= high:
            figures = {"days": days, "low": low, "high": high}
            warnings.append(Reason(PullWarning.ODD_FLOWERING, figures))
    return guesses, warnings


def _warmed(
    signs: CropSigns, warnings: list[Reason[PullWarning]]
) -> dict[PullAnchor, _Guess]:
    """Guess from warmth, as far as there are temperatures."""
    if not signs.daily:
        return {}
    guesses: dict[PullAnchor, _Guess] = {}
    held = 0.0
    starts = (
        (PullAnchor.SOWN_HEAT, signs.sown_on, READY_HEAT),
        (
            PullAnchor.FLOWER_HEAT,
            signs.flower_start and signs.flower_start + timedelta(days=1),
            FLOWER_TO_PULL_HEAT,
        ),
    )
    for anchor, start, need in starts:
        if start is None or start > signs.daily[-1].day:
            continue
        heat = _heat_from(start, signs.daily)
        if heat is None:
            warnings.append(Reason(PullWarning.WARMTH_BROKEN))
        elif sum(heat) >= HEAT_SPEAKS_FROM * need.likely:
            guesses[anchor], days = _by_heat(start, heat, need)
            held = max(held, days)
    if held:
        warnings.append(Reason(PullWarning.WARMTH_HELD, {"days": round(held)}))
    return guesses


def _heat_from(start: date, daily: Sequence[DayHeat]) -> list[float] | None:
    """Give each day's heat from ``start``, short gaps bridged; none over a long one."""
    days = [one for one in daily if one.day >= start]
    heat: list[float] = []
    last, value = start - timedelta(days=1), None
    for one in days:
        today = float(thermal_time(one.tmin_c, one.tmax_c, BASE_C))
        missing = (one.day - last).days - 1
        if missing > LONGEST_GAP:
            return None
        before = today if value is None else value
        heat += [(before + today) / 2] * missing + [today]
        last, value = one.day, today
    return heat


def _by_heat(start: date, heat: list[float], need: Band) -> tuple[_Guess, float]:
    """Find when the heat is gathered; past its end the last fortnight goes on."""
    recent = heat[-HELD_FROM_DAYS:]
    pace = sum(recent) / len(recent) or sum(heat) / len(heat)
    low, likely, high = (
        _days_to(heat, want, pace) for want in (need.low, need.likely, need.high)
    )
    held = max(0.0, likely - len(heat))
    guess = _reaching(
        start.toordinal() - 1 + likely,
        hypot(likely - low, HELD_SPREAD * held),
        hypot(high - likely, HELD_SPREAD * held),
    )
    return guess, held


def _days_to(heat: list[float], want: float, pace: float) -> float:
    gathered = 0.0
    for number, day in enumerate(heat, start=1):
        gathered += day
        if gathered >= want - 1e-9:
            return number
    return len(heat) + ceil((want - gathered) / pace - 1e-9)


def _signs_of(signs: CropSigns) -> dict[PullAnchor, SeenShare]:
    named = {
        PullAnchor.STEMS: signs.stems,
        PullAnchor.LEAVES: signs.leaves,
        PullAnchor.BOLLS: signs.bolls,
    }
    return {anchor: seen for anchor, seen in named.items() if seen}


def _ripening(anchor: PullAnchor, seen: SeenShare) -> _Guess:
    """Guess from one sign: how far it has still to go, or has gone too far."""
    sign = SIGNS[anchor]
    ahead = (sign.target.likely - seen.share) * sign.days
    unsure = PACE_SPREAD * abs(ahead)
    return _reaching(
        seen.on.toordinal() + ahead,
        hypot((sign.target.likely - sign.target.low) * sign.days, unsure),
        hypot((sign.target.high - sign.target.likely) * sign.days, unsure),
    )


def _one_sided(signs: CropSigns, day: float) -> Iterator[tuple[PullAnchor, _Guess]]:
    """Let a sign that says "not yet", or "no more", speak where it contradicts."""
    for anchor, seen in _signs_of(signs).items():
        guess = _ripening(anchor, seen)
        not_yet = seen.share < NOT_YET and guess.day > day
        no_more = seen.share > NO_MORE and guess.day < day
        if not_yet or no_more:
            yield anchor, guess


def _weighed(
    guesses: Mapping[PullAnchor, _Guess],
) -> tuple[_Guess, dict[PullAnchor, float]]:
    """Join the anchors of each clock, then the clocks; give each anchor's part."""
    clocks = [
        {anchor: guesses[anchor] for anchor in clock if anchor in guesses}
        for clock in CLOCKS
    ]
    told = [clock for clock in clocks if clock]
    each = [_joined(list(clock.values()), share_error=True) for clock in told]
    joint = _joined(each)
    whole = sum(one.precision for one in each)
    weights: dict[PullAnchor, float] = {}
    for clock, one in zip(told, each, strict=True):
        total = sum(guess.precision for guess in clock.values())
        for anchor, guess in clock.items():
            weights[anchor] = guess.precision / total * one.precision / whole
    return joint, weights


def _joined(guesses: Sequence[_Guess], *, share_error: bool = False) -> _Guess:
    """Give the weighted mean; contradictions widen it (Birge)."""
    total = sum(guess.precision for guess in guesses)
    day = sum(guess.precision * guess.day for guess in guesses) / total
    if share_error:
        before = min(guess.before for guess in guesses)
        after = min(guess.after for guess in guesses)
    else:
        before = 1 / sqrt(sum(1 / guess.before**2 for guess in guesses))
        after = 1 / sqrt(sum(1 / guess.after**2 for guess in guesses))
    off = sum(guess.precision * (guess.day - day) ** 2 for guess in guesses)
    freedom = max(1, len(guesses) - 1)
    wider = max(1.0, REACH * sqrt(off / freedom))
    return _reaching(day, before * wider, after * wider)


def _after(day: date, days: Band) -> _Guess:
    return _reaching(
        day.toordinal() + days.likely, days.likely - days.low, days.high - days.likely
    )


def _reaching(day: float, before: float, after: float) -> _Guess:
    return _Guess(day, max(before, LEAST_BEFORE), max(after, LEAST_AFTER))


def _days(guess: _Guess) -> tuple[date, date, date]:
    at = (guess.day - guess.before, guess.day, guess.day + guess.after)
    first, best, last = (date.fromordinal(round(one)) for one in at)
    return first, best, last


def _disagreements(windows: Sequence[AnchorWindow]) -> tuple[Disagreement, ...]:
    disagreements = []
    for one, other in combinations(windows, 2):
        early, late = sorted((one, other), key=lambda window: window.first)
        if (apart := (late.first - early.last).days) > 0:
            disagreements.append(Disagreement(early.anchor, late.anchor, apart))
    return tuple(sorted(disagreements, key=lambda one: -one.days))


def _said_of(signs: CropSigns, first: date) -> Iterator[Reason[PullWarning]]:
    """Say what the ripening itself contradicts."""
    stems, bolls = signs.stems, signs.bolls
    if stems and stems.share < NOT_YET and stems.on >= first:
        days = (stems.on - first).days
        yield Reason(PullWarning.STILL_GREEN, {"days": days})
    if bolls and bolls.share >= SEED_RIPE:
        yield Reason(PullWarning.SEED_RIPE, {"percent": round(100 * bolls.share)})
