"""The age rules as a table: every place, every kind of work."""

import pytest

from heritage.calc.young_people import (
    JURISDICTIONS,
    WORKS,
    Rule,
    least_age,
    published_rule,
    published_rules,
    rules,
)

PLACES = ("gb", "ni", "ie")
# Common practice, no source: what a child may do beside a parent in a field.
OPEN = ("pull", "tie", "lay_bands", "talk", "other")


@pytest.mark.parametrize("place", JURISDICTIONS)
@pytest.mark.parametrize("work", WORKS)
def test_every_station_has_a_rule(place, work):
    rule = least_age(place, work)
    assert 0 <= rule.least_age <= 18
    assert rule.code in Rule


@pytest.mark.parametrize("place", JURISDICTIONS)
@pytest.mark.parametrize("work", OPEN)
def test_work_in_the_open_field_has_no_least_age(place, work):
    assert least_age(place, work).least_age == 0


@pytest.mark.parametrize("place", JURISDICTIONS)
@pytest.mark.parametrize("work", ["drive", "stone", "tread", "steward"])
def test_driving_water_stones_and_stewarding_are_for_adults_by_our_own_rule(
    place, work
):
    rule = least_age(place, work)
    assert rule.least_age == 18
    assert rule.status == "own_rule"
    assert rule.code in {
        Rule.OWN_DRIVE,
        Rule.OWN_WATER,
        Rule.OWN_STONES,
        Rule.OWN_STEWARD,
    }


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("work", WORKS)
def test_our_rules_are_never_looser_than_the_published(place, work):
    published = published_rule(place, work)
    assert least_age(place, work).least_age >= (published.least_age if published else 0)


@pytest.mark.parametrize("work", WORKS)
def test_elsewhere_is_as_strict_as_the_strictest_and_marked(work):
    rule = least_age("elsewhere", work)
    assert rule.least_age == max(least_age(place, work).least_age for place in PLACES)
    assert rule.is_elsewheres
    assert rule.status == "own_rule"
    assert published_rule("elsewhere", work) is None


def test_sixteen_and_seventeen_at_the_machine_are_the_organisers_decision():
    for place in JURISDICTIONS:
        assert least_age(place, "feed").review_below == 18


def test_a_published_rule_speaks_when_it_is_as_strict_as_ours():
    assert least_age("gb", "feed").status == "published"
    assert least_age("ni", "feed").status == "own_rule"


def test_the_rules_of_a_place_are_named_once_each():
    for place in JURISDICTIONS:
        found = rules(place)
        assert len(found) == len(set(found))
        assert {rule.least_age for rule in found} == {16, 18}
        assert {rule.least_age for rule in published_rules(place)} == {
            "gb": {0, 13, 16},
            "ni": {0, 13},
            "ie": {7, 14},
            "elsewhere": set(),
        }[place]


def test_unknown_places_and_works_are_refused_by_name():
    with pytest.raises(ValueError, match="jurisdiction must be one of gb, ni, ie"):
        least_age("atlantis", "pull")
    with pytest.raises(ValueError, match="work must be one of pull, tie"):
        published_rule("gb", "juggle")
