"""Rain, wind, felt temperature, wet crop and lightning, and the call they lead to.

Everything public is imported from here. Each subject has a small module of its own:
names and felt temperatures, evapotranspiration, water on the crop, the lightning
rule, and the call that joins them.
"""

from heritage.calc._call import Call, Verdict, call
from heritage.calc._conditions import Conditions, Limits
from heritage.calc._feel import (
    RainClass,
    apparent_temperature,
    beaufort,
    heat_index,
    rain_class,
    wind_chill,
)
from heritage.calc._thunder import Flash, thunder_hold

__all__ = [
    "Call",
    "Conditions",
    "Flash",
    "Limits",
    "RainClass",
    "Verdict",
    "apparent_temperature",
    "beaufort",
    "call",
    "heat_index",
    "rain_class",
    "thunder_hold",
    "wind_chill",
]
