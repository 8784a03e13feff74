"""The thirty-thirty rule for lightning."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import NamedTuple

from heritage.calc._checks import not_negative, positive

NEAR_S = 30.0
WAIT = timedelta(minutes=30)


class Flash(NamedTuple):
    """One flash of lightning.

    Attributes
    ----------
    at : datetime
        When it was seen, or its thunder heard; aware.
    bang_s : float or None
        Seconds from flash to thunder; ``None`` if nobody counted, which is taken
        for near. [s]
    """

    at: datetime
    bang_s: float | None = None


def thunder_hold(
    flashes: Iterable[Flash | tuple[datetime, float | None] | datetime],
    *,
    near_s: float = NEAR_S,
    wait: timedelta = WAIT,
) -> datetime | None:
    """Say when work may begin again after lightning.

    A flash followed by thunder within ``near_s`` sends everybody to shelter. From
    then on every thunder, near or far, starts the wait afresh.

    Parameters
    ----------
    flashes : iterable of Flash
        What was seen and heard, in any order; a bare time counts as a near flash.
    near_s : float
        Flash to thunder at or under which all take shelter; 30 s is 10 km. [s]
    wait : timedelta
        Time in shelter after the last thunder.

    Returns
    -------
    datetime or None
        When the wait is over; ``None`` if no flash was near.

    Raises
    ------
    ValueError
        If a time is not aware, or a count of seconds is negative or not finite.

    References
    ----------
    .. [1] Environment Canada and the University of Nebraska on 30/30; the Royal
       Society for the Prevention of Accidents, as used by the Ramblers.
    """
    near_s = positive(near_s, "near_s")
    resume_at = None
    for at, bang_s in sorted(map(_heard, flashes)):
        thunder_at = at + timedelta(seconds=bang_s)
        in_shelter = resume_at is not None and at <= resume_at
        if bang_s <= near_s or in_shelter:
            resume_at = max(thunder_at + wait, resume_at or thunder_at)
    return resume_at


def _heard(
    flash: Flash | tuple[datetime, float | None] | datetime,
) -> tuple[datetime, float]:
    at, bang_s = Flash(flash) if isinstance(flash, datetime) else flash
    if at.utcoffset() is None:
        raise ValueError(f"flashes must have aware times, not {at}")
    return at, 0.0 if bang_s is None else not_negative(bang_s, "bang_s")
