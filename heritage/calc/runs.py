"""Which days a run of evenings falls on."""

from collections.abc import Collection, Iterable
from datetime import date, timedelta
from typing import Final

LONGEST_DAYS: Final = 366
WEEKDAYS: Final = range(7)


def days_of_run(
    first_day: date,
    last_day: date,
    weekdays: Collection[int],
    left_out: Iterable[date] = (),
) -> tuple[date, ...]:
    """Return the days of a run: these weekdays between two days, but for some.

    Parameters
    ----------
    first_day, last_day : date
        The days it lies between, both of them in it.
    weekdays : collection of int
        Its days of the week, 0 for Monday to 6 for Sunday, as in ISO 8601 less one.
    left_out : iterable of date
        Days on which it does not fall; those outside it are of no matter.

    Returns
    -------
    tuple of date
        The days in their order, each once; empty where none is left.

    Raises
    ------
    ValueError
        If it ends before it begins, is longer than a year of 366 days, or names
        a weekday that is none.
    """
    span = (last_day - first_day).days
    if span < 0:
        raise ValueError("last_day must not be before first_day")
    if span >= LONGEST_DAYS:
        raise ValueError(f"a run must not be longer than {LONGEST_DAYS} days")
    if strange := set(weekdays) - set(WEEKDAYS):
        raise ValueError(f"weekdays must be 0 to 6, not {sorted(strange)}")
    without = set(left_out)
    every = (first_day + timedelta(days=step) for step in range(span + 1))
    return tuple(
        day for day in every if day.weekday() in weekdays and day not in without
    )
