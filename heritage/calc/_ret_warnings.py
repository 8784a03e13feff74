"""What has to be said beside a ret's dates, in plain sentences."""

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise
from math import cos, pi

from ._ret_model import (
    NO_DATE_BELOW_C,
    STRETCHED_FROM_C,
    TOO_HOT_C,
    TRUSTED_FROM_C,
)
from ._ret_path import Path

LONGEST_GAP = timedelta(hours=30)
# The water is taken to be warmest at five in the afternoon; a reading within four
# hours of it is an evening's. Our own judgement.
WARMEST_HOUR, NEAR_HOURS = 17, 4


def warnings_for(
    path: Path, *, guessed: bool, test_every: timedelta, longest_gap: timedelta
) -> tuple[str, ...]:
    """Return every warning that a course calls for, the gravest first."""
    return (
        *_of_time(path, test_every),
        *_of_cold(path),
        *_of_heat(path),
        *_of_gaps(path, longest_gap),
        *_of_evenings(path),
        *_of_guess(path, guessed=guessed),
    )


def _of_time(path: Path, test_every: timedelta) -> Iterator[str]:
    """Say when the likely day is past, or one look a day is too few."""
    hours = test_every // timedelta(hours=1)
    if path.reached >= 1:
        yield (
            "The likely day has passed. A day too long weakens the fibre: test now, "
            f"and again every {hours} hours."
        )
    elif test_every < timedelta(hours=18):
        yield (
            "One look a day is too few from here on: the crop can pass its best "
            f"between two evenings. Test every {hours} hours."
        )


def _of_cold(path: Path) -> Iterator[str]:
    """Say how far the coldest water leaves the curve behind."""
    coldest = min(float(path.temps.min()), path.held_c)
    if coldest < NO_DATE_BELOW_C:
        yield (
            f"The water falls to {coldest:.0f} °C. Below {NO_DATE_BELOW_C:.0f} °C "
            "no date can be told."
        )
    elif coldest < STRETCHED_FROM_C:
        yield (
            f"The water falls to {coldest:.0f} °C, far colder than any ret the curve "
            "was fitted to. Take the dates as a guess."
        )
    elif coldest < TRUSTED_FROM_C:
        yield (
            f"The water falls to {coldest:.0f} °C. Below {TRUSTED_FROM_C:.0f} °C the "
            "curve is stretched, and the ret may take twice as long."
        )


def _of_heat(path: Path) -> Iterator[str]:
    """Say when the warmest water is beyond what helps."""
    warmest = max(float(path.temps.max()), path.held_c)
    if warmest > TOO_HOT_C:
        yield f"The water reaches {warmest:.0f} °C: too hot for a good ret."
    elif warmest > path.model.cap_c:
        yield (
            f"The water reaches {warmest:.0f} °C. Above {path.model.cap_c:.0f} °C it "
            "is not taken to ret any faster."
        )


def _of_gaps(path: Path, longest_gap: timedelta) -> Iterator[str]:
    """Name the longest stretch without a reading, if it is too long."""
    days = [float(day) for day in path.days[: path.measured]]
    gap = timedelta(days=max((b - a for a, b in pairwise(days)), default=0.0))
    if gap > longest_gap:
        yield (
            f"For {gap / timedelta(hours=1):.0f} hours there was no reading: "
            "the course between them is a guess."
        )


def _of_evenings(path: Path) -> Iterator[str]:
    """Say that a log of evenings alone overstates, once it is of several days.

    With water 1.5 °C above its mean at five and read at half past seven, the progress
    comes out nearly a tenth too far (worked out from the rate, not measured).
    """
    read = [knot.at for knot in path.knots[path.first_read : path.measured]]
    near = cos(2 * pi * NEAR_HOURS / 24)
    hours = [moment.hour + moment.minute / 60 for moment in read]
    late = [cos(2 * pi * (hour - WARMEST_HOUR) / 24) >= near for hour in hours]
    if len({moment.date() for moment in read}) > 1 and all(late):
        yield (
            "Every reading was taken in the evening, when the water is warmest, so "
            "the ret looks further on than it is: by nearly a tenth where the water "
            "swings by 3 °C between night and day. Read it in the morning too."
        )


def _of_guess(path: Path, *, guessed: bool) -> Iterator[str]:
    """Say that the water ahead is only the last day's mean."""
    if guessed:
        yield (
            "No forecast yet, so this assumes the water stays at "
            f"{path.held_c:.1f} °C, the mean of the last day read."
        )
