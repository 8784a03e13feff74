"""What a call is weighed from: the readings, and the limits set for them."""

from dataclasses import dataclass, fields
from enum import StrEnum

from heritage.calc._checks import air_temperature, finite, not_negative, percent


class CallReason(StrEnum):
    """What a call is put down to, with the names of its figures."""

    # mm_per_h (but for none), doubtful, off.
    NO_RAIN = "no_rain"
    SLIGHT_RAIN = "slight_rain"
    MODERATE_RAIN = "moderate_rain"
    HEAVY_RAIN = "heavy_rain"
    # force, wind_ms, doubtful, off.
    WIND = "wind"
    # minutes since it was heard; wait, in minutes.
    THUNDER = "thunder"
    NO_THUNDER = "no_thunder"
    # gap and near in seconds, wait in minutes.
    LIGHTNING_NEAR = "lightning_near"
    LIGHTNING_FAR = "lightning_far"
    # hours left, fewest.
    LIGHT = "light"
    LIGHT_AFTER_THUNDER = "light_after_thunder"
    # felt_c, below.
    COLD = "cold"
    # felt_c, doubtful, off.
    HEAT = "heat"
    # temp_c, humidity.
    BEYOND_THE_CHART = "beyond_the_chart"
    # water_mm, wet.
    WATER_ON_CROP = "water_on_crop"
    # humidity.
    DEW = "dew"
    # Of the crop and the ground. percent that lies flat.
    LODGED = "lodged"
    GREEN_CROP = "green_crop"
    SOFT_GROUND = "soft_ground"
    # A reading that is missing.
    RAIN_UNKNOWN = "rain_unknown"
    WIND_UNKNOWN = "wind_unknown"
    TEMPERATURE_UNKNOWN = "temperature_unknown"
    HUMIDITY_UNKNOWN = "humidity_unknown"
    THUNDER_UNKNOWN = "thunder_unknown"
    LIGHT_UNKNOWN = "light_unknown"
    WETNESS_UNKNOWN = "wetness_unknown"


UNKNOWN = {
    "rain_mm_per_h": CallReason.RAIN_UNKNOWN,
    "wind_ms": CallReason.WIND_UNKNOWN,
    "temp_c": CallReason.TEMPERATURE_UNKNOWN,
    "relative_humidity": CallReason.HUMIDITY_UNKNOWN,
    "minutes_since_thunder": CallReason.THUNDER_UNKNOWN,
    "light_hours": CallReason.LIGHT_UNKNOWN,
    "canopy_wet_mm": CallReason.WETNESS_UNKNOWN,
}

_PAIRS = (
    ("rain_doubtful_mm_per_h", "rain_stop_mm_per_h"),
    ("wind_doubtful", "wind_stop"),
    ("heat_doubtful_c", "heat_stop_c"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What is known of the weather and the light; ``None`` for what is not known.

    Attributes
    ----------
    rain_mm_per_h : float or None
        Rate of rain. [mm/h]
    wind_ms : float or None
        Mean wind at 10 m. [m/s]
    temp_c : float or None
        Air temperature. [°C]
    relative_humidity : float or None
        Relative humidity, 0 to 100. [%]
    minutes_since_thunder : float or None
        Time since thunder was last heard. [min]
    flash_to_bang_s : float or None
        Seconds from the latest flash to its thunder. [s]
    light_hours : float or None
        Length of the light window that is left. [h]
    canopy_wet_mm : float or None
        Water standing on the crop. [mm]
    lodged_percent : float or None
        Share of the crop that lies flat, 0 to 100: said, but no reason to wait. [%]
    crop_is_green, ground_is_soft : bool or None
        Whether the crop is not fit to pull yet; whether the ground gives under a
        cart. Each makes it doubtful.
    """

    rain_mm_per_h: float | None = None
    wind_ms: float | None = None
    temp_c: float | None = None
    relative_humidity: float | None = None
    minutes_since_thunder: float | None = None
    flash_to_bang_s: float | None = None
    light_hours: float | None = None
    canopy_wet_mm: float | None = None
    lodged_percent: float | None = None
    crop_is_green: bool | None = None
    ground_is_soft: bool | None = None

    def __post_init__(self) -> None:
        """Refuse readings that cannot be."""
        for field in fields(self):
            value = getattr(self, field.name)
            if value is None:
                continue
            if field.name == "temp_c":
                air_temperature(value, field.name)
            elif field.name in ("relative_humidity", "lodged_percent"):
                percent(value, field.name)
            else:
                not_negative(value, field.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Where a reading begins to be doubtful, and where it stops the work.

    The classes behind them are published; the choice among them is a judgement, so
    each one is a setting.

    Attributes
    ----------
    rain_doubtful_mm_per_h, rain_stop_mm_per_h : float
        Slight rain by the Met Office's classes ends at 0.5. [mm/h]
    wind_doubtful, wind_stop : int
        At 6 umbrellas are hard to use, at 7 it is hard to walk. [Beaufort]
    cold_c : float
        What the air feels like in wind, below which it is doubtful. [°C]
    heat_doubtful_c, heat_stop_c : float
        Heat index, from memory of the US National Weather Service's bands (90 and
        103 °F). [°C]
    dew_humidity : float
        Humidity from which a canopy is most likely wet, where nobody has looked
        (Sentelhas: right 0.87 to 0.92 of the time in four climates). [%]
    wet_crop_mm : float
        Water on the crop from which it is doubtful; no source. [mm]
    near_s, thunder_wait_min : float
        The thirty-thirty rule. [s], [min]
    shortest_h : float
        The least light worth calling people out for; no source. [h]
    needed : tuple of str
        Readings without which it is never a go: names from ``Conditions``.
    """

    rain_doubtful_mm_per_h: float = 0.1
    rain_stop_mm_per_h: float = 0.5
    wind_doubtful: int = 6
    wind_stop: int = 7
    cold_c: float = 5.0
    heat_doubtful_c: float = 32.0
    heat_stop_c: float = 39.0
    dew_humidity: float = 90.0
    wet_crop_mm: float = 0.2
    near_s: float = 30.0
    thunder_wait_min: float = 30.0
    shortest_h: float = 1.0
    needed: tuple[str, ...] = ("rain_mm_per_h", "wind_ms", "light_hours")

    def __post_init__(self) -> None:
        """Refuse limits that cannot be, and limits in the wrong order."""
        for field in fields(self):
            if field.name == "cold_c":
                finite(self.cold_c, field.name)
            elif field.name != "needed":
                not_negative(getattr(self, field.name), field.name)
        for doubtful, stop in _PAIRS:
            if getattr(self, doubtful) > getattr(self, stop):
                raise ValueError(f"{doubtful} must not be above {stop}")
        if strange := set(self.needed) - set(UNKNOWN):
            raise ValueError(f"needed must name readings, not {sorted(strange)}")
