"""What is shown back while a demonstration is being set up: its first evening."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from heritage.calc.pulling import person_rate
from heritage.gatherings.ground.selectors import Light, light_of_day
from heritage.season.models import Demonstration

# How many beginners the sentence speaks of.
A_CREW = 10


@dataclass(frozen=True, slots=True)
class Pull:
    """The ground that a crew of beginners may clear in the light there is."""

    people: int
    low_m2: int
    likely_m2: int
    high_m2: int
    field_m2: int | None

    @property
    def percent(self) -> int | None:
        """The likely share of the field, if its size was given."""
        if not self.field_m2:
            return None
        return min(100, max(1, round(100 * self.likely_m2 / self.field_m2)))


@dataclass(frozen=True, slots=True)
class FirstEvening:
    """A day's light at a place, and what the times asked may pull."""

    light: Light
    runs_past: bool = False
    pull: Pull | None = None


def first_evening(
    place: Demonstration,
    day: date,
    span: tuple[datetime, datetime] | None,
    area_m2: Decimal | None,
) -> FirstEvening:
    """Say what an evening there would be: its light, and what it may pull.

    The place is not kept yet. The rate is that of beginners in flax, one for all.
    """
    light = light_of_day(place, day)
    if span is None:
        return FirstEvening(light)
    hours = light.hours_left(*span)
    pull = (
        _pull(hours, area_m2) if hours > 0 and place.crop.casefold() == "flax" else None
    )
    return FirstEvening(light, bool(light.stop and span[1] > light.stop), pull)


def _pull(hours: float, area_m2: Decimal | None) -> Pull:
    rate = person_rate(novices=1.0)
    low, likely, high = (
        _round(A_CREW * hours * each) for each in (rate.low, rate.likely, rate.high)
    )
    return Pull(A_CREW, low, likely, high, int(area_m2) if area_m2 else None)


def _round(ground_m2: float) -> int:
    """Round a guess to what it is worth: tens of square metres."""
    return max(10, round(ground_m2 / 10) * 10)
