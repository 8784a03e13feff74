"""The stones for the dam, sorted by how many people may lift each."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc.lifting import Reach, Screening, Zone, team_capacity
from heritage.safety.models import Stone
from heritage.safety.selectors.lifting import ANYBODY, MOST_PEOPLE, screened
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class StoneHolding:
    """How the stones are to be held: heights, reach and whose figure is read.

    A stone lies on the ground until somebody has raised the pile.
    """

    start: Zone = Zone.BELOW_MID_LEG
    end: Zone = Zone.ELBOW_TO_KNUCKLE
    reach: Reach = Reach.CLOSE
    who: str = ANYBODY


@dataclass(frozen=True, slots=True)
class StoneLine:
    """A stone, and how many lift it from each place where the pile may lie."""

    stone: Stone
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StoneGroup:
    """The stones that one, two or three may lift, or nobody (``people`` 0)."""

    people: int
    up_to_kg: float | None
    lines: tuple[StoneLine, ...]

    @property
    def stones(self) -> tuple[Stone, ...]:
        """The stones themselves."""
        return tuple(line.stone for line in self.lines)

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
        return _kg(self.stones)


@dataclass(frozen=True, slots=True)
class Pile:
    """Where the pile lies, and what one, two and three may lift from there."""

    where: str
    up_to_kg: tuple[float, ...]
    confirmed: bool
    left: int

    @property
    def left_words(self) -> str:
        """How many stones nobody may lift from there."""
        return str(self.left) if self.left else _("none")


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
    piles: tuple[Pile, ...]
    weight: StonesWeight

    @property
    def from_the_ground(self) -> str:
        """What the ground leaves to lift by hand, in one sentence."""
        left, all_ = self.piles[0].left, self.weight.how_many
        if left == all_:
            return _(
                "From the ground, none of these stones may be lifted by hand, even by "
                "three."
            )
        if left:
            return _(
                "From the ground, %(left)d of these %(all)d stones may not be lifted "
                "by hand, even by three."
            ) % {"left": left, "all": all_}
        return _("From the ground, each of these stones takes up to three people.")


# The ground, and two ways to raise the pile, by where the hands are at the lowest.
_PILES = (
    (gettext_lazy("on the ground"), Zone.BELOW_MID_LEG),
    (gettext_lazy("on a bench as high as your knees"), Zone.KNUCKLE_TO_MID_LEG),
    (gettext_lazy("on a bench as high as your hands hang"), Zone.ELBOW_TO_KNUCKLE),
)


def stone_page(demonstration: Demonstration, holding: StoneHolding) -> StonePage:
    """Sort the stones by the screening figure: one query."""
    rows = list(Stone.objects.of(demonstration).heaviest_first())
    limits, confirmed = _limits(holding)
    piles = tuple(_pile(str(where), zone, holding, rows) for where, zone in _PILES)
    groups: list[list[StoneLine]] = [[] for _limit in [None, *limits]]
    for stone in rows:
        people = tuple(_words(_people(stone, pile.up_to_kg)) for pile in piles)
        groups[_people(stone, limits)].append(StoneLine(stone, people))
    nobody, *sorted_ = (
        StoneGroup(n, limit, tuple(lines))
        for n, (limit, lines) in enumerate(zip([None, *limits], groups, strict=True))
    )
    return StonePage(
        demonstration,
        holding,
        confirmed,
        (*sorted_, nobody),
        piles,
        _weight(rows),
    )


def _limits(holding: StoneHolding) -> tuple[tuple[float, ...], bool]:
    """Return what one, two and three may lift, and whether that was read in print."""
    found = screened(holding.start, holding.end, holding.reach, holding.who)
    # Nothing puts the lift outside the screening here, so there is a figure.
    one = found.kg if isinstance(found, Screening) else 0.0
    limits = tuple(_together(one, people) for people in range(1, MOST_PEOPLE + 1))
    return limits, isinstance(found, Screening) and found.confirmed


def _pile(where: str, zone: Zone, holding: StoneHolding, rows: list[Stone]) -> Pile:
    """Return what may be lifted from a pile, and no lower on the way."""
    limits, confirmed = _limits(StoneHolding(zone, zone, holding.reach, holding.who))
    left = sum(stone.how_many for stone in rows if not _people(stone, limits))
    return Pile(where, limits, confirmed, left)


def _people(stone: Stone, limits: tuple[float, ...]) -> int:
    """Return how many it takes to lift a stone, or 0 where three are not enough."""
    fits = [n for n, kg in enumerate(limits, 1) if float(stone.weight_kg) <= kg]
    return fits[0] if fits else 0


def _words(people: int) -> str:
    return [_("nobody"), _("one"), _("two"), _("three")][people]


def stones_weight(demonstration: Demonstration) -> StonesWeight:
    """Return what the stones of a demonstration weigh together: one query."""
    return _weight(list(Stone.objects.of(demonstration).heaviest_first()))


def _together(one: float, people: int) -> float:
    figure = team_capacity([one] * people)
    return figure if isinstance(figure, float) else 0.0


def _weight(rows: list[Stone]) -> StonesWeight:
    guessed = [stone for stone in rows if not stone.weighed]
    return StonesWeight(_kg(rows), _kg(guessed), sum(one.how_many for one in rows))


def _kg(stones: Iterable[Stone]) -> Decimal:
    return sum((one.weight_kg * one.how_many for one in stones), Decimal(0))
