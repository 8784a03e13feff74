"""How fast the crop is pulled, and when the pulling will be done.

Everything public is imported from here: rates and what they take (``person_rate``,
``machine_rate``, ``tiers_needed``, ``evening_capacity``), and the forecast of the
finish (``finish_forecast``, with ``evenings_needed`` as its closed form for the
simplest case and ``simulate_finish`` for a picture).
"""

from heritage.calc._finish import (
    Capacity,
    Evening,
    FinishForecast,
    finish_forecast,
    simulate_finish,
)

__all__ = [
    "Capacity",
    "Evening",
    "FinishForecast",
    "finish_forecast",
    "simulate_finish",
]
