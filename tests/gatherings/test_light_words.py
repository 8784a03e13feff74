"""What ends an evening's light, and why a station stays short, in words."""

from datetime import time

import pytest

from heritage.calc.assignment import WhyShort
from heritage.calc.daylight import End, WhyItEnds
from heritage.gatherings.ground.words import why_it_ends
from heritage.gatherings.rearranging.selectors import WHY_SHORT


@pytest.mark.parametrize(
    ("end", "words"),
    [
        (
            End(WhyItEnds.DUSK, time(21, 36, 20), 15),
            "15 minutes before dark (21:36)",
        ),
        (End(WhyItEnds.DUSK, time(21, 36), 0), "dark (21:36)"),
        (
            End(WhyItEnds.DUSK_BEHIND_SKYLINE, time(21, 20), 15),
            "15 minutes before dark behind the skyline (21:20)",
        ),
        (End(WhyItEnds.LATEST_TIME, time(21)), "the latest finishing time (21:00)"),
        (
            End(WhyItEnds.NO_DARK),
            "the end of the day: it doesn't get dark tonight",
        ),
    ],
)
def test_what_ends_the_light_is_said(end, words):
    assert why_it_ends(end) == words


def test_why_a_station_stays_short_is_said():
    assert {code: str(words) for code, words in WHY_SHORT.items()} == {
        WhyShort.NEEDED_ELSEWHERE: (
            "Those who would work here too are needed where they are."
        ),
        WhyShort.NOT_YET: "Those who would work here too may not yet.",
        WhyShort.NOBODY_WISHES: "Nobody else has said that they would work here.",
    }
