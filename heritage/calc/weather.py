"""Rain, wind, felt temperature, wet crop and lightning, and the call they lead to.

Everything public is imported from here. Each subject has a small module of its own:
names and felt temperatures, evapotranspiration, water on the crop, the lightning
rule, and the call that joins them.
"""

from heritage.calc._call import Call, Verdict, call
from heritage.calc._canopy import canopy_water, drying_hours
from heritage.calc._conditions import CallReason, Conditions, Limits
from heritage.calc._evapotranspiration import (
    reference_evapotranspiration_daily,
    reference_evapotranspiration_hourly,
    saturation_vapour_pressure,
    wet_canopy_evaporation,
    wind_at_2m,
)
from heritage.calc._feel import (
    RainClass,
    apparent_temperature,
    beaufort,
    felt_in_wind,
    heat_index,
    rain_class,
    wind_chill,
)
from heritage.calc._radiation import (
    daylight_hours,
    extraterrestrial_radiation,
    net_radiation_daily,
    solar_radiation,
)
from heritage.calc._thunder import Flash, thunder_hold

__all__ = [
    "Call",
    "CallReason",
    "Conditions",
    "Flash",
    "Limits",
    "RainClass",
    "Verdict",
    "apparent_temperature",
    "beaufort",
    "call",
    "canopy_water",
    "daylight_hours",
    "drying_hours",
    "extraterrestrial_radiation",
    "felt_in_wind",
    "heat_index",
    "net_radiation_daily",
    "rain_class",
    "reference_evapotranspiration_daily",
    "reference_evapotranspiration_hourly",
    "saturation_vapour_pressure",
    "solar_radiation",
    "thunder_hold",
    "wet_canopy_evaporation",
    "wind_at_2m",
    "wind_chill",
]
