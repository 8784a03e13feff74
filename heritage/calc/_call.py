"""Join weather and light into go, hold or off, with the reasons."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, floor

from heritage.calc._conditions import UNKNOWN, CallReason, Conditions, Limits
from heritage.calc._feel import (
    RainClass,
    beaufort,
    felt_in_wind,
    heat_index,
    rain_class,
)
from heritage.calc.reasons import Reason


class Verdict(StrEnum):
    """What the readings come to."""

    GO = "go"
    HOLD = "hold"
    OFF = "off"


@dataclass(frozen=True, slots=True)
class Call:
    """A verdict with its reasons.

    Attributes
    ----------
    verdict : Verdict
        Go, hold or off. It advises; the person in charge decides.
    reasons : tuple of Reason
        Codes with their figures, the weightiest first. A needed reading that is
        missing counts as doubtful; what else is not known comes last.
    """

    verdict: Verdict
    reasons: tuple[Reason[CallReason], ...]


DEFAULT_LIMITS = Limits()

_Finding = tuple[Verdict, Reason[CallReason]]
_RAIN = {
    RainClass.NONE: CallReason.NO_RAIN,
    RainClass.SLIGHT: CallReason.SLIGHT_RAIN,
    RainClass.MODERATE: CallReason.MODERATE_RAIN,
    RainClass.HEAVY: CallReason.HEAVY_RAIN,
}
_WEIGHT = {Verdict.GO: 0, Verdict.HOLD: 1, Verdict.OFF: 2}


def call(conditions: Conditions, limits: Limits = DEFAULT_LIMITS) -> Call:
    """Weigh the weather and the light for one gathering.

    Parameters
    ----------
    conditions : Conditions
        What is known.
    limits : Limits
        Where each reading begins to be doubtful and where it stops the work.

    Returns
    -------
    Call
        Off if any reading stops the work; else hold if any is doubtful or a needed
        one is missing; else go. Thunder holds until its wait is over, and calls it
        off if too little light would be left by then.
    """
    checks = (_thunder, _light, _rain, _wind, _cold, _heat, _wet, _crop)
    findings = [finding for check in checks for finding in check(conditions, limits)]
    unknown = [name for name in UNKNOWN if getattr(conditions, name) is None]
    needed = [name for name in unknown if name in limits.needed]
    findings += [(Verdict.HOLD, Reason(UNKNOWN[name])) for name in needed]
    findings.sort(key=lambda finding: -_WEIGHT[finding[0]])
    verdicts = [verdict for verdict, _ in findings]
    verdict = max(verdicts, key=_WEIGHT.__getitem__, default=Verdict.HOLD)
    reasons = [reason for _, reason in findings]
    reasons += _lodged(conditions)
    reasons += [Reason(UNKNOWN[name]) for name in unknown if name not in needed]
    return Call(verdict, tuple(reasons))


def _rain(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if (rate := now.rain_mm_per_h) is None:
        return
    doubtful, off = limits.rain_doubtful_mm_per_h, limits.rain_stop_mm_per_h
    figures = {"mm_per_h": round(rate, 2), "doubtful": doubtful, "off": off}
    code = _RAIN[rain_class(rate)]
    yield _grade(rate, doubtful, off), Reason(code, figures)


def _wind(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.wind_ms is None:
        return
    force = beaufort(now.wind_ms)
    doubtful, off = limits.wind_doubtful, limits.wind_stop
    figures = {"force": force, "wind_ms": now.wind_ms, "doubtful": doubtful, "off": off}
    yield _grade(force, doubtful, off), Reason(CallReason.WIND, figures)


def _thunder(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if (gap := now.flash_to_bang_s) is not None:
        yield _flash(gap, limits)
    if (since := now.minutes_since_thunder) is None:
        return
    if wait := _wait_min(now, limits):
        figures = {"minutes": floor(since), "wait": ceil(wait)}
        yield Verdict.HOLD, Reason(CallReason.THUNDER, figures)
    else:
        yield Verdict.GO, Reason(CallReason.NO_THUNDER, {"minutes": floor(since)})


def _flash(gap: float, limits: Limits) -> _Finding:
    near = gap <= limits.near_s
    code = CallReason.LIGHTNING_NEAR if near else CallReason.LIGHTNING_FAR
    figures = {
        "gap": round(gap, 1),
        "near": limits.near_s,
        "wait": limits.thunder_wait_min,
    }
    return Verdict.OFF if near else Verdict.HOLD, Reason(code, figures)


def _light(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.light_hours is None:
        return
    left = max(0.0, now.light_hours - _wait_min(now, limits) / 60)
    waits = left < now.light_hours
    yield (
        Verdict.OFF if left < limits.shortest_h or left == 0 else Verdict.GO,
        Reason(
            CallReason.LIGHT_AFTER_THUNDER if waits else CallReason.LIGHT,
            {"hours": floor(10 * left) / 10, "fewest": limits.shortest_h},
        ),
    )


def _cold(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.temp_c is None or now.wind_ms is None:
        return
    felt = felt_in_wind(now.temp_c, 3.6 * now.wind_ms)
    if felt < limits.cold_c:
        figures = {"felt_c": felt, "below": limits.cold_c}
        yield Verdict.HOLD, Reason(CallReason.COLD, figures)


def _heat(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.temp_c is None or now.relative_humidity is None:
        return
    try:
        felt = (heat_index(1.8 * now.temp_c + 32, now.relative_humidity) - 32) / 1.8
    except ValueError:
        figures = {"temp_c": now.temp_c, "humidity": now.relative_humidity}
        yield Verdict.OFF, Reason(CallReason.BEYOND_THE_CHART, figures)
        return
    doubtful, off = limits.heat_doubtful_c, limits.heat_stop_c
    verdict = _grade(felt, doubtful, off)
    if verdict is not Verdict.GO:
        figures = {"felt_c": felt, "doubtful": doubtful, "off": off}
        yield verdict, Reason(CallReason.HEAT, figures)


def _wet(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if (water := now.canopy_wet_mm) is not None:
        wet = limits.wet_crop_mm
        figures = {"water_mm": water, "wet": wet}
        verdict = Verdict.HOLD if water >= wet else Verdict.GO
        yield verdict, Reason(CallReason.WATER_ON_CROP, figures)
        return
    humidity = now.relative_humidity
    if humidity is not None and humidity >= limits.dew_humidity:
        yield Verdict.HOLD, Reason(CallReason.DEW, {"humidity": humidity})


def _crop(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.crop_is_green:
        yield Verdict.HOLD, Reason(CallReason.GREEN_CROP)
    if now.ground_is_soft:
        yield Verdict.HOLD, Reason(CallReason.SOFT_GROUND)


def _lodged(now: Conditions) -> list[Reason[CallReason]]:
    """Say how much lies flat; that alone neither stops the work nor lets it go on."""
    if not now.lodged_percent:
        return []
    return [Reason(CallReason.LODGED, {"percent": now.lodged_percent})]


def _grade(value: float, doubtful: float, stop: float) -> Verdict:
    if value >= stop:
        return Verdict.OFF
    return Verdict.HOLD if value >= doubtful else Verdict.GO


def _wait_min(now: Conditions, limits: Limits) -> float:
    """Minutes still to wait in cover."""
    if now.minutes_since_thunder is None:
        return 0.0
    return max(0.0, limits.thunder_wait_min - now.minutes_since_thunder)
