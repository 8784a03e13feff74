"""When to test a ret: early, likely and late, and how often."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ._checks import not_negative
from ._ret_learning import Factor
from ._ret_model import DEFAULT_RET, SECONDS_PER_DAY, KnownBy, RetModel, rate
from ._ret_path import Outlook, Path, Reading, read_path, recent_mean
from ._ret_warnings import LONGEST_GAP, RetWarning, warnings_for
from .reasons import Reason

FIRST_TEST_AT: Final = 0.55
FIRST_TEST_DAY: Final = 4.0
CLOSE_TO_READY: Final = 0.8
# Once it is likely to be ready, or its working has died down.
LONGEST_ONCE_QUIET: Final = timedelta(hours=6)

_HOURS_24: Final = timedelta(hours=24)
_HOURS_12: Final = timedelta(hours=12)
_ONE_HOUR: Final = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class RetForecast:
    """When to test a ret. It never says when to lift: only a test can.

    Attributes
    ----------
    progress : float
        Share of the ret that is behind at the last reading. [-]
    first_test : datetime
        When the first test is due.
    early, likely, late : datetime or None
        Dates between which four batches in five should be ready; ``None`` where the
        water is too cold to tell.
    test_every : timedelta
        Longest time between two tests, once the first has come.
    sigma : float
        The scatter that the range was made with, see `scatter`. [-]
    mean_c : float
        Mean warmth of the water from the start to the likely day. [°C]
    warnings : tuple of Reason
        What has to be said beside the dates, the gravest first.
    """

    progress: float
    first_test: datetime
    early: datetime | None
    likely: datetime | None
    late: datetime | None
    test_every: timedelta
    sigma: float
    mean_c: float
    warnings: tuple[Reason[RetWarning], ...]


@dataclass(frozen=True, slots=True)
class RetCurve:
    """The course of a ret, for drawing: ready where a line crosses 1.

    Attributes
    ----------
    times : tuple of datetime, length n
        Even steps from the start, and the end.
    progress, fast, slow : ndarray, shape (n,)
        Progress of a likely, an early and a late batch. [-]
    measured_until : datetime
        Time of the last reading; what follows is expected.
    """

    times: tuple[datetime, ...]
    progress: NDArray[np.float64]
    fast: NDArray[np.float64]
    slow: NDArray[np.float64]
    measured_until: datetime


def time_between_tests(
    behind: float,
    temp_c: float,
    model: RetModel = DEFAULT_RET,
    *,
    died_down: bool = False,
) -> timedelta:
    """Return the longest time to leave between two tests.

    Parameters
    ----------
    behind : float
        Progress so far. [-]
    temp_c : float
        Warmth of the water now. [°C]
    model : RetModel, optional
        Settings of the rate.
    died_down : bool, default False
        Whether the bubbles were seen to have stopped, or the flax to sink.

    Returns
    -------
    timedelta
        A tenth of the ret's length, a day at most; 12 hours at most from a progress
        of 0.8, and 6 once it is likely to be ready or its working has died down.

    References
    ----------
    .. [1] Flax Society of Ireland (1846): every six hours once fermentation
       subsides. Ure: at least twice a day. The tenth is our own judgement.
    """
    not_negative(behind, "behind")
    tenth = timedelta(days=0.1 / rate(float(temp_c), model))
    if behind >= 1 or died_down:
        return min(tenth, LONGEST_ONCE_QUIET)
    return min(tenth, _HOURS_12 if behind >= CLOSE_TO_READY else _HOURS_24)


def forecast(
    readings: Sequence[Reading],
    outlook: Outlook = (),
    *,
    started: datetime | None = None,
    model: RetModel = DEFAULT_RET,
    known_by: KnownBy = KnownBy.THERMOMETER,
    longest_gap: timedelta = LONGEST_GAP,
    died_down: bool = False,
    factor: Factor | None = None,
) -> RetForecast:
    """Say when to test a ret, from its log and the water expected.

    Parameters
    ----------
    readings : sequence of Reading, length n >= 1
        Water temperatures at aware, strictly rising times. [°C]
    outlook : sequence of Reading, or float
        Mean water temperatures expected after the last reading; the last one is held
        on. A single number is held from the last reading. If empty, the mean
        of the log's last day is held, with a warning. Entries not after the last
        reading are passed over. [°C]
    started : datetime, optional
        When the water closed over the crop, if before the first reading; the water
        is taken to have been as warm then as at the first reading.
    model : RetModel, optional
        Settings of the rate. Its scatter is set by the water's mean warmth and
        ``known_by``.
    known_by : KnownBy
        How the warmth of the water is known.
    longest_gap : timedelta, default 30 h
        Longest stretch between readings that needs no warning.
    died_down : bool, default False
        As in `time_between_tests`.
    factor : Factor, optional
        What its signs have taught, for the dates and how often to test. Its progress
        stays that of the warmth alone.

    Returns
    -------
    RetForecast
        Progress, when to test first and how often, the likely day with its range,
        and what must be said beside them.

    Raises
    ------
    ValueError
        If there is no reading, times do not strictly rise or are naive, or a
        temperature is not a finite number.

    References
    ----------
    .. [1] First test: Pittsburgh Gazette, 12 Sept 1823 (day 4); Manual of Flax
       Culture (day 5). The progress of 0.55 is our own judgement.
    """
    path = read_path(readings, outlook, started, model).scattered(known_by, factor)
    every = time_between_tests(
        path.reached / path.marks.likely,
        recent_mean(path.knots[: path.measured]),
        model,
        died_down=died_down,
    )
    marks = path.marks
    early, likely, late = (
        _date(path, mark) for mark in (marks.low, marks.likely, marks.high)
    )
    return RetForecast(
        progress=path.reached,
        first_test=_first_test(path),
        early=early,
        likely=likely,
        late=late,
        test_every=every,
        sigma=path.model.sigma,
        mean_c=path.mean_until(path.day_of(1.0)),
        warnings=warnings_for(
            path,
            guessed=isinstance(outlook, Sequence) and path.measured == len(path.knots),
            test_every=every,
            longest_gap=longest_gap,
        ),
    )


def reached(
    readings: Sequence[Reading],
    moments: Sequence[datetime],
    outlook: Outlook = (),
    *,
    started: datetime | None = None,
    model: RetModel = DEFAULT_RET,
) -> NDArray[np.float64]:
    """Return the progress at any moments, read or expected.

    Parameters
    ----------
    readings : sequence of Reading, length n >= 1
        As in `forecast`.
    moments : sequence of datetime, length m
        Aware times; nought is reached before the start.
    outlook : sequence of Reading, or float
        As in `forecast`.
    started : datetime, optional
        As in `forecast`.
    model : RetModel, optional
        Settings of the rate.

    Returns
    -------
    ndarray, shape (m,)
        Progress by the warmth alone. [-]

    Raises
    ------
    ValueError
        As in `forecast`.
    """
    path = read_path(readings, outlook, started, model)
    start = path.knots[0].at.timestamp()
    since = np.array([moment.timestamp() - start for moment in moments])
    return path.progress_on(np.maximum(since / SECONDS_PER_DAY, 0.0))


def _first_test(path: Path) -> datetime:
    """Test at a share of the way, and by a fixed day at the latest."""
    day = path.day_of(FIRST_TEST_AT)
    return path.moment(FIRST_TEST_DAY if day is None else min(day, FIRST_TEST_DAY))


def curve(
    readings: Sequence[Reading],
    outlook: Outlook = (),
    *,
    started: datetime | None = None,
    model: RetModel = DEFAULT_RET,
    known_by: KnownBy = KnownBy.THERMOMETER,
    step: timedelta = _ONE_HOUR,
    factor: Factor | None = None,
) -> RetCurve:
    """Return the course of a ret in even steps, until the late day.

    Parameters
    ----------
    readings : sequence of Reading, length n >= 1
        As in `forecast`.
    outlook : sequence of Reading, or float
        As in `forecast`.
    started : datetime, optional
        As in `forecast`.
    model : RetModel, optional
        As in `forecast`.
    known_by : KnownBy
        As in `forecast`.
    step : timedelta, default 1 h
        Time from one point to the next, above nought.
    factor : Factor, optional
        As in `forecast`; its likely value makes the likely course.

    Returns
    -------
    RetCurve
        Times, progress and band; they end where the water gets too cold to tell, and
        never before the last reading.

    Raises
    ------
    ValueError
        As in `forecast`, or if the step is not above nought.
    """
    if step <= timedelta(0):
        raise ValueError(f"step must be above nought, not {step}")
    path = read_path(readings, outlook, started, model).scattered(known_by, factor)
    read_until = float(path.days[path.measured - 1])
    late = path.day_of(path.marks.high)
    last = path.told_until if late is None else late
    end = max(read_until, read_until if last is None else last)
    days = np.append(np.arange(0.0, end, step / _HOURS_24), end)
    behind = path.progress_on(days)
    return RetCurve(
        times=tuple(path.moment(float(day)) for day in days),
        progress=behind / path.marks.likely,
        fast=behind / path.marks.low,
        slow=behind / path.marks.high,
        measured_until=path.moment(read_until),
    )


def _date(path: Path, target: float) -> datetime | None:
    """Return the time at which a progress is reached, if it can be told."""
    day = path.day_of(target)
    return None if day is None else path.moment(day)
