"""What one lift comes to: a figure to screen by, or why there is none."""

from collections.abc import Sequence
from dataclasses import dataclass
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
    Unscreened,
    Who,
    Zone,
    recommended_weight,
    screening_weight,
    team_capacity,
)

ANYBODY: Final = "anybody"
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
        gettext_lazy(
            "somebody unwell, hurt, expecting a child or not at full strength"
        ),
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


@dataclass(frozen=True, slots=True)
class LiftAnswer:
    """A screening figure and an equation's figure, or why either does not apply."""

    asked: LiftAsked
    screening: Screening | DoesNotApply
    together: float | DoesNotApply | None
    equation: Lift | DoesNotApply | None

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
        found = self.screening.notes if isinstance(self.screening, Screening) else ()
        if self.figure is not None and self.asked.people > 1:
            found = (*found, str(_TEAM_NOTES[self.asked.people]))
        return found

    @property
    def why_no_figure(self) -> tuple[str, ...]:
        """Why the screening does not cover the lift."""
        return (
            self.screening.reasons if isinstance(self.screening, DoesNotApply) else ()
        )

    @property
    def rwl_kg(self) -> float | None:
        """The equation's recommended weight in kg."""
        return self.equation.rwl_kg if isinstance(self.equation, Lift) else None

    @property
    def why_no_equation(self) -> tuple[str, ...]:
        """Why the equation does not cover the lift."""
        no = isinstance(self.equation, DoesNotApply)
        return self.equation.reasons if no else ()  # type: ignore[union-attr]


_TEAM_NOTES = {
    2: gettext_lazy("Two lift two thirds of what they lift one by one (HSE L23)."),
    3: gettext_lazy("Three lift half of what they lift one by one (HSE L23)."),
}


def lift_answer(asked: LiftAsked) -> LiftAnswer:
    """Answer what a lift comes to, by the screening and the equation."""
    screening = screened(
        asked.start,
        asked.end,
        asked.reach,
        asked.who,
        per_minute=asked.per_minute,
        twist_deg=asked.twist_deg,
        why_not=asked.why_not,
    )
    together = None
    if isinstance(screening, Screening):
        together = team_capacity([screening.kg] * asked.people)
    return LiftAnswer(asked, screening, together, _equation(asked))


def screened(
    start: Zone,
    end: Zone,
    reach: Reach,
    who: str,
    *,
    per_minute: float = 0.0,
    twist_deg: float = 0.0,
    why_not: Sequence[str] = (),
) -> Screening | DoesNotApply:
    """Return the screening figure for one person; for anybody, the smaller of the two.

    The hands pass through every height between the start and the end.
    """
    heights = list(Zone)
    low, high = sorted([heights.index(start), heights.index(end)])
    outside = {WHY_NOT[name][1] for name in why_not} - {None}
    found = [
        screening_weight(
            heights[low : high + 1],
            reach,
            each,
            per_minute,
            twist_deg,
            outside=[one for one in outside if one],
        )
        for each in (Who if who == ANYBODY else [Who(who)])
    ]
    return min(found, key=lambda one: one.kg if isinstance(one, Screening) else 0)


def _equation(asked: LiftAsked) -> Lift | DoesNotApply | None:
    """Work the equation for the start and the end of a lift, and take the lower."""
    tape = asked.measured
    if tape is None:
        return None
    if asked.people > 1:
        return DoesNotApply((_("The equation is for one person who lifts alone."),))
    outside = {WHY_NOT[name][2] for name in asked.why_not}
    found = [
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
    return min(found, key=lambda one: one.rwl_kg if isinstance(one, Lift) else 0)
