"""Refuse arguments that cannot mean anything, by name."""

import math
from collections.abc import Iterable
from typing import SupportsFloat, SupportsIndex


def finite(value: SupportsFloat, name: str) -> float:
    """Return ``value`` as a float, or refuse it if it is not a finite number."""
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError(f"{name} must be a finite number, not {value}")
    return number


def positive(value: SupportsFloat, name: str) -> float:
    """Return ``value`` as a float, or refuse it unless it is above zero."""
    number = finite(value, name)
    if number <= 0:
        raise ValueError(f"{name} must be above zero, not {value}")
    return number


def not_negative(value: SupportsFloat, name: str) -> float:
    """Return ``value`` as a float, or refuse it if it is below zero."""
    number = finite(value, name)
    if number < 0:
        raise ValueError(f"{name} must not be negative, not {value}")
    return number


def fraction(value: SupportsFloat, name: str) -> float:
    """Return ``value`` as a float, or refuse it unless it lies from 0 to 1."""
    number = finite(value, name)
    if not 0 <= number <= 1:
        raise ValueError(f"{name} must lie from 0 to 1, not {value}")
    return number


def whole(value: SupportsIndex | float, name: str, least: int | None = 0) -> int:
    """Return ``value`` as an int, or refuse it if in parts or below ``least``.

    ``least=None`` takes any whole number, however far below zero.
    """
    if not isinstance(value, SupportsIndex):
        number = finite(value, name)
        if not number.is_integer():
            raise ValueError(f"{name} must be a whole number, not {value}")
        value = int(number)
    count = value.__index__()
    if least is not None and count < least:
        raise ValueError(f"{name} must be {least} or more, not {count}")
    return count


def percent(value: SupportsFloat, name: str) -> float:
    """Return ``value`` as a float, or refuse it unless it lies from 0 to 100."""
    number = finite(value, name)
    if not 0 <= number <= 100:
        raise ValueError(f"{name} must lie from 0 to 100 %, not {value}")
    return number


def air_temperature(value: SupportsFloat, name: str) -> float:
    """Return ``value`` as a float, or refuse what no air has been."""
    number = finite(value, name)
    if not -90 <= number <= 60:
        raise ValueError(f"{name} must lie from -90 to 60 °C, not {value}")
    return number


def day_extremes(tmax_c: float, tmin_c: float) -> tuple[float, float]:
    """Return a day's highest and lowest temperature, or refuse them crossed."""
    top, low = air_temperature(tmax_c, "tmax_c"), air_temperature(tmin_c, "tmin_c")
    if low > top:
        raise ValueError(f"tmin_c must not be above tmax_c, not {tmin_c} > {tmax_c}")
    return top, low


def refuse_twice(names: Iterable[str], where: str) -> None:
    """Refuse a name that stands for two."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise ValueError(f"{where} must have names of their own, not {name} twice")
        seen.add(name)
