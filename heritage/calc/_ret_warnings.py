"""What has to be said beside a ret's dates."""

from collections.abc import Iterator
from datetime import timedelta
from enum import StrEnum
from itertools import pairwise

from ._ret_evenings import evenings_only
from ._ret_model import (
    NO_DATE_BELOW_C,
    STRETCHED_FROM_C,
    TOO_HOT_C,
    TRUSTED_FROM_C,
)
from ._ret_path import Path
from .reasons import Reason

LONGEST_GAP = timedelta(hours=30)


class RetWarning(StrEnum):
    """What has to be said beside a ret's dates, with the names of its figures."""

    # test_every, in hours.
    PAST_LIKELY = "past_likely"
    ONCE_A_DAY_IS_TOO_FEW = "once_a_day_is_too_few"
    # coldest, below: no date can be told; far below the curve's own rets; below them.
    NO_DATE = "no_date"
    FAR_TOO_COLD = "far_too_cold"
    COLD = "cold"
    # warmest; above which it rets no faster.
    TOO_HOT = "too_hot"
    NO_FASTER = "no_faster"
    # hours without a reading.
    GAP = "gap"
    EVENINGS_ONLY = "evenings_only"
    # temp_c that is held.
    NO_OUTLOOK = "no_outlook"


_Warnings = Iterator[Reason[RetWarning]]


def warnings_for(
    path: Path, *, guessed: bool, test_every: timedelta, longest_gap: timedelta
) -> tuple[Reason[RetWarning], ...]:
    """Return every warning that a course calls for, the gravest first."""
    return (
        *_of_time(path, test_every),
        *_of_cold(path),
        *_of_heat(path),
        *_of_gaps(path, longest_gap),
        *_of_evenings(path),
        *_of_guess(path, guessed=guessed),
    )


def _of_time(path: Path, test_every: timedelta) -> _Warnings:
    """Warn when the likely day is past, or one look a day is too few."""
    figures = {"test_every": test_every // timedelta(hours=1)}
    if path.reached >= path.marks.likely:
        yield Reason(RetWarning.PAST_LIKELY, figures)
    elif test_every < timedelta(hours=18):
        yield Reason(RetWarning.ONCE_A_DAY_IS_TOO_FEW, figures)


def _of_cold(path: Path) -> _Warnings:
    """Say how far the coldest water leaves the curve behind."""
    coldest = min(float(path.temps.min()), path.held_c)
    for below, code in (
        (NO_DATE_BELOW_C, RetWarning.NO_DATE),
        (STRETCHED_FROM_C, RetWarning.FAR_TOO_COLD),
        (TRUSTED_FROM_C, RetWarning.COLD),
    ):
        if coldest < below:
            yield Reason(code, {"coldest": coldest, "below": below})
            return


def _of_heat(path: Path) -> _Warnings:
    """Warn when the warmest water is beyond what helps."""
    warmest = max(float(path.temps.max()), path.held_c)
    if warmest > TOO_HOT_C:
        yield Reason(RetWarning.TOO_HOT, {"warmest": warmest})
    elif warmest > path.model.cap_c:
        figures = {"warmest": warmest, "above": path.model.cap_c}
        yield Reason(RetWarning.NO_FASTER, figures)


def _of_gaps(path: Path, longest_gap: timedelta) -> _Warnings:
    """Name the longest stretch without a reading, if it is too long."""
    days = [float(day) for day in path.days[: path.measured]]
    gap = timedelta(days=max((b - a for a, b in pairwise(days)), default=0.0))
    if gap > longest_gap:
        yield Reason(RetWarning.GAP, {"hours": gap / timedelta(hours=1)})


def _of_evenings(path: Path) -> _Warnings:
    """Say that a log of evenings alone overstates, once it is of several days.

    With water 1.5 °C above its mean at five and read at half past seven, the progress
    comes out nearly a tenth too far (worked out from the rate, not measured).
    """
    read = [knot.at for knot in path.knots[path.first_read : path.measured]]
    if evenings_only(read):
        yield Reason(RetWarning.EVENINGS_ONLY)


def _of_guess(path: Path, *, guessed: bool) -> _Warnings:
    """Say that the water ahead is only the last day's mean."""
    if guessed:
        yield Reason(RetWarning.NO_OUTLOOK, {"temp_c": path.held_c})
