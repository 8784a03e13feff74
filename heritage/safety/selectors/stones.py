"""The stones for the dam, sorted by how many people may lift each."""

from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from heritage.calc.lifting import Reach, Screening, Zone, team_capacity
from heritage.safety.models import Stone
from heritage.safety.selectors.lifting import ANYBODY, MOST_PEOPLE, screened
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class StoneHolding:
    """How the stones are to be held: heights, reach and whose figure is read."""

    start: Zone = Zone.KNUCKLE_TO_MID_LEG
    end: Zone = Zone.ELBOW_TO_KNUCKLE
    reach: Reach = Reach.CLOSE
    who: str = ANYBODY


@dataclass(frozen=True, slots=True)
class StoneGroup:
    """The stones that one, two or three may lift, or nobody (``people`` 0)."""

    people: int
    up_to_kg: float | None
    stones: tuple[Stone, ...]

    @property
    def heading(self) -> str:
        """What is done with these."""
        return {
            1: _("These may be lifted by one"),
            2: _("These by two, with one caller"),
            3: _("These by three, with one caller"),
        }.get(self.people, _("These not: lever, roll or split them"))

    @property
    def how_many(self) -> int:
        """How many stones there are in it."""
        return sum(stone.how_many for stone in self.stones)

    @property
    def kg(self) -> Decimal:
        """What they weigh together in kg."""
        return sum((one.weight_kg * one.how_many for one in self.stones), Decimal(0))


@dataclass(frozen=True, slots=True)
class StonesWeight:
    """What all the stones weigh together, and how much of that is guessed, in kg."""

    kg: Decimal
    guessed_kg: Decimal
    how_many: int


@dataclass(frozen=True, slots=True)
class StonePage:
    """The stones of a demonstration in their groups."""

    demonstration: Demonstration
    holding: StoneHolding
    confirmed: bool
    groups: tuple[StoneGroup, ...]
    weight: StonesWeight


def stone_page(demonstration: Demonstration, holding: StoneHolding) -> StonePage:
    """Sort the stones by the screening figure: one query."""
    rows = list(Stone.objects.of(demonstration).heaviest_first())
    found = screened(holding.start, holding.end, holding.reach, holding.who)
    # Nothing puts the lift outside the screening here, so there is a figure.
    one = found.kg if isinstance(found, Screening) else 0.0
    limits = [_together(one, people) for people in range(1, MOST_PEOPLE + 1)]
    groups: list[list[Stone]] = [[] for _limit in [*limits, None]]
    for stone in rows:
        fits = [n for n, limit in enumerate(limits) if float(stone.weight_kg) <= limit]
        groups[fits[0] if fits else -1].append(stone)
    sorted_ = [
        StoneGroup(n + 1, limit, tuple(groups[n])) for n, limit in enumerate(limits)
    ]
    return StonePage(
        demonstration,
        holding,
        isinstance(found, Screening) and found.confirmed,
        (*sorted_, StoneGroup(0, None, tuple(groups[-1]))),
        _weight(rows),
    )


def stones_weight(demonstration: Demonstration) -> StonesWeight:
    """Return what the stones of a demonstration weigh together: one query."""
    return _weight(list(Stone.objects.of(demonstration).heaviest_first()))


def _together(one: float, people: int) -> float:
    figure = team_capacity([one] * people)
    return figure if isinstance(figure, float) else 0.0


def _weight(rows: list[Stone]) -> StonesWeight:
    guessed = [stone for stone in rows if not stone.weighed]
    return StonesWeight(
        StoneGroup(0, None, tuple(rows)).kg,
        StoneGroup(0, None, tuple(guessed)).kg,
        StoneGroup(0, None, tuple(rows)).how_many,
    )
