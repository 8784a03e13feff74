"""A ret's warnings and a turn's gaps in sentences; none says to lift or to drain."""

import pytest

from heritage.calc.reasons import Reason
from heritage.calc.retting import RetWarning, forecast
from heritage.calc.rota import WhyUnfilled
from heritage.common.words import in_words
from heritage.dam.rota.words import WHY_UNFILLED
from heritage.dam.words import RET_WARNINGS
from tests.calc.test_retting import DAY, HOUR, log_of


def warned(*temps, ahead=15.0, every=12 * HOUR):
    """Return the warnings of a log as one text."""
    told = forecast(log_of(*temps, every=every), ahead)
    return " ".join(in_words(warning, RET_WARNINGS) for warning in told.warnings)


def test_every_warning_has_its_sentence():
    assert set(RET_WARNINGS) == set(RetWarning)


@pytest.mark.parametrize(
    ("coldest", "words"),
    [
        (
            11.9,
            "The water falls to 12 °C. Below 12 °C the curve is stretched, and the ret "
            "may take twice as long.",
        ),
        (
            7.9,
            "The water falls to 8 °C, far colder than any ret the curve was fitted to. "
            "Take the dates as a guess.",
        ),
        (5.9, "The water falls to 6 °C. Below 6 °C no date can be told."),
    ],
)
def test_cold_water(coldest, words):
    assert warned(coldest, 15.0) == words


@pytest.mark.parametrize(
    ("warmest", "words"),
    [
        (
            33.1,
            "The water reaches 33 °C. Above 33 °C it is not taken to ret any faster.",
        ),
        (40.1, "The water reaches 40 °C: too hot for a good ret."),
    ],
)
def test_hot_water(warmest, words):
    assert words in warned(15.0, warmest)


def test_a_gap():
    assert warned(15.0, 15.0, every=36 * HOUR) == (
        "For 36 hours there was no reading: the course between them is a guess."
    )


def test_a_log_of_evenings_alone():
    assert warned(15.0, 16.0, 15.0, every=DAY) == (
        "Every reading was taken in the evening, when the water is warmest. So the "
        "day's swing is taken out: 1.5 °C at five o'clock, less before and after. That "
        "is our judgement; a reading in the morning too needs no such thing."
    )


def test_past_the_likely_day():
    assert warned(*[20.0] * 17, ahead=20.0) == (
        "The likely day has passed. A day too long weakens the fibre: test now, and "
        "again every 6 hours by daylight."
    )


def test_warm_water_wants_more_than_an_evening_look():
    assert warned(24.0, ahead=24.0) == (
        "One look a day is too few from here on: the crop can pass its best between "
        "two evenings. Test every 13 hours by daylight."
    )


def test_without_an_outlook():
    assert warned(12.0, 16.0, 18.0, 14.0, ahead=()) == (
        "No forecast yet, so this assumes the water stays at 16.5 °C, the mean of the "
        "last day read."
    )


def test_no_warning_ever_says_lift_or_drain():
    texts = " ".join(map(str, RET_WARNINGS.values()))
    assert "lift" not in texts
    assert "drain" not in texts


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        (
            Reason(WhyUnfilled.TOO_FEW, {"takes": 2, "could": 1}),
            "It takes 2 people, and 1 could come.",
        ),
        (
            Reason(WhyUnfilled.NOBODY_EXPERIENCED),
            "Nobody who has done it before could come.",
        ),
        (
            Reason(WhyUnfilled.TOO_MANY_PROMISED, {"takes": 2, "promised": 3}),
            "It takes 2 people, and 3 are promised.",
        ),
        (
            Reason(WhyUnfilled.REST_AND_LIMITS),
            "Enough people could come, but their rest days, limits and promises leave "
            "too few.",
        ),
    ],
)
def test_why_a_turn_of_the_treading_stays_empty(reason, words):
    assert in_words(reason, WHY_UNFILLED) == words
    assert set(WHY_UNFILLED) == set(WhyUnfilled)
