"""The local record of dry and wet evenings, as the calls tell it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from heritage.gatherings.models import Call, Decision
from heritage.gatherings.selectors import evening_of
from heritage.season.models import Demonstration

# Placeholders, without a source: a wet day turns dry somewhat less often than not, a
# dry one stays dry two times in three. They weigh as much as ten evenings of our own.
WET_TO_DRY, DRY_TO_DRY, WORTH = 0.40, 0.65, 10


@dataclass(frozen=True, slots=True)
class Chance:
    """A chance, and how far it may be out."""

    likely: float
    spread: float

    def at(self, side: int) -> float:
        """Return the chance itself, or its low (-1) or high (1) end."""
        return min(1.0, max(0.0, self.likely + side * self.spread))


@dataclass(frozen=True, slots=True)
class DryRecord:
    """How dry days follow wet and dry ones, and what that rests on."""

    wet_to_dry: Chance
    dry_to_dry: Chance
    dry: int
    wet: int
    neighbours: int
    last_day: date | None
    last_was_dry: bool | None

    @property
    def evenings(self) -> int:
        return self.dry + self.wet


def local_record(demonstration: Demonstration, now: datetime) -> DryRecord:
    """Read the record from the calls made so far: one query.

    Going ahead is a dry evening and called off for rain a wet one; an evening held,
    or called off for another reason, says nothing.
    """
    calls = (
        Call.objects.of(demonstration)
        .newest_of_each()
        .filter(gathering__ends_at__lte=now)
        .select_related("gathering")
        .order_by("gathering__starts_at", "pk")
    )
    days: dict[date, bool] = {}
    for call in calls:
        dry = _was_dry(call)
        if dry is not None:
            days[evening_of(call.gathering.starts_at, demonstration)] = dry
    return dry_record(sorted(days.items()))


def dry_record(days: Sequence[tuple[date, bool]]) -> DryRecord:
    """Mix what was seen, days in their order, with the placeholders.

    Only evenings on neighbouring days tell how a dry day follows another.
    """
    seen: dict[bool, list[bool]] = {True: [], False: []}
    for (day, was_dry), (following, is_dry) in pairwise(days):
        if (following - day).days == 1:
            seen[was_dry].append(is_dry)
    last_day, last_was_dry = days[-1] if days else (None, None)
    dry = sum(was_dry for _, was_dry in days)
    return DryRecord(
        wet_to_dry=_mixed(WET_TO_DRY, seen[False]),
        dry_to_dry=_mixed(DRY_TO_DRY, seen[True]),
        dry=dry,
        wet=len(days) - dry,
        neighbours=len(seen[True]) + len(seen[False]),
        last_day=last_day,
        last_was_dry=last_was_dry,
    )


def _mixed(held: float, seen: list[bool]) -> Chance:
    weight = WORTH + len(seen)
    likely = (WORTH * held + sum(seen)) / weight
    return Chance(likely, (likely * (1 - likely) / (weight + 1)) ** 0.5)


def _was_dry(call: Call) -> bool | None:
    if call.decision == Decision.GO:
        return True
    wet = [
        call.conditions.get(name) or 0 for name in ("rain_mm_per_h", "canopy_wet_mm")
    ]
    said = f"{call.reasons} {call.note}".lower()
    rained = any(wet) or "rain" in said or "wet" in said
    return False if call.decision == Decision.OFF and rained else None
