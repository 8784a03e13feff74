"""When the pulling will be done, exactly, evening by evening."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from heritage.calc._checks import fraction, whole
from heritage.calc._outlook import Chances, Evening, Weather, days_between, work_left

_JUST = 1e-12


@dataclass(frozen=True, slots=True)
class FinishForecast:
    """When the work will be done, as chances.

    Attributes
    ----------
    chance_by_day : dict of date to float
        The chance that all is pulled by the end of each evening of the outlook.
    chance : float
        The same at the end of the outlook.
    evenings : float
        Mean number of the outlook's evenings until the finish, dry and wet ones
        alike; a run that does not finish counts all of them.
    """

    chance_by_day: dict[date, float]
    chance: float
    evenings: float

    def day_at(self, q: float) -> date | None:
        """Give the first evening by which the work is done with chance ``q``.

        Parameters
        ----------
        q : float
            The chance asked for, 0 to 1.

        Returns
        -------
        date or None
            ``None`` if the outlook does not reach that far.

        Raises
        ------
        ValueError
            If ``q`` is not from 0 to 1.
        """
        asked = fraction(q, "q") - _JUST
        return next((d for d, p in self.chance_by_day.items() if p >= asked), None)


def finish_forecast(
    beets_left: int,
    outlook: Sequence[Evening],
    *,
    wet_to_dry: float,
    dry_to_dry: float,
    last_was_dry: bool | None,
    last_day: date | None = None,
) -> FinishForecast:
    """Forecast when the pulling will be done, by exact dynamic programming.

    The chance of every number of beets left, after a dry day and after a wet one, is
    carried from evening to evening. Weather is a chain of dry and wet days that runs
    on through days without a gathering. Nothing is sampled.

    Parameters
    ----------
    beets_left : int
        Work left, 0 to a million.
    outlook : sequence of Evening, length n
        The evenings on which it could be done, each day later than the one before.
    wet_to_dry : float
        Chance that a day is dry enough to work if the day before was not.
    dry_to_dry : float
        The same if the day before was. Equal to ``wet_to_dry`` for weather without
        memory, which is over-confident: see [1]_.
    last_was_dry : bool or None
        Whether ``last_day`` was dry; ``None`` if not known, for the long-run share.
    last_day : date or None
        The last day whose weather is known; the eve of the outlook if left out.

    Returns
    -------
    FinishForecast
        Chances by day.

    Raises
    ------
    ValueError
        If a chance or a count is out of its range, or the days do not rise.

    References
    ----------
    .. [1] Gabriel and Neumann, Q. J. R. Meteorol. Soc. 88 (1962) 90-95: dry and wet
       days at Tel Aviv as a two-state chain. Chances of workable days are usual in
       farm planning: University of Missouri Extension, G362 and G363.
    """
    left = work_left(beets_left)
    weather = Weather(wet_to_dry, dry_to_dry)
    gaps = days_between(outlook, last_day)
    # Row 0 is after a wet day, row 1 after a dry one; column w is w beets left.
    chances = np.zeros((2, left + 1))
    chances[:, left] = weather.start(last_was_dry)
    done = [float(chances[:, 0].sum())]
    for evening, gap in zip(outlook, gaps, strict=True):
        chances = weather.after(gap, evening.dry_chance).T @ chances
        chances[1] = _pull(chances[1], evening)
        # Rounding must not make a finish look less sure than it was.
        done.append(min(1.0, max(done[-1], float(chances[:, 0].sum()))))
    days = [evening.day for evening in outlook]
    return FinishForecast(
        chance_by_day=dict(zip(days, done[1:], strict=True)),
        chance=done[-1],
        evenings=sum(1 - chance for chance in done[:-1]),
    )


def simulate_finish(
    beets_left: int,
    outlook: Sequence[Evening],
    *,
    wet_to_dry: float,
    dry_to_dry: float,
    last_was_dry: bool | None,
    runs: int,
    seed: int,
    last_day: date | None = None,
) -> NDArray[np.int64]:
    """Play the season out many times, for a picture of how it may go.

    Parameters
    ----------
    beets_left : int
        Work left, 0 to a million.
    outlook : sequence of Evening, length n
        As for ``finish_forecast``.
    wet_to_dry : float
        As for ``finish_forecast``.
    dry_to_dry : float
        As for ``finish_forecast``.
    last_was_dry : bool or None
        As for ``finish_forecast``.
    runs : int
        How many seasons to play, at least 1.
    seed : int
        Fixes the draws, so that the same question gives the same picture.
    last_day : date or None
        As for ``finish_forecast``.

    Returns
    -------
    ndarray of int, shape (runs, n)
        Beets left after each evening. Chances are better asked of
        ``finish_forecast``, which has no sampling error.

    Raises
    ------
    ValueError
        If a chance or a count is out of its range, or the days do not rise.
    """
    random = np.random.default_rng(whole(seed, "seed"))
    weather = Weather(wet_to_dry, dry_to_dry)
    gaps = days_between(outlook, last_day)
    runs = whole(runs, "runs", least=1)
    left = np.full(runs, work_left(beets_left), dtype=np.int64)
    dry = random.random(runs) < weather.start(last_was_dry)[1]
    paths = np.empty((runs, len(outlook)), dtype=np.int64)
    for column, (evening, gap) in enumerate(zip(outlook, gaps, strict=True)):
        dry_chance = weather.after(gap, evening.dry_chance)[:, 1]
        dry = random.random(runs) < dry_chance[dry.astype(np.intp)]
        beets, odds = zip(*evening.outcomes(), strict=True)
        pulled = random.choice(beets, size=runs, p=np.array(odds) / sum(odds))
        left = np.where(dry, np.maximum(left - pulled, 0), left)
        paths[:, column] = left
    return paths


def _pull(left: Chances, evening: Evening) -> Chances:
    """Take a dry evening's beets off the work left."""
    after = np.zeros_like(left)
    for beets, chance in evening.outcomes():
        off = min(beets, len(left) - 1)
        after[0] += chance * left[: off + 1].sum()
        after[1 : len(left) - off] += chance * left[off + 1 :]
    return after
