"""The lifting of a ret: whether a test says so, hands before sunset, the weights."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from heritage.calc.fibre import DRAIN_H, Band, Hands, hands_to_lift, wet_beet
from heritage.calc.lifting import Screening, team_capacity
from heritage.dam.learning.selectors import Look, last_core
from heritage.dam.models import Check, Ret
from heritage.gatherings.ground.selectors import Light, light_of_day
from heritage.machines.lifting.selectors import StoneHolding, screened

HOUR = timedelta(hours=1)
# With less light than this left, a lift is for the next day: our own rule.
SHORTEST = timedelta(hours=1)
MOST_PEOPLE = 3


@dataclass(frozen=True, slots=True)
class BeetLift:
    """One wet beet: what it weighs, and how many lift it from dry ground."""

    kg: Band
    people: int

    @property
    def people_words(self) -> str:
        """How many lift one, by the screening."""
        return [
            _("open the band and carry it in armfuls: it is too heavy even for three"),
            _("one"),
            _("two together, or open the band and carry half"),
            _("three together; better open the band and carry it in armfuls"),
        ][self.people]


@dataclass(frozen=True, slots=True)
class LiftPlan:
    """What a lift takes on the day with light for it that comes next."""

    ret: Ret
    last_test: Look | None
    light: Light
    starts: datetime | None
    hours: float
    hands: Hands | None
    from_dam: BeetLift
    drained: BeetLift
    may_lift_kg: tuple[float, ...]
    confirmed: bool

    @property
    def is_said_by_test(self) -> bool:
        """Whether the last test says that it is ready."""
        return says_so(self.last_test)

    @property
    def drained_from_to(self) -> tuple[datetime, datetime] | None:
        """From when to when it has stood long enough to be spread."""
        out = self.light.machines_stop
        if out is None:
            return None
        low, high = (timedelta(hours=hours) for hours in (DRAIN_H.low, DRAIN_H.high))
        return out + low, out + high


def says_so(test: Look | None) -> bool:
    """Tell whether a test says that the flax may be lifted."""
    return test is not None and test.says_free


def last_test(ret: Ret, by: datetime) -> Look | None:
    """Return the last time the wood was drawn, up to a moment."""
    return last_core(Check.objects.in_ret(ret).standing().not_later(by))


def lift_plan(ret: Ret, now: datetime) -> LiftPlan:
    """Say what lifting a ret takes: one query."""
    light, starts = _next_light(ret, now)
    beet, (limits, confirmed) = _dry_beet(ret), _may_lift()
    ends = light.machines_stop
    hours = (ends - starts) / HOUR if ends and starts else 0.0
    return LiftPlan(
        ret=ret,
        last_test=last_test(ret, now),
        light=light,
        starts=starts,
        hours=hours,
        hands=hands_to_lift(ret.beets, hours) if hours > 0 else None,
        from_dam=_beet(wet_beet(beet, drained=False), limits),
        drained=_beet(wet_beet(beet, drained=True), limits),
        may_lift_kg=limits,
        confirmed=confirmed,
    )


def _may_lift() -> tuple[tuple[float, ...], bool]:
    """Return what one, two and three may lift from dry ground, and if it was read."""
    one = screened(StoneHolding())
    kg = one.kg if isinstance(one, Screening) else 0.0
    figures = [team_capacity([kg] * people) for people in range(1, MOST_PEOPLE + 1)]
    limits = tuple(each for each in figures if isinstance(each, float))
    return limits, isinstance(one, Screening) and one.confirmed


def _next_light(ret: Ret, now: datetime) -> tuple[Light, datetime | None]:
    """Return the light of today while enough is left of it, or else of tomorrow."""
    where = ret.dam.demonstration
    day = now.astimezone(where.zone).date()
    light = light_of_day(where, day)
    ends = light.machines_stop
    if light.first and ends and now <= ends - SHORTEST:
        return light, max(now, light.first)
    light = light_of_day(where, day + timedelta(days=1))
    return light, light.first


def _dry_beet(ret: Ret) -> Band:
    """Return a beet's dry weight: as weighed at this filling, or the crop's."""
    if ret.beet_dry_kg is None:
        return ret.dam.demonstration.beet_kg
    kg = float(ret.beet_dry_kg)
    return Band(kg, kg, kg)


def _beet(kg: Band, limits: tuple[float, ...]) -> BeetLift:
    enough = [people for people, most in enumerate(limits, 1) if kg.likely <= most]
    return BeetLift(kg, enough[0] if enough else 0)
