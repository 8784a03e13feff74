"""What the figures advise for a gathering."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from heritage.calc.weather import Call, Conditions, call
from heritage.gatherings.models import Decision, Gathering
from heritage.gatherings.selectors.light import light_of

READINGS = (
    "rain_mm_per_h",
    "wind_ms",
    "temp_c",
    "relative_humidity",
    "minutes_since_thunder",
    "flash_to_bang_s",
    "canopy_wet_mm",
)


@dataclass(frozen=True, slots=True)
class Advice:
    """The figures' advice, its reasons, and the readings it was weighed from."""

    decision: Decision
    reasons: tuple[str, ...]
    conditions: dict[str, float]


def advise(
    gathering: Gathering, readings: Mapping[str, float | None], now: datetime
) -> Advice:
    """Weigh the readings, joined with the light that is left."""
    known = {name: readings.get(name) for name in READINGS}
    start = max(now, gathering.starts_at)
    known["light_hours"] = light_of(gathering).hours_left(start, gathering.ends_at)
    found: Call = call(Conditions(**known))
    conditions = {
        name: round(value, 3) for name, value in known.items() if value is not None
    }
    return Advice(Decision(found.verdict.value), found.reasons, conditions)
