"""One field takes a town, a grid reference, or latitude and longitude."""

from decimal import Decimal

import pytest

from heritage.season.whereabouts.selectors import places_meant

FIELD = (Decimal("54.5"), Decimal("-6.5"))


@pytest.mark.parametrize(
    "words", ["54.5, -6.5", "54.5 -6.5", "54.5N 6.5W", "54.5° N, 6.5° W"]
)
def test_figures_are_read_however_they_are_written(words):
    (place,) = places_meant(words)
    assert (place.latitude, place.longitude) == FIELD
    assert place.words == f"Near {place.name}, {place.detail}"
    assert place.rules == "ni"


def test_a_grid_reference_is_read_in_both_countries():
    (british,) = places_meant("TQ 123 456")
    assert (british.rules, british.time_zone) == ("gb", "Europe/London")
    (irish,) = places_meant("N 55 40")
    assert (irish.rules, irish.time_zone) == ("ie", "Europe/Dublin")


def test_a_town_at_home_goes_before_its_namesakes_abroad():
    (place,) = places_meant("Moneymore")
    assert place.words == "Moneymore, Mid Ulster, Northern Ireland"
    assert len(places_meant("Newport")) > 1
    assert {one.rules for one in places_meant("Newport, Wales")} == {"gb"}


def test_near_a_border_or_far_from_everybody_whose_rules_is_not_guessed():
    assert places_meant("Clones")[0].rules == ""
    assert places_meant("54.18, -7.23")[0].rules == ""
    (at_sea,) = places_meant("50, -30")
    assert (at_sea.name, at_sea.rules) == ("the field", "")


@pytest.mark.parametrize("words", ["Carrowlint", "95, 10", "10, 200", "  "])
def test_what_is_nowhere_is_nothing(words):
    assert places_meant(words) == ()
