"""The course of one ret: the log behind it and the water expected ahead."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ._band import Band
from ._checks import finite
from ._ret_learning import Factor
from ._ret_model import (
    NO_DATE_BELOW_C,
    SECONDS_PER_DAY,
    KnownBy,
    RetModel,
    days_since_start,
    progress,
    rate,
    scatter,
)


class Reading(NamedTuple):
    """The warmth of the water at one time.

    Attributes
    ----------
    at : datetime
        When it was read, or is expected; aware of its time zone.
    temp_c : float
        Warmth of the water at half depth. [°C]
    """

    at: datetime
    temp_c: float


Outlook = Sequence[Reading] | float


@dataclass(frozen=True)
class Path:
    """The knots of a course, and the warmth that is held after the last of them.

    Knots up to ``measured`` are behind, those after it are expected. Those before
    ``first_read`` were not read: the start, taken to be as warm as what follows.
    """

    knots: tuple[Reading, ...]
    measured: int
    held_c: float
    model: RetModel
    first_read: int = 0
    factor: Factor | None = None

    @cached_property
    def marks(self) -> Band:
        """Progress at which an early, a likely and a late batch is ready."""
        if self.factor:
            return self.factor.band
        return Band(self.model.early, 1.0, self.model.late)

    @cached_property
    def days(self) -> NDArray[np.float64]:
        """Days since the start at each knot."""
        return days_since_start([knot.at for knot in self.knots])

    @cached_property
    def temps(self) -> NDArray[np.float64]:
        """Warmth at each knot."""
        return np.array([knot.temp_c for knot in self.knots], dtype=np.float64)

    @cached_property
    def behind(self) -> NDArray[np.float64]:
        """Progress at each knot."""
        return progress([knot.at for knot in self.knots], self.temps, self.model)

    @cached_property
    def reached(self) -> float:
        """Progress at the last reading."""
        return float(self.behind[self.measured - 1])

    @cached_property
    def held_rate(self) -> float:
        """Rate after the last knot."""
        return rate(self.held_c, self.model)

    @cached_property
    def told_until(self) -> float | None:
        """Last day of which anything can be told, if the water ahead turns too cold."""
        ahead = np.append(self.temps[self.measured :], self.held_c)
        (cold,) = np.nonzero(ahead < NO_DATE_BELOW_C)
        return float(self.days[self.measured - 1 + cold[0]]) if cold.size else None

    def moment(self, day: float) -> datetime:
        """Return the time of a day, in the time zone of the first knot."""
        start = self.knots[0].at
        return (start.astimezone(UTC) + timedelta(days=day)).astimezone(start.tzinfo)

    def day_of(self, target: float) -> float | None:
        """Return the day on which a progress is reached, if it can be told."""
        beyond = target - float(self.behind[-1])
        if beyond >= 0:
            day = float(self.days[-1]) + beyond / self.held_rate
        else:
            day = self._day_between_knots(target)
        return None if self.told_until is not None and day > self.told_until else day

    def _day_between_knots(self, target: float) -> float:
        """Solve for the day within its stretch, where the rate is a straight line."""
        left = int(np.searchsorted(self.behind, target, side="right")) - 1
        need = target - self.behind[left]
        first, last = rate(self.temps[left : left + 2], self.model)
        slope = (last - first) / (self.days[left + 1] - self.days[left])
        root = sqrt(max(first * first + 2 * slope * need, 0.0))
        return float(self.days[left] + 2 * need / (first + root))

    def scattered(self, known_by: KnownBy, factor: Factor | None) -> "Path":
        """Return the course with the scatter of its warmth, or what was learned."""
        sigma = scatter(known_by, mean_c=self.mean_until(self.day_of(1.0)))
        return replace(self, model=replace(self.model, sigma=sigma), factor=factor)

    def mean_until(self, day: float | None) -> float:
        """Return the mean warmth from the start to a day, or to the last knot."""
        end = float(self.days[-1]) if day is None else day
        if end <= 0:
            return float(self.temps[0]) if day is not None else self.held_c
        inside = self.days < end
        days = np.append(self.days[inside], min(end, float(self.days[-1])))
        warm = float(np.trapezoid(np.interp(days, self.days, self.temps), days))
        held = max(0.0, end - float(self.days[-1])) * self.held_c
        return (warm + held) / end

    def progress_on(self, days: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the progress on any days from the start onwards."""
        rates = rate(self.temps, self.model)
        slopes = np.append(np.diff(rates) / np.diff(self.days), 0.0)
        # After the last knot the held rate counts from that knot on, at once.
        firsts = np.append(rates[:-1], self.held_rate)
        left = np.searchsorted(self.days, days, side="right") - 1
        since = days - self.days[left]
        gained: NDArray[np.float64] = since * (firsts[left] + since * slopes[left] / 2)
        return self.behind[left] + gained


def read_path(
    readings: Sequence[Reading],
    outlook: Outlook,
    started: datetime | None,
    model: RetModel,
) -> Path:
    """Join a log to its outlook.

    Parameters
    ----------
    readings : sequence of Reading, length n >= 1
        The log so far, in order.
    outlook : sequence of Reading, or float
        Water expected later; the last of it is held. A bare number is held at
        once, and so is the mean of the log's last day where nothing is expected.
    started : datetime or None
        When the water closed over the crop, if before the first reading.
    model : RetModel
        Settings of the rate.

    Returns
    -------
    Path
        The whole course.

    Raises
    ------
    ValueError
        If there is no reading, or the ret started after the first of them.
    """
    if not len(readings):
        raise ValueError("readings must hold at least one reading")
    log = tuple(Reading(at, finite(temp, "temp_c")) for at, temp in readings)
    days_since_start([reading.at for reading in log])
    first_read = len(log)
    if started is not None:
        log = _with_start(log, started)
    first_read = len(log) - first_read
    if isinstance(outlook, Sequence):
        ahead = tuple(Reading(at, finite(t, "temp_c")) for at, t in outlook)
        ahead = tuple(reading for reading in ahead if _later(reading.at, log[-1].at))
        held = ahead[-1].temp_c if ahead else recent_mean(log)
    else:
        ahead, held = (), finite(outlook, "outlook")
    return Path((*log, *ahead), len(log), held, model, first_read)


def _with_start(log: tuple[Reading, ...], started: datetime) -> tuple[Reading, ...]:
    """Put the start before the log, as warm as the first reading."""
    if started.utcoffset() is None:
        raise ValueError("started must be aware of its time zone")
    if _later(started, log[0].at):
        raise ValueError("started must not be after the first reading")
    if not _later(log[0].at, started):
        return log
    return (Reading(started, log[0].temp_c), *log)


def after_lag(
    log: Sequence[Reading], started: datetime, lag: timedelta
) -> tuple[list[Reading], datetime]:
    """Leave out of a log the time before the water began to work.

    Parameters
    ----------
    log : sequence of Reading, length n >= 1
        Water temperatures at aware, strictly rising times. [°C]
    started : datetime
        When the water closed over the crop.
    lag : timedelta
        How long it then took to begin, not negative.

    Returns
    -------
    tuple of (list of Reading, datetime)
        The log from then on, with a reading for that moment, and the moment. Where
        none of the log lies after it, the last reading stands for it.

    References
    ----------
    .. [1] No published figure of such a lag was found. The published lengths run from
       the filling, so without one it is in the curve already.
    """
    begins = started + lag
    if not lag:
        return list(log), started
    kept = [one for one in log if not _later(begins, one.at)]
    if not kept:
        return [Reading(begins, log[-1].temp_c)], begins
    if not _later(kept[0].at, begins):
        return kept, begins
    stamps = [one.at.timestamp() for one in log]
    warmth = np.interp(begins.timestamp(), stamps, [one.temp_c for one in log])
    return [Reading(begins, float(warmth)), *kept], begins


def _later(one: datetime, other: datetime) -> bool:
    """Tell whether one time is after another, not by the clock on the wall."""
    return one.timestamp() > other.timestamp()


def recent_mean(log: Sequence[Reading]) -> float:
    """Return the mean warmth over the last day of a log, weighted by time.

    Parameters
    ----------
    log : sequence of Reading, length n >= 1
        Water temperatures at aware, strictly rising times. [°C]

    Returns
    -------
    float
        Their mean. [°C]
    """
    stamps = np.array([reading.at.timestamp() for reading in log])
    temps = np.array([reading.temp_c for reading in log])
    opens = max(stamps[-1] - SECONDS_PER_DAY, stamps[0])
    if opens == stamps[-1]:
        return float(temps[-1])
    inside = np.append(opens, stamps[stamps > opens])
    return float(
        np.trapezoid(np.interp(inside, stamps, temps), inside) / np.ptp(inside)
    )
