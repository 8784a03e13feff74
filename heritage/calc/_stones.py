"""What to do about the stones on a filling, by what lies on it and what was seen."""

from dataclasses import dataclass
from enum import StrEnum

from ._ballast import Ballast, Phase
from ._checks import not_negative

__all__ = ["StoneAct", "StoneAdvice", "stone_advice"]


class StoneAct(StrEnum):
    """What the stones ask."""

    PUT_ON = "put_on"
    RISEN = "risen"
    LEAVE = "leave"
    MORE_THAN_ENOUGH = "more_than_enough"
    TAKE_OFF = "take_off"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class StoneAdvice:
    """What to do, and about how much stone it is.

    Attributes
    ----------
    act : StoneAct
        What the stones ask.
    low_kg, likely_kg, high_kg : float
        Stone to put on, or to take off, never below nought. [kg]
    """

    act: StoneAct
    low_kg: float = 0.0
    likely_kg: float = 0.0
    high_kg: float = 0.0


def stone_advice(
    lying_kg: float, wanted: Ballast, *, seen: Phase | None, is_up: bool
) -> StoneAdvice:
    """Say what to do about the stones: what was seen goes before every figure.

    Parameters
    ----------
    lying_kg : float
        Stone that lies on the filling. [kg]
    wanted : Ballast
        What should hold it under, over the whole band. [kg]
    seen : Phase or None
        The phase that was seen, see `phase_seen`; nothing if no sign tells.
    is_up : bool
        Whether the flax was seen to have risen since stones were last put on.

    Returns
    -------
    StoneAdvice
        At the end all of it comes off. Flax that has risen asks for stone whatever
        the figures say. Short of that the lowest figure is held, and stone above the
        highest is only looked at: it comes off by what is seen.

    References
    ----------
    .. [1] American Agriculturist XI:13 (7 Dec 1853), Ure and Spon give the order:
       it rises, add; it sinks, take off. The amounts are our own physics.
    """
    not_negative(lying_kg, "lying_kg")
    if seen is Phase.END:
        act = StoneAct.TAKE_OFF if lying_kg else StoneAct.NONE
        return StoneAdvice(act, lying_kg, lying_kg, lying_kg)
    short = [
        max(0.0, kg - lying_kg)
        for kg in (wanted.low_kg, wanted.likely_kg, wanted.high_kg)
    ]
    if is_up:
        return StoneAdvice(StoneAct.RISEN, *short)
    if short[0]:
        return StoneAdvice(StoneAct.PUT_ON, *short)
    if lying_kg > wanted.high_kg:
        return StoneAdvice(StoneAct.MORE_THAN_ENOUGH)
    return StoneAdvice(StoneAct.LEAVE)
