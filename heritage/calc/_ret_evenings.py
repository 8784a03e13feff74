"""A log of evenings alone: how to tell it, and how to take the day's swing out."""

from collections.abc import Sequence
from datetime import datetime
from math import cos, pi
from typing import Final

from ._ret_model import COLDEST_C, HOTTEST_C
from ._ret_path import Reading

# The water is taken to be warmest at five in the afternoon, 1.5 °C above its mean; a
# reading within four hours of it is an evening's. Our own judgement.
WARMEST_HOUR, NEAR_HOURS = 17, 4
SWING_C: Final = 1.5


def evenings_only(moments: Sequence[datetime]) -> bool:
    """Say whether a log is of evenings alone, over more than one day.

    Parameters
    ----------
    moments : sequence of datetime
        When the water was read, in local time.

    Returns
    -------
    bool
        Whether every one of them is within four hours of five in the afternoon.
    """
    near = cos(2 * pi * NEAR_HOURS / 24)
    evening = all(_swing(moment) >= near for moment in moments)
    return evening and len({moment.date() for moment in moments}) > 1


def without_swing(readings: Sequence[Reading]) -> list[Reading]:
    """Return each reading as the mean of its day.

    Parameters
    ----------
    readings : sequence of Reading
        Water temperatures, with times in local time. [°C]

    Returns
    -------
    list of Reading
        The same moments, the day's swing taken out; never beyond what water in the
        open may be. [°C]

    References
    ----------
    .. [1] A swing of 1.5 °C about the mean, warmest at five, is our own judgement. Two
       readings twelve hours apart need no such thing.
    """
    return [
        Reading(at, min(max(temp_c - SWING_C * _swing(at), COLDEST_C), HOTTEST_C))
        for at, temp_c in readings
    ]


def _swing(moment: datetime) -> float:
    """Return how far above its mean the water is at a time of day, from -1 to 1."""
    hour = moment.hour + moment.minute / 60
    return cos(2 * pi * (hour - WARMEST_HOUR) / 24)
