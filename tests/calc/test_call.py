"""An evening is called with its reasons, and nothing unknown is taken for fine."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.reasons import Reason
from heritage.calc.weather import CallReason, Conditions, Limits, Verdict, call
from tests.calc.strategies import humidities, temperatures_c, winds_ms

FINE = Conditions(
    rain_mm_per_h=0,
    wind_ms=3,
    temp_c=17,
    relative_humidity=70,
    minutes_since_thunder=240,
    light_hours=2.5,
    canopy_wet_mm=0,
)
ORDER = [Verdict.GO, Verdict.HOLD, Verdict.OFF]


def verdict(**changes):
    return call(replace(FINE, **changes)).verdict


def first_reason(**changes):
    return call(replace(FINE, **changes)).reasons[0]


def test_a_fine_evening_goes_ahead_and_says_why():
    found = call(FINE)
    assert found.verdict == "go"
    assert found.reasons == (
        Reason(CallReason.NO_THUNDER, {"minutes": 240}),
        Reason(CallReason.LIGHT, {"hours": 2.5, "fewest": 1}),
        Reason(CallReason.NO_RAIN, {"mm_per_h": 0, "doubtful": 0.1, "off": 0.5}),
        Reason(CallReason.WIND, {"force": 2, "wind_ms": 3, "doubtful": 6, "off": 7}),
        Reason(CallReason.WATER_ON_CROP, {"water_mm": 0, "wet": 0.2}),
    )


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({"rain_mm_per_h": 0.09}, "go"),
        ({"rain_mm_per_h": 0.1}, "hold"),
        ({"rain_mm_per_h": 0.5}, "off"),
        ({"wind_ms": 10.7}, "go"),
        ({"wind_ms": 10.8}, "hold"),
        ({"wind_ms": 13.9}, "off"),
        ({"flash_to_bang_s": 30}, "off"),
        ({"flash_to_bang_s": 31}, "hold"),
        ({"minutes_since_thunder": 29}, "hold"),
        ({"minutes_since_thunder": 30}, "go"),
        ({"minutes_since_thunder": 0, "light_hours": 1.4}, "off"),
        ({"light_hours": 0.9}, "off"),
        ({"light_hours": 0}, "off"),
        ({"canopy_wet_mm": 0.2}, "hold"),
        ({"canopy_wet_mm": 0, "relative_humidity": 95}, "go"),
        ({"canopy_wet_mm": None, "relative_humidity": 90}, "hold"),
        ({"canopy_wet_mm": None, "relative_humidity": 89}, "go"),
        ({"temp_c": 6, "wind_ms": 8}, "hold"),
        ({"temp_c": 11, "wind_ms": 9, "relative_humidity": 40}, "go"),
        ({"temp_c": 6, "wind_ms": 0, "relative_humidity": 85}, "go"),
        ({"temp_c": 4.9, "wind_ms": 0, "relative_humidity": 85}, "hold"),
        ({"temp_c": 5.1, "wind_ms": 1}, "hold"),
        ({"temp_c": 31, "relative_humidity": 60}, "hold"),
        ({"temp_c": 35, "relative_humidity": 60}, "off"),
    ],
)
def test_each_reading_has_its_limits(changes, expected):
    assert verdict(**changes) == expected


@pytest.mark.parametrize(
    ("changes", "code", "figures"),
    [
        (
            {"rain_mm_per_h": 0.3},
            CallReason.SLIGHT_RAIN,
            {"mm_per_h": 0.3, "doubtful": 0.1, "off": 0.5},
        ),
        (
            {"rain_mm_per_h": 2.345},
            CallReason.MODERATE_RAIN,
            {"mm_per_h": 2.35, "doubtful": 0.1, "off": 0.5},
        ),
        (
            {"rain_mm_per_h": 6},
            CallReason.HEAVY_RAIN,
            {"mm_per_h": 6, "doubtful": 0.1, "off": 0.5},
        ),
        (
            {"flash_to_bang_s": 20},
            CallReason.LIGHTNING_NEAR,
            {"gap": 20, "near": 30, "wait": 30},
        ),
        (
            {"flash_to_bang_s": 45},
            CallReason.LIGHTNING_FAR,
            {"gap": 45, "near": 30, "wait": 30},
        ),
        (
            {"minutes_since_thunder": 12},
            CallReason.THUNDER,
            {"minutes": 12, "wait": 18},
        ),
        (
            {"minutes_since_thunder": 0, "light_hours": 1.2},
            CallReason.LIGHT_AFTER_THUNDER,
            {"hours": 0.7, "fewest": 1},
        ),
        (
            {"canopy_wet_mm": None, "relative_humidity": 93},
            CallReason.DEW,
            {"humidity": 93},
        ),
        (
            {"temp_c": 2, "wind_ms": 10},
            CallReason.COLD,
            {"felt_c": pytest.approx(-4.4, abs=0.05), "below": 5},
        ),
        (
            {"temp_c": 36, "relative_humidity": 60},
            CallReason.HEAT,
            {"felt_c": pytest.approx(48.1, abs=0.05), "doubtful": 32, "off": 39},
        ),
    ],
)
def test_the_weightiest_reason_comes_first(changes, code, figures):
    assert first_reason(**changes) == Reason(code, figures)


def test_times_are_rounded_to_the_safe_side():
    """Thunder was no longer ago, the wait is no shorter, the light lasts no longer."""
    now = replace(FINE, minutes_since_thunder=12.9, light_hours=2.19)
    found = {reason.code: reason.figures for reason in call(now).reasons}
    assert found[CallReason.THUNDER] == {"minutes": 12, "wait": 18}
    assert found[CallReason.LIGHT_AFTER_THUNDER]["hours"] == 1.9


UNKNOWN = {
    "rain_mm_per_h": (CallReason.RAIN_UNKNOWN, "hold"),
    "wind_ms": (CallReason.WIND_UNKNOWN, "hold"),
    "light_hours": (CallReason.LIGHT_UNKNOWN, "hold"),
    "temp_c": (CallReason.TEMPERATURE_UNKNOWN, "go"),
    "relative_humidity": (CallReason.HUMIDITY_UNKNOWN, "go"),
    "minutes_since_thunder": (CallReason.THUNDER_UNKNOWN, "go"),
    "canopy_wet_mm": (CallReason.WETNESS_UNKNOWN, "go"),
}


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_is_not_known_is_said_and_never_assumed(name):
    """First where it holds the evening up, for nothing else is a reason; else last."""
    code, expected = UNKNOWN[name]
    found = call(replace(FINE, **{name: None}))
    assert found.reasons[0 if expected == "hold" else -1] == Reason(code)
    assert found.verdict == expected


def test_knowing_nothing_holds():
    found = call(Conditions())
    assert found.verdict == "hold"
    assert set(found.reasons) == {Reason(code) for code, _ in UNKNOWN.values()}


def test_what_is_needed_is_a_setting():
    strict = Limits(needed=("minutes_since_thunder",))
    assert call(replace(FINE, minutes_since_thunder=None), strict).verdict == "hold"
    assert call(replace(FINE, wind_ms=None), strict).verdict == "go"


def test_a_wet_crop_that_goes_straight_to_the_dam_may_be_let_pass():
    wet = replace(FINE, canopy_wet_mm=0.8)
    assert call(wet, Limits(wet_crop_mm=1)).verdict == "go"


conditions = st.builds(
    Conditions,
    rain_mm_per_h=st.none() | st.floats(0, 3),
    wind_ms=st.none() | winds_ms,
    temp_c=st.none() | temperatures_c,
    relative_humidity=st.none() | humidities,
    minutes_since_thunder=st.none() | st.floats(0, 90),
    flash_to_bang_s=st.none() | st.floats(0, 90),
    light_hours=st.none() | st.floats(0, 6),
    canopy_wet_mm=st.none() | st.floats(0, 2),
)
worse = st.fixed_dictionaries(
    {
        "rain_mm_per_h": st.floats(0, 3),
        "wind_ms": st.floats(0, 30),
        "canopy_wet_mm": st.floats(0, 2),
    }
)


@given(conditions)
def test_every_call_has_reasons(now):
    found = call(now)
    assert found.reasons
    assert len({reason.code for reason in found.reasons}) == len(found.reasons)


@given(conditions, worse)
def test_more_rain_wind_and_wet_never_make_it_more_likely_to_go(now, more):
    """Reading by reading; cold apart, which the wind brings with it."""
    for name, extra in more.items():
        if (value := getattr(now, name)) is not None:
            after = call(replace(now, **{name: value + extra})).verdict
            assert ORDER.index(after) >= ORDER.index(call(now).verdict) or (
                name == "wind_ms"
            )


@pytest.mark.parametrize("wind_ms", [0, 1.3, 1.4, 3, 6, 10])
def test_a_fifth_of_a_degree_never_turns_a_go_into_a_hold(wind_ms):
    """Where one formula for cold ends and the next begins, at 10 °C."""
    colder, warmer = (
        call(replace(FINE, temp_c=temp, wind_ms=wind_ms)) for temp in (9.9, 10.1)
    )
    assert not any("felt_c" in reason.figures for reason in warmer.reasons)
    assert ORDER.index(warmer.verdict) <= ORDER.index(colder.verdict)


@given(st.floats(-20, 60), st.floats(0, 100))
def test_heat_beyond_the_chart_is_off_without_a_figure(temp, rh):
    """No evening is told that it feels like 251 °C, or any figure past the chart's."""
    found = call(replace(FINE, temp_c=temp, relative_humidity=rh))
    for reason in found.reasons:
        assert reason.figures.get("felt_c", 0) <= 58.7
    if temp >= 45 and rh >= 60:
        assert found.verdict == "off"
        assert CallReason.BEYOND_THE_CHART in {one.code for one in found.reasons}


@given(conditions)
def test_lightning_near_by_is_never_a_go(now):
    assert call(replace(now, flash_to_bang_s=15)).verdict == "off"
    assert call(replace(now, minutes_since_thunder=10)).verdict != "go"


@given(conditions)
def test_stricter_limits_never_make_it_more_likely_to_go(now):
    strict = Limits(
        rain_doubtful_mm_per_h=0,
        rain_stop_mm_per_h=0.2,
        wind_doubtful=4,
        wind_stop=5,
        shortest_h=2,
        thunder_wait_min=60,
        near_s=60,
        cold_c=10,
        heat_doubtful_c=25,
        heat_stop_c=30,
        dew_humidity=80,
        wet_crop_mm=0.1,
    )
    assert ORDER.index(call(now, strict).verdict) >= ORDER.index(call(now).verdict)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("rain_mm_per_h", -1),
        ("wind_ms", -1),
        ("temp_c", 99),
        ("relative_humidity", 101),
        ("minutes_since_thunder", -1),
        ("flash_to_bang_s", -1),
        ("light_hours", -1),
        ("canopy_wet_mm", -1),
    ],
)
def test_readings_that_cannot_be_are_refused_by_name(name, value):
    for wrong in (value, float("nan"), float("inf")):
        with pytest.raises(ValueError, match=f"^{name} must"):
            Conditions(**{name: wrong})


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"rain_stop_mm_per_h": 0.05}, "rain_doubtful_mm_per_h must not be above"),
        ({"wind_doubtful": 8}, "wind_doubtful must not be above wind_stop"),
        ({"heat_doubtful_c": 50}, "heat_doubtful_c must not be above heat_stop_c"),
        ({"near_s": -1}, "near_s must not be negative"),
        ({"cold_c": float("nan")}, "cold_c must be a finite number"),
        ({"needed": ("luck",)}, r"needed must name readings, not \['luck'\]"),
    ],
)
def test_limits_that_cannot_be_are_refused_by_name(wrong, message):
    with pytest.raises(ValueError, match=message):
        Limits(**wrong)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"crop_is_green": True}, CallReason.GREEN_CROP),
        ({"ground_is_soft": True}, CallReason.SOFT_GROUND),
    ],
)
def test_a_green_crop_and_soft_ground_are_doubtful(changes, code):
    assert verdict(**changes) == "hold"
    assert first_reason(**changes) == Reason(code)


def test_a_crop_that_is_fit_on_firm_ground_changes_nothing():
    assert call(replace(FINE, crop_is_green=False, ground_is_soft=False)) == call(FINE)


def test_a_lodged_crop_is_said_and_is_no_reason_to_wait():
    found = call(replace(FINE, lodged_percent=40))
    assert found.verdict == "go"
    assert found.reasons == (
        *call(FINE).reasons,
        Reason(CallReason.LODGED, {"percent": 40}),
    )
    assert call(replace(FINE, lodged_percent=0)) == call(FINE)
    assert call(Conditions(lodged_percent=40)).verdict == "hold"


def test_more_than_all_of_a_crop_cannot_be_lodged():
    with pytest.raises(ValueError, match="lodged_percent must lie from 0 to 100"):
        Conditions(lodged_percent=101)
