"""Dry enough to stack or to break, and whether a stack grows dangerous."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from ._band import Band
from ._checks import finite, percent

# No published limit for flax straw was found: these are the strictest read for hay and
# straw. Above 15 % all hay heats (Northern Ireland Fire & Rescue, 2021); straw is to be
# stacked at 18 to 20 % (Mid & West Wales Fire & Rescue).
STACK_PCT: Final = 15.0
NEVER_STACK_PCT: Final = 18.0
# From memory, 8 to 14.
BREAK_PCT: Final = 12.0
STACK_RANGE: Final = Band(12.0, STACK_PCT, 18.0)
BREAK_RANGE: Final = Band(8.0, BREAK_PCT, 14.0)

# Northern Ireland Fire & Rescue: above 55 °C it can ignite. The 50 is our own margin.
WARN_C: Final = 50.0
STOP_C: Final = 55.0
STACK_GAP_M: Final = 10.0

# Hay heats in 3 to 7 days; fires come 5 to 10 weeks after stacking, the earliest after
# 6 days. How often to look is our own rule, closer than any that was read.
WATCH_DAYS: Final = 70
LOOK_EVERY_H: Final = 24
LOOK_WARM_H: Final = 4
LOOK_LATER_H: Final = 7 * 24


class Dryness(StrEnum):
    """What straw of some moisture may be used for."""

    BREAK = "break"
    STACK = "stack"
    SPREAD_AGAIN = "spread_again"
    NEVER_STACK = "never_stack"


class Heat(StrEnum):
    """How a stack stands."""

    FINE = "fine"
    WATCH = "watch"
    STOP = "stop"


class HeatSign(StrEnum):
    """What a stack is put down to."""

    HOT = "hot"
    WARM = "warm"
    CARAMEL = "caramel"
    MUSTY = "musty"
    SMOKE = "smoke"
    DAMP = "damp"


class Smell(StrEnum):
    """What a stack smells of."""

    SWEET = "sweet"
    MUSTY = "musty"
    CARAMEL = "caramel"
    SMOKE = "smoke"


@dataclass(frozen=True, slots=True)
class StackState:
    """How a stack stands, and when to look again.

    Attributes
    ----------
    heat : Heat
        What to do: carry on, watch, or stop and ask the fire service.
    signs : tuple of HeatSign
        Why.
    look_again_h : int
        Longest time until the next look. [h]
    """

    heat: Heat
    signs: tuple[HeatSign, ...]
    look_again_h: int


def dryness(moisture_pct: float) -> Dryness:
    """Tell what straw may be used for, by the strictest figures found.

    Parameters
    ----------
    moisture_pct : float
        Its moisture, of the whole weight. [%]

    Returns
    -------
    Dryness
        Whether to break it, stack it, spread it again, or never stack it so.
    """
    moisture = percent(moisture_pct, "moisture_pct")
    if moisture <= BREAK_PCT:
        return Dryness.BREAK
    if moisture <= STACK_PCT:
        return Dryness.STACK
    if moisture < NEVER_STACK_PCT:
        return Dryness.SPREAD_AGAIN
    return Dryness.NEVER_STACK


def stack_state(
    *,
    age_days: float,
    temp_c: float | None = None,
    moisture_pct: float | None = None,
    smell: Smell | None = None,
) -> StackState:
    """Tell how a stack stands by what was found at a look.

    Parameters
    ----------
    age_days : float
        Days since it was stacked. [d]
    temp_c : float or None
        The warmest inside it. [°C]
    moisture_pct : float or None
        The dampest of it. [%]
    smell : Smell or None
        What it smells of.

    Returns
    -------
    StackState
        What to do, why, and when to look again. It never says that a hot stack may
        be opened.
    """
    gravest = tuple(_grave(temp_c, smell))
    slighter = tuple(_slight(temp_c, moisture_pct, smell))
    if gravest:
        return StackState(Heat.STOP, (*gravest, *slighter), 0)
    if slighter:
        return StackState(Heat.WATCH, slighter, LOOK_WARM_H)
    is_young = finite(age_days, "age_days") <= WATCH_DAYS
    return StackState(Heat.FINE, (), LOOK_EVERY_H if is_young else LOOK_LATER_H)


def _grave(temp_c: float | None, smell: Smell | None) -> list[HeatSign]:
    signs = []
    if smell == Smell.SMOKE:
        signs.append(HeatSign.SMOKE)
    if temp_c is not None and finite(temp_c, "temp_c") >= STOP_C:
        signs.append(HeatSign.HOT)
    if smell == Smell.CARAMEL:
        signs.append(HeatSign.CARAMEL)
    return signs


def _slight(
    temp_c: float | None, moisture_pct: float | None, smell: Smell | None
) -> list[HeatSign]:
    signs = []
    if temp_c is not None and WARN_C <= temp_c < STOP_C:
        signs.append(HeatSign.WARM)
    if moisture_pct is not None and percent(moisture_pct, "moisture_pct") > STACK_PCT:
        signs.append(HeatSign.DAMP)
    if smell == Smell.MUSTY:
        signs.append(HeatSign.MUSTY)
    return signs
