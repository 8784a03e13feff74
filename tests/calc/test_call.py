"""An evening is called with its reasons, and nothing unknown is taken for fine."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.weather import Conditions, Limits, Verdict, call
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
        "No thunder for 240 minutes.",
        "2.5 h of light to work by; less than 1 h is too little.",
        "No rain; doubtful from 0.1 and off from 0.5 mm/h.",
        "Wind of force 2 (3 m/s); doubtful from 6 and off from 7.",
        "The crop carries 0.0 mm of water; wet from 0.2 mm.",
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
    ("changes", "reason"),
    [
        (
            {"rain_mm_per_h": 0.3},
            "Slight rain, 0.3 mm/h; doubtful from 0.1 and off from 0.5 mm/h.",
        ),
        (
            {"flash_to_bang_s": 20},
            "Thunder follows lightning by 20 s, and 30 s or less is near: stop and "
            "take cover. Stay there until 30 minutes after the last thunder.",
        ),
        (
            {"flash_to_bang_s": 45},
            "Thunder follows lightning by 45 s: keep watch, and take cover at 30 s.",
        ),
        (
            {"minutes_since_thunder": 12},
            "Thunder was heard 12 minutes ago: stay in cover for another 18 minutes "
            "at least.",
        ),
        (
            {"minutes_since_thunder": 0, "light_hours": 1.2},
            "0.7 h of light to work by after the wait for thunder; less than 1 h is "
            "too little.",
        ),
        (
            {"canopy_wet_mm": None, "relative_humidity": 93},
            "At 93 % humidity the crop is most likely wet with dew.",
        ),
        (
            {"temp_c": 2, "wind_ms": 10},
            "It feels like -4.4 °C, below 5 °C: too cold to stand about for long.",
        ),
        (
            {"temp_c": 36, "relative_humidity": 60},
            "It feels like 48.1 °C in the shade; doubtful from 32 and off from 39 °C.",
        ),
    ],
)
def test_the_weightiest_reason_comes_first(changes, reason):
    assert first_reason(**changes) == reason


UNKNOWN = {
    "rain_mm_per_h": ("No rain reading was given.", "hold"),
    "wind_ms": ("No wind reading was given.", "hold"),
    "light_hours": ("No light window was given.", "hold"),
    "temp_c": ("No temperature reading was given.", "go"),
    "relative_humidity": ("No humidity reading was given.", "go"),
    "minutes_since_thunder": ("Nothing was said about thunder.", "go"),
    "canopy_wet_mm": ("Nobody has said how wet the crop is.", "go"),
}


@pytest.mark.parametrize("name", UNKNOWN)
def test_what_is_not_known_is_said_and_never_assumed(name):
    """First where it holds the evening up, for nothing else is a reason; else last."""
    reason, expected = UNKNOWN[name]
    found = call(replace(FINE, **{name: None}))
    assert found.reasons[0 if expected == "hold" else -1] == reason
    assert found.verdict == expected


def test_knowing_nothing_holds():
    found = call(Conditions())
    assert found.verdict == "hold"
    assert set(found.reasons) == {reason for reason, _ in UNKNOWN.values()}


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
def test_every_call_has_reasons_in_sentences(now):
    found = call(now)
    assert found.reasons
    assert all(
        (r.endswith(".") and r[0].isupper()) or r[0].isdigit() for r in found.reasons
    )


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
    assert not any("feels like" in reason for reason in warmer.reasons)
    assert ORDER.index(warmer.verdict) <= ORDER.index(colder.verdict)


@given(st.floats(-20, 60), st.floats(0, 100))
def test_heat_beyond_the_chart_is_off_without_a_figure(temp, rh):
    """No evening is told that it feels like 251 °C, or any figure past the chart's."""
    found = call(replace(FINE, temp_c=temp, relative_humidity=rh))
    for reason in found.reasons:
        if felt := re.search(r"feels like (-?[\d.]+) °C", reason):
            assert float(felt[1]) <= 58.7
    if temp >= 45 and rh >= 60:
        assert found.verdict == "off"
        assert any("hotter than any chart goes" in reason for reason in found.reasons)


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
