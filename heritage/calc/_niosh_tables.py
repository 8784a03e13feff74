"""The multipliers of the revised NIOSH lifting equation, as formulas and tables."""

from bisect import bisect_right
from dataclasses import dataclass
from enum import StrEnum
from math import floor
from types import MappingProxyType
from typing import Final


class Units(StrEnum):
    """Which of the manual's two sets of constants is meant."""

    METRIC = "metric"
    US = "us"


class Duration(StrEnum):
    """How long lifting goes on, in the manual's three classes."""

    SHORT = "short"
    MODERATE = "moderate"
    LONG = "long"


class Grip(StrEnum):
    """How well hands hold the load; in doubt, the worse."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


@dataclass(frozen=True, slots=True)
class Constants:
    """One unit system's constants, lengths in cm or inches, weight in kg or lb.

    ``odd`` holds the printed table values that differ from the rounded formula.
    """

    load: float
    near: float
    far: float
    knuckle: float
    slope: float
    highest: float
    least_travel: float
    travel: float
    most_travel: float
    odd: tuple[tuple[str, float, float], ...]


CONSTANTS: Final = MappingProxyType(
    {
        Units.METRIC: Constants(
            load=23.0,
            near=25.0,
            far=63.0,
            knuckle=75.0,
            slope=0.003,
            highest=175.0,
            least_travel=25.0,
            travel=4.5,
            most_travel=175.0,
            odd=(("DM", 130.0, 0.86),),
        ),
        Units.US: Constants(
            load=51.0,
            near=10.0,
            far=25.0,
            knuckle=30.0,
            slope=0.0075,
            highest=70.0,
            least_travel=10.0,
            travel=1.8,
            most_travel=70.0,
            odd=(("HM", 22.0, 0.46), ("HM", 23.0, 0.44)),
        ),
    }
)

WIDEST_TURN_DEG: Final = 135.0
LEAST_PER_MINUTE: Final = 0.2

# Table 5: lifts a minute, then short, moderate and long work, each with the hands
# below knuckle height and not below it.
_FREQUENCIES: Final = (0.2, 0.5, *(float(n) for n in range(1, 16)))
_TABLE_5: Final = MappingProxyType(
    {
        (Duration.SHORT, True): (
            *(1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70),
            *(0.60, 0.52, 0.45, 0.41, 0.37, 0.00, 0.00, 0.00),
        ),
        (Duration.SHORT, False): (
            *(1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70),
            *(0.60, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
        ),
        (Duration.MODERATE, True): (
            *(0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42),
            *(0.35, 0.30, 0.26, 0.00, 0.00, 0.00, 0.00, 0.00),
        ),
        (Duration.MODERATE, False): (
            *(0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42),
            *(0.35, 0.30, 0.26, 0.23, 0.21, 0.00, 0.00, 0.00),
        ),
        (Duration.LONG, True): (
            *(0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22),
            *(0.18, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00, 0.00),
        ),
        (Duration.LONG, False): (
            *(0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22),
            *(0.18, 0.15, 0.13, 0.00, 0.00, 0.00, 0.00, 0.00),
        ),
    }
)

# Table 7: hands below knuckle height, and not below it.
_TABLE_7: Final = MappingProxyType(
    {Grip.GOOD: (1.0, 1.0), Grip.FAIR: (0.95, 1.0), Grip.POOR: (0.9, 0.9)}
)


def horizontal(distance: float, units: Units) -> float:
    """Return HM for hands so far in front of the ankles."""
    fixed = CONSTANTS[units]
    if distance > fixed.far:
        return 0.0
    return fixed.near / max(distance, fixed.near)


def vertical(height: float, units: Units) -> float:
    """Return VM for hands so high above the floor."""
    fixed = CONSTANTS[units]
    if height > fixed.highest:
        return 0.0
    return 1 - fixed.slope * abs(height - fixed.knuckle)


def travel(distance: float, units: Units) -> float:
    """Return DM for a lift that goes so far up or down."""
    fixed = CONSTANTS[units]
    if distance > fixed.most_travel:
        return 0.0
    return 0.82 + fixed.travel / max(distance, fixed.least_travel)


def asymmetry(turn_deg: float) -> float:
    """Return AM for a load so far to one side."""
    return 0.0 if turn_deg > WIDEST_TURN_DEG else 1 - 0.0032 * turn_deg


def frequency(per_minute: float, duration: Duration, *, low: bool) -> float:
    """Return FM from Table 5, on the straight line between two of its rows.

    Where the later row is nought the manual does not say what holds between them;
    nought is the stricter reading.
    """
    column = _TABLE_5[duration, low]
    often = max(per_minute, LEAST_PER_MINUTE)
    after = bisect_right(_FREQUENCIES, often)
    if often == _FREQUENCIES[after - 1]:
        return column[after - 1]
    if after == len(_FREQUENCIES) or column[after] == 0:
        return 0.0
    low_row, high_row = _FREQUENCIES[after - 1], _FREQUENCIES[after]
    share = (often - low_row) / (high_row - low_row)
    return column[after - 1] + share * (column[after] - column[after - 1])


def coupling(grip: Grip, *, low: bool) -> float:
    """Return CM from Table 7."""
    return _TABLE_7[grip][0 if low else 1]


def as_printed(name: str, at: float, value: float, units: Units) -> float:
    """Return a multiplier as the manual's tables print it, to two places."""
    for odd_name, odd_at, printed in CONSTANTS[units].odd:
        if (name, at) == (odd_name, odd_at):
            return printed
    # Half upwards, as the tables do; the small term undoes binary halves.
    return floor(value * 100 + 0.5 + 1e-9) / 100
