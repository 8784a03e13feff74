"""What the figures say of a call is said in sentences, with their figures."""

import re
from dataclasses import replace

import pytest
from hypothesis import given

from heritage.calc.weather import CallReason, call
from heritage.common.words import in_words
from heritage.gatherings.call.words import CALL_WORDS
from tests.calc.test_call import FINE, conditions


def said(now):
    return tuple(in_words(reason, CALL_WORDS) for reason in call(now).reasons)


def first_said(**changes):
    return said(replace(FINE, **changes))[0]


def test_a_fine_evening_says_why():
    assert said(FINE) == (
        "No thunder for 240 minutes.",
        "2.5 h of light to work by; less than 1 h is too little.",
        "No rain; doubtful from 0.1 and off from 0.5 mm/h.",
        "Wind of force 2 (3 m/s); doubtful from 6 and off from 7.",
        "The crop carries 0.0 mm of water; wet from 0.2 mm.",
    )


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        (
            {"rain_mm_per_h": 0.3},
            "Slight rain, 0.3 mm/h; doubtful from 0.1 and off from 0.5 mm/h.",
        ),
        (
            {"rain_mm_per_h": 2.345},
            "Moderate rain, 2.35 mm/h; doubtful from 0.1 and off from 0.5 mm/h.",
        ),
        (
            {"rain_mm_per_h": 6},
            "Heavy rain, 6 mm/h; doubtful from 0.1 and off from 0.5 mm/h.",
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
        (
            {"temp_c": 47, "relative_humidity": 60},
            "47.0 °C at 60 % humidity is hotter than any chart goes: too hot to be out "
            "in.",
        ),
    ],
)
def test_each_reason_is_said_with_its_figures(changes, reason):
    assert first_said(**changes) == reason


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("rain_mm_per_h", "No rain reading was given."),
        ("wind_ms", "No wind reading was given."),
        ("light_hours", "No light window was given."),
        ("temp_c", "No temperature reading was given."),
        ("relative_humidity", "No humidity reading was given."),
        ("minutes_since_thunder", "Nothing was said about thunder."),
        ("canopy_wet_mm", "Nobody has said how wet the crop is."),
    ],
)
def test_what_is_not_known_is_said(name, reason):
    assert reason in said(replace(FINE, **{name: None}))


def test_every_code_has_its_sentence():
    assert set(CALL_WORDS) == set(CallReason)


@given(conditions)
def test_every_call_has_reasons_in_sentences(now):
    assert all(
        (r.endswith(".") and r[0].isupper()) or r[0].isdigit() for r in said(now)
    )


@given(conditions)
def test_no_evening_is_told_a_figure_past_the_charts(now):
    """No evening is told that it feels like 251 °C."""
    for reason in said(now):
        if felt := re.search(r"feels like (-?[\d.]+) °C", reason):
            assert float(felt[1]) <= 58.7
