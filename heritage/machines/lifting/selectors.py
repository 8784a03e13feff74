"""What one lift comes to: a figure to screen by, or why there is none."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc.lifting import (
    DoesNotApply,
    Duration,
    Grip,
    Lift,
    LiftTask,
    Outside,
    Reach,
    Screening,
    TooMany,
    Unscreened,
    Who,
    Zone,
    recommended_weight,
    screening_weight,
    team_capacity,
)
from heritage.common.parting import Part, parted
from heritage.common.words import in_words
from heritage.machines.lifting.words import (
    ANYBODY,
    NOT_BY_EQUATION,
    NOT_SCREENED,
    NOTES,
    TEAM_NOTES,
)
from heritage.machines.models import Stone
from heritage.season.models import Demonstration

MOST_PEOPLE: Final = 3
# What may put a lift outside one method or the other, as the page asks it.
Why = tuple[str | Promise, Unscreened | None, Outside | None]
WHY_NOT: Final[dict[str, Why]] = {
    "wet": (gettext_lazy("wet hands, or a wet stone"), Unscreened.POOR_GRIP, None),
    "water": (
        gettext_lazy("standing in water, on weed, mud or a wet plank"),
        Unscreened.UNSTABLE_STANCE,
        Outside.POOR_FOOTING,
    ),
    "one_hand": (gettext_lazy("with one hand"), Unscreened.ONE_HAND, Outside.ONE_HAND),
    "shifting": (
        gettext_lazy("the load shifts, or may break"),
        Unscreened.POOR_GRIP,
        Outside.UNSTABLE_LOAD,
    ),
    "weak": (
        gettext_lazy("somebody unwell, hurt, pregnant or not at full strength"),
        Unscreened.REDUCED_CAPACITY,
        None,
    ),
    "weather": (
        gettext_lazy("much hotter, colder, drier or damper than indoors"),
        None,
        Outside.HOT_COLD_OR_DAMP,
    ),
    "kneeling": (
        gettext_lazy("kneeling or sitting"),
        Unscreened.UNSTABLE_STANCE,
        Outside.SEATED_OR_KNEELING,
    ),
    "cramped": (gettext_lazy("too little room"), None, Outside.CRAMPED),
    "moving": (
        gettext_lazy("carrying, pushing or pulling it as well"),
        None,
        Outside.ON_THE_MOVE,
    ),
}


@dataclass(frozen=True, slots=True)
class StoneHolding:
    """How the stones are to be held: heights, reach and whose figure is read.

    A stone lies on the ground until somebody has raised the pile.
    """

    start: Zone = Zone.BELOW_MID_LEG
    end: Zone = Zone.ELBOW_TO_KNUCKLE
    reach: Reach = Reach.CLOSE
    who: str = ANYBODY

    @property
    def is_from_the_ground(self) -> bool:
        """Whether the hands start as low as a stone on the ground asks."""
        return self.start == Zone.BELOW_MID_LEG


@dataclass(frozen=True, slots=True)
class Measured:
    """Hands' heights and reach, measured with a tape in cm."""

    out: float
    start: float
    end: float
    duration: Duration
    grip: Grip


@dataclass(frozen=True, slots=True)
class LiftAsked:
    """What somebody asks about one lift."""

    weight_kg: float
    start: Zone
    end: Zone
    reach: Reach
    who: str
    per_minute: float
    twist_deg: float
    people: int
    why_not: Sequence[str] = ()
    measured: Measured | None = None

    @property
    def holding(self) -> StoneHolding:
        """How the stone is held."""
        return StoneHolding(self.start, self.end, self.reach, self.who)


@dataclass(frozen=True, slots=True)
class LiftAnswer:
    """A screening figure and an equation's figure, or why either does not apply."""

    asked: LiftAsked
    screening: Screening | DoesNotApply[Unscreened]
    together: float | DoesNotApply[TooMany] | None
    equation: Lift | DoesNotApply[Outside] | None

    @property
    def is_above(self) -> bool:
        """Whether the stone weighs more than the figure."""
        figure = self.together
        return isinstance(figure, float) and self.asked.weight_kg > figure

    @property
    def figure(self) -> float | None:
        """The screening figure in kg for all who lift together."""
        return self.together if isinstance(self.together, float) else None

    @property
    def confirmed(self) -> bool:
        """Whether the figure was read in print as it stands."""
        return isinstance(self.screening, Screening) and self.screening.confirmed

    @property
    def notes(self) -> tuple[str, ...]:
        """What was taken off the figure."""
        codes = self.screening.notes if isinstance(self.screening, Screening) else ()
        notes = [in_words(note, NOTES) for note in codes]
        if self.figure is not None and self.asked.people > 1:
            notes.append(str(TEAM_NOTES[self.asked.people]))
        return tuple(notes)

    @property
    def why_no_figure(self) -> tuple[str, ...]:
        """Why the screening does not cover the lift."""
        no = self.screening
        why = no.reasons if isinstance(no, DoesNotApply) else ()
        return tuple(str(NOT_SCREENED[reason]) for reason in why)

    @property
    def rwl_kg(self) -> float | None:
        """The equation's recommended weight in kg."""
        return self.equation.rwl_kg if isinstance(self.equation, Lift) else None

    @property
    def why_no_equation(self) -> tuple[str, ...]:
        """Why the equation does not cover the lift."""
        no = self.equation
        if not isinstance(no, DoesNotApply):
            return ()
        if self.asked.people > 1:
            return (_("The equation is for one person who lifts alone."),)
        return tuple(str(NOT_BY_EQUATION[reason]) for reason in no.reasons)


def lift_answer(asked: LiftAsked) -> LiftAnswer:
    """Answer what a lift comes to, by the screening and the equation."""
    screening = screened(
        asked.holding,
        per_minute=asked.per_minute,
        twist_deg=asked.twist_deg,
        why_not=asked.why_not,
    )
    together = None
    if isinstance(screening, Screening):
        together = team_capacity([screening.kg] * asked.people)
    return LiftAnswer(asked, screening, together, _equation(asked))


def screened(
    holding: StoneHolding,
    *,
    per_minute: float = 0.0,
    twist_deg: float = 0.0,
    why_not: Sequence[str] = (),
) -> Screening | DoesNotApply[Unscreened]:
    """Return the screening figure for one person; for anybody, the smaller of the two.

    The hands pass through every height between the start and the end.
    """
    heights = list(Zone)
    low, high = sorted([heights.index(holding.start), heights.index(holding.end)])
    outside = {WHY_NOT[name][1] for name in why_not} - {None}
    figures = [
        screening_weight(
            heights[low : high + 1],
            holding.reach,
            each,
            per_minute,
            twist_deg,
            outside=[one for one in outside if one],
        )
        for each in (Who if holding.who == ANYBODY else [Who(holding.who)])
    ]
    return min(figures, key=lambda one: one.kg if isinstance(one, Screening) else 0)


def _equation(asked: LiftAsked) -> Lift | DoesNotApply[Outside] | None:
    """Work the equation for the start and the end of a lift, and take the lower."""
    tape = asked.measured
    if tape is None:
        return None
    if asked.people > 1:
        return DoesNotApply(())
    outside = {WHY_NOT[name][2] for name in asked.why_not}
    figures = [
        recommended_weight(
            LiftTask(
                load=asked.weight_kg,
                horizontal=tape.out,
                vertical=height,
                travel=abs(tape.end - tape.start),
                asymmetry_deg=asked.twist_deg,
                lifts_per_minute=asked.per_minute,
                duration=tape.duration,
                grip=tape.grip,
                origin_vertical=tape.start,
                outside=frozenset(one for one in outside if one),
            )
        )
        for height in (tape.start, tape.end)
    ]
    return min(figures, key=lambda one: one.rwl_kg if isinstance(one, Lift) else 0)


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
    from_the_ground: bool = False

    @property
    def stones(self) -> tuple[Stone, ...]:
        """The stones themselves."""
        return tuple(line.stone for line in self.lines)

    @property
    def parts(self) -> list[Part[StoneLine]]:
        """The stones in parts by their marks."""
        return parted(self.lines, lambda line: line.stone.mark, is_tall=True)

    @property
    def heading(self) -> str:
        """What is done with these."""
        return {
            1: _("These may be lifted by one"),
            2: _("These by two, with one caller"),
            3: _("These by three, with one caller"),
        }.get(self.people) or self._not_lifted

    @property
    def _not_lifted(self) -> str:
        if self.from_the_ground:
            return _("None of these from the ground: slide, roll, lever or split them")
        return _("None of these: slide, roll, lever or split them")

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
        StoneGroup(n, limit, tuple(lines), holding.is_from_the_ground)
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


def people_for(weight_kg: float, start: Zone = Zone.BELOW_MID_LEG) -> int:
    """Say how many it takes to lift a stone from a height on dry ground, or 0."""
    limits, _confirmed = _limits(StoneHolding(start))
    return next((n for n, kg in enumerate(limits, 1) if weight_kg <= kg), 0)


def _limits(holding: StoneHolding) -> tuple[tuple[float, ...], bool]:
    """Return what one, two and three may lift, and whether that was read in print."""
    figure = screened(holding)
    # Nothing puts the lift outside the screening here, so there is a figure.
    one = figure.kg if isinstance(figure, Screening) else 0.0
    limits = tuple(_together(one, people) for people in range(1, MOST_PEOPLE + 1))
    return limits, isinstance(figure, Screening) and figure.confirmed


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


def _together(one: float, people: int) -> float:
    figure = team_capacity([one] * people)
    return figure if isinstance(figure, float) else 0.0


def _weight(rows: list[Stone]) -> StonesWeight:
    guessed = [stone for stone in rows if not stone.weighed]
    return StonesWeight(_kg(rows), _kg(guessed), sum(one.how_many for one in rows))


def _kg(stones: Iterable[Stone]) -> Decimal:
    return sum((one.weight_kg * one.how_many for one in stones), Decimal(0))
