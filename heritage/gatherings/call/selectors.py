"""What the figures advise for a gathering."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from heritage.calc.weather import Call, Conditions, call
from heritage.common.words import in_words
from heritage.gatherings.call.words import CALL_WORDS
from heritage.gatherings.ground.selectors import light_of
from heritage.gatherings.models import Decision, Gathering, is_advice
from heritage.growth.selectors import lodged_percent, pulling_window
from heritage.season.models import Stage

READINGS = (
    "rain_mm_per_h",
    "wind_ms",
    "temp_c",
    "relative_humidity",
    "minutes_since_thunder",
    "flash_to_bang_s",
    "canopy_wet_mm",
    "lodged_percent",
    "crop_is_green",
    "ground_is_soft",
)


@dataclass(frozen=True, slots=True)
class Advice:
    """The figures' advice, its reasons, and the readings it was weighed from."""

    decision: Decision
    reasons: tuple[str, ...]
    conditions: dict[str, float]

    @property
    def is_given(self) -> bool:
        """Whether anything but the light is known: else there is nothing to advise."""
        return is_advice(self.decision, self.conditions)


def crop_seen(gathering: Gathering) -> dict[str, Any]:
    """Return what is known of the crop to begin a call with: five queries at most.

    Green, if the evening lies before the likely window; how much lies flat, if
    somebody looked within the fortnight.
    """
    if gathering.stage != Stage.PULLING:
        return {}
    where, plot = gathering.demonstration, gathering.plot
    day = gathering.starts_at.astimezone(where.zone).date()
    window = pulling_window(where, plot)
    return {
        "crop_is_green": "1" if window and day < window.first else "",
        "lodged_percent": lodged_percent(plot, where, day),
    }


def advise(
    gathering: Gathering,
    readings: Mapping[str, float | None],
    now: datetime,
    *,
    thunder_at: datetime | None = None,
) -> Advice:
    """Weigh the readings, joined with the light that is left.

    Where thunder is forecast for ``thunder_at``, the figures never advise to go
    ahead: that is our own rule.
    """
    known: dict[str, Any] = {name: readings.get(name) for name in READINGS}
    start = max(now, gathering.starts_at)
    known["light_hours"] = light_of(gathering).hours_left(start, gathering.ends_at)
    result: Call = call(Conditions(**known))
    conditions = {
        name: round(float(value), 3)
        for name, value in known.items()
        if value is not None
    }
    decision = Decision(result.verdict.value)
    reasons = tuple(in_words(reason, CALL_WORDS) for reason in result.reasons)
    if thunder_at:
        at = f"{thunder_at.astimezone(gathering.demonstration.zone):%H:%M}"
        reasons += (_("Thunder is forecast for %s: have shelter ready.") % at,)
        decision = Decision.HOLD if decision == Decision.GO else decision
    return Advice(decision, reasons, conditions)
