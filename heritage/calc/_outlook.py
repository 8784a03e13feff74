"""The evenings ahead, and the weather that runs through them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from heritage.calc._checks import fraction, whole

# More would fill a computer's memory; a large field is reckoned in lots.
MOST_BEETS = 1_000_000

Capacity = int | tuple[tuple[int, float], ...]
Chances = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Evening:
    """One evening on which the crop could be pulled.

    Attributes
    ----------
    day : date
        The day.
    capacity : int or tuple of (int, float)
        What that evening's light and turnout would pull if it is dry: a number of
        beets, or each number that it may come to with its chance.
    dry_chance : float or None
        Chance that this evening is dry, where a weather forecast gives one;
        otherwise it follows from the day before.
    """

    day: date
    capacity: Capacity
    dry_chance: float | None = None

    def __post_init__(self) -> None:
        """Refuse capacities and chances that cannot be."""
        for beets, chance in self.outcomes():
            whole(beets, "capacity")
            fraction(chance, "capacity")
        total = sum(chance for _, chance in self.outcomes())
        if abs(total - 1) > 1e-9:
            raise ValueError(f"capacity must have chances that sum to 1, not {total}")
        if self.dry_chance is not None:
            fraction(self.dry_chance, "dry_chance")

    def outcomes(self) -> tuple[tuple[int, float], ...]:
        """List what a dry evening may pull.

        Returns
        -------
        tuple of (int, float)
            Each number of beets with its chance.
        """
        if isinstance(self.capacity, tuple):
            return self.capacity
        return ((self.capacity, 1.0),)


class Weather:
    """A chain of wet and dry days."""

    def __init__(self, wet_to_dry: float, dry_to_dry: float) -> None:
        wet = fraction(wet_to_dry, "wet_to_dry")
        dry = fraction(dry_to_dry, "dry_to_dry")
        self._day = np.array([[1 - wet, wet], [1 - dry, dry]])

    def start(self, was_dry: bool | None) -> Chances:
        """Give the chances of a wet and of a dry day to begin with."""
        if was_dry is not None:
            return np.array([0.0, 1.0] if was_dry else [1.0, 0.0])
        wets, dries = self._day[1, 0], self._day[0, 1]
        if wets + dries == 0:
            raise ValueError("last_was_dry must be known if the weather never changes")
        share: Chances = np.array([wets, dries]) / (wets + dries)
        return share

    def after(self, days: int, dry_chance: float | None) -> Chances:
        """Give the chances, from wet and from dry, of wet and dry after ``days``."""
        if dry_chance is not None:
            return np.array([[1 - dry_chance, dry_chance]] * 2)
        return np.linalg.matrix_power(self._day, days)


def work_left(beets_left: int) -> int:
    """Return the work left, or refuse more than can be reckoned."""
    left = whole(beets_left, "beets_left")
    if left > MOST_BEETS:
        raise ValueError(f"beets_left must be {MOST_BEETS} or fewer, not {left}")
    return left


def days_between(outlook: Sequence[Evening], last_day: date | None) -> list[int]:
    """Count the days from each evening's forerunner to it."""
    if not outlook:
        return []
    first = last_day or outlook[0].day - timedelta(days=1)
    if first >= outlook[0].day:
        raise ValueError(
            f"last_day must lie before the outlook's first evening, not on {last_day}"
        )
    days = [first, *(evening.day for evening in outlook)]
    gaps = [(later - earlier).days for earlier, later in pairwise(days)]
    if min(gaps) < 1:
        raise ValueError(
            "outlook must hold one evening a day, each later than the last"
        )
    return gaps
