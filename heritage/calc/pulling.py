"""How fast the crop is pulled, and when the pulling will be done.

Everything public is imported from here: rates and what they take (``person_rate``,
``machine_rate``, ``tiers_needed``), what an evening comes to (``evening_capacity``,
``turnout_capacity``), and the forecast of the finish (``finish_forecast``, with
``evenings_needed`` as the closed form of the simplest case and ``simulate_finish``
for a picture).
"""

from heritage.calc._band import Band
from heritage.calc._evenings import EveningsNeeded, evenings_needed
from heritage.calc._finish import FinishForecast, finish_forecast, simulate_finish
from heritage.calc._outlook import Capacity, Evening
from heritage.calc._rates import (
    LODGED,
    MODERN_MACHINE,
    NOVICE,
    PRACTISED,
    WET,
    machine_rate,
    person_rate,
    tiers_needed,
    turnout_capacity,
)

__all__ = [
    "LODGED",
    "MODERN_MACHINE",
    "NOVICE",
    "PRACTISED",
    "WET",
    "Band",
    "Capacity",
    "Evening",
    "EveningsNeeded",
    "FinishForecast",
    "evenings_needed",
    "finish_forecast",
    "machine_rate",
    "person_rate",
    "simulate_finish",
    "tiers_needed",
    "turnout_capacity",
]
