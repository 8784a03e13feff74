"""The stones on a ret: what lies on it, what to do, and the pile that is left."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils.translation import gettext as _

from heritage.calc import dam as sums
from heritage.calc.lifting import Zone
from heritage.dam.models import Check, Dam, Finding, Ret, StoneMove, StoneWay
from heritage.dam.selectors import StonePlan, stone_plan
from heritage.dam.stones.words import STONE_ACTS, UNKNOWN, WHO_LIFTS
from heritage.machines.lifting.selectors import people_for
from heritage.machines.models import Stone

LAST_SHOWN = 50


@dataclass(frozen=True, slots=True)
class Lying:
    """How many stones lie on a ret, and what they weigh together."""

    stones: int
    kg: Decimal


@dataclass(frozen=True, slots=True)
class PileLine:
    """The stones of one size: on the flax, left on the bank, and who lifts one.

    Without a ``stone`` they are not on the list, and nobody knows how many are left.
    """

    stone: Stone | None
    each_kg: Decimal
    on: int
    elsewhere: int

    @property
    def name(self) -> str:
        return str(self.stone) if self.stone else _("not on the list")

    @property
    def left(self) -> int | None:
        """How many are on the bank; below nothing, the list is out of date."""
        stone = self.stone
        return stone.how_many - self.on - self.elsewhere if stone else None

    @property
    def who_lifts(self) -> tuple[str, str]:
        """How many people one asks for: from dry ground, from a knee-high bench."""
        zones = (Zone.BELOW_MID_LEG, Zone.KNUCKLE_TO_MID_LEG)
        ground, bench = (people_for(float(self.each_kg), zone) for zone in zones)
        return str(WHO_LIFTS[ground]), str(WHO_LIFTS[bench])


@dataclass(frozen=True, slots=True)
class StonesPage:
    """All that is known of the stones of one ret."""

    ret: Ret
    lying: Lying
    plan: StonePlan | None
    act: sums.StoneAct | None
    advice: str
    pile: tuple[PileLine, ...]
    moves: tuple[StoneMove, ...]

    @property
    def is_urgent(self) -> bool:
        """Whether stones are to be moved now."""
        acts = (sums.StoneAct.PUT_ON, sums.StoneAct.RISEN, sums.StoneAct.TAKE_OFF)
        return self.act in acts


def stones_page(ret: Ret, now: datetime) -> StonesPage:
    """Gather the stones of a ret: eight queries."""
    moves = _moves_of(ret)
    mine = [move for move in moves if move.ret_id == ret.pk]
    lying = lying_of(mine)
    plan = stone_plan(ret, now) if ret.lifted_at is None else None
    checks = list(Check.objects.in_ret(ret).standing().newest_first())
    advice = _advice(plan, lying, checks, mine)
    return StonesPage(
        ret=ret,
        lying=lying,
        plan=plan,
        act=advice.act if advice else None,
        advice=_in_words(advice, ret.dam),
        pile=tuple(pile(ret, moves)),
        moves=tuple(mine[:LAST_SHOWN]),
    )


def _moves_of(ret: Ret) -> list[StoneMove]:
    """Return the moves of a ret and of those going on beside it, the newest first."""
    rows = StoneMove.objects.of(ret.dam.demonstration).going()
    rows |= StoneMove.objects.of(ret.dam.demonstration).in_ret(ret)
    return list(rows.newest_first().select_related("stone", "entered_by"))


def lying_of(moves: Iterable[StoneMove]) -> Lying:
    """Add up what lies on a ret."""
    stones, kg = 0, Decimal(0)
    for move in moves:
        sign = 1 if move.way == StoneWay.ON else -1
        stones += sign * move.how_many
        kg += sign * move.kg
    return Lying(stones, kg)


def pile(ret: Ret, moves: Sequence[StoneMove]) -> list[PileLine]:
    """Sort the stones by size, the heaviest first: those of the list, then others."""
    on: defaultdict[tuple[int | None, Decimal | None], int] = defaultdict(int)
    beside: defaultdict[int | None, int] = defaultdict(int)
    usual = ret.dam.stone_kg
    for move in moves:
        stones = move.how_many if move.way == StoneWay.ON else -move.how_many
        if move.ret_id == ret.pk:
            on[move.stone_id, None if move.stone_id else move.each_kg] += stones
        else:
            beside[move.stone_id] += stones
    listed = list(Stone.objects.of(ret.dam.demonstration).heaviest_first())
    lines = [
        PileLine(one, one.weight_kg, on[one.pk, None], beside[one.pk]) for one in listed
    ]
    weights = {kg for (stone, kg), count in on.items() if kg and count}
    weights |= set() if listed else {usual}
    return lines + [
        PileLine(None, kg, on[None, kg], 0) for kg in sorted(weights, reverse=True)
    ]


def _advice(
    plan: StonePlan | None,
    lying: Lying,
    checks: Sequence[Check],
    moves: Sequence[StoneMove],
) -> sums.StoneAdvice | None:
    if plan is None:
        return None
    return sums.stone_advice(
        max(0.0, float(lying.kg)),
        plan.ballast,
        seen=plan.seen,
        is_up=_is_up(checks, moves),
    )


_OF_THE_WATER = (Finding.BUBBLES, Finding.STILL, Finding.RISEN, Finding.SUNK)


def _is_up(checks: Sequence[Check], moves: Sequence[StoneMove]) -> bool:
    """Tell whether the last look saw it risen, and no stone was put on since."""
    look = next((one for one in checks if one.finding in _OF_THE_WATER), None)
    if look is None or look.finding != Finding.RISEN:
        return False
    return not any(one.way == StoneWay.ON and one.at > look.at for one in moves)


def _in_words(advice: sums.StoneAdvice | None, dam: Dam) -> str:
    if advice is None:
        return str(UNKNOWN)
    each = float(dam.stone_kg)
    stones: dict[str, object] = {
        "each": dam.stone_kg,
        "low": sums.stones(advice.low_kg, each),
        "likely": sums.stones(advice.likely_kg, each),
        "high": sums.stones(advice.high_kg, each),
    }
    return str(STONE_ACTS[advice.act]) % stones
