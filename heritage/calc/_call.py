"""Join weather and light into go, hold or off, with the reasons."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from math import ceil, floor

from heritage.calc._conditions import UNKNOWN, Conditions, Limits
from heritage.calc._feel import (
    beaufort,
    felt_in_wind,
    heat_index,
    rain_class,
)


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
    reasons : tuple of str
        Plain sentences, the weightiest first. A needed reading that is missing counts
        as doubtful; what else is not known comes last.
    """

    verdict: Verdict
    reasons: tuple[str, ...]


DEFAULT_LIMITS = Limits()

_Finding = tuple[Verdict, str]
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
    checks = (_thunder, _light, _rain, _wind, _cold, _heat, _wet)
    findings = [found for check in checks for found in check(conditions, limits)]
    unknown = [name for name in UNKNOWN if getattr(conditions, name) is None]
    needed = [name for name in unknown if name in limits.needed]
    findings += [(Verdict.HOLD, UNKNOWN[name]) for name in needed]
    findings.sort(key=lambda finding: -_WEIGHT[finding[0]])
    verdicts = [verdict for verdict, _ in findings]
    verdict = max(verdicts, key=_WEIGHT.__getitem__, default=Verdict.HOLD)
    reasons = [reason for _, reason in findings]
    reasons += [UNKNOWN[name] for name in unknown if name not in needed]
    return Call(verdict, tuple(reasons))


def _rain(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if (rate := now.rain_mm_per_h) is None:
        return
    verdict = _grade(rate, limits.rain_doubtful_mm_per_h, limits.rain_stop_mm_per_h)
    name = rain_class(rate)
    what = (
        "No rain" if rate == 0 else f"{name.capitalize()} rain, {round(rate, 2):g} mm/h"
    )
    yield (
        verdict,
        f"{what}; doubtful from {limits.rain_doubtful_mm_per_h:g} and "
        f"off from {limits.rain_stop_mm_per_h:g} mm/h.",
    )


def _wind(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.wind_ms is None:
        return
    force = beaufort(now.wind_ms)
    yield (
        _grade(force, limits.wind_doubtful, limits.wind_stop),
        f"Wind of force {force} ({now.wind_ms:.0f} m/s); doubtful from "
        f"{limits.wind_doubtful} and off from {limits.wind_stop}.",
    )


def _thunder(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if (gap := now.flash_to_bang_s) is not None:
        yield _flash(gap, limits)
    if (since := now.minutes_since_thunder) is None:
        return
    if wait := _wait_min(now, limits):
        yield (
            Verdict.HOLD,
            f"Thunder was heard {floor(since)} minutes ago: stay in cover for "
            f"another {ceil(wait)} minutes at least.",
        )
    else:
        yield Verdict.GO, f"No thunder for {floor(since)} minutes."


def _flash(gap: float, limits: Limits) -> _Finding:
    seen = f"Thunder follows lightning by {round(gap, 1):g} s"
    near = f"{limits.near_s:g} s"
    if gap > limits.near_s:
        return Verdict.HOLD, f"{seen}: keep watch, and take cover at {near}."
    return (
        Verdict.OFF,
        f"{seen}, and {near} or less is near: stop and take cover. Stay there until "
        f"{limits.thunder_wait_min:g} minutes after the last thunder.",
    )


def _light(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.light_hours is None:
        return
    left = max(0.0, now.light_hours - _wait_min(now, limits) / 60)
    waited = " after the wait for thunder" if left < now.light_hours else ""
    yield (
        Verdict.OFF if left < limits.shortest_h or left == 0 else Verdict.GO,
        f"{floor(10 * left) / 10} h of light to work by{waited}; less than "
        f"{limits.shortest_h:g} h is too little.",
    )


def _cold(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.temp_c is None or now.wind_ms is None:
        return
    felt = felt_in_wind(now.temp_c, 3.6 * now.wind_ms)
    if felt < limits.cold_c:
        yield (
            Verdict.HOLD,
            f"It feels like {felt:.1f} °C, below {limits.cold_c:g} °C: too cold to "
            f"stand about for long.",
        )


def _heat(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if now.temp_c is None or now.relative_humidity is None:
        return
    try:
        felt = (heat_index(1.8 * now.temp_c + 32, now.relative_humidity) - 32) / 1.8
    except ValueError:
        yield (
            Verdict.OFF,
            f"{now.temp_c:.1f} °C at {now.relative_humidity:.0f} % humidity is hotter "
            f"than any chart goes: too hot to be out in.",
        )
        return
    verdict = _grade(felt, limits.heat_doubtful_c, limits.heat_stop_c)
    if verdict is not Verdict.GO:
        yield (
            verdict,
            f"It feels like {felt:.1f} °C in the shade; doubtful from "
            f"{limits.heat_doubtful_c:g} and off from {limits.heat_stop_c:g} °C.",
        )


def _wet(now: Conditions, limits: Limits) -> Iterator[_Finding]:
    if (water := now.canopy_wet_mm) is not None:
        wet = water >= limits.wet_crop_mm
        yield (
            Verdict.HOLD if wet else Verdict.GO,
            f"The crop carries {water:.1f} mm of water; wet from "
            f"{limits.wet_crop_mm:g} mm.",
        )
        return
    humidity = now.relative_humidity
    if humidity is not None and humidity >= limits.dew_humidity:
        yield (
            Verdict.HOLD,
            f"At {humidity:.0f} % humidity the crop is most likely wet with dew.",
        )


def _grade(value: float, doubtful: float, stop: float) -> Verdict:
    if value >= stop:
        return Verdict.OFF
    return Verdict.HOLD if value >= doubtful else Verdict.GO


def _wait_min(now: Conditions, limits: Limits) -> float:
    """Minutes still to wait in cover."""
    if now.minutes_since_thunder is None:
        return 0.0
    return max(0.0, limits.thunder_wait_min - now.minutes_since_thunder)
