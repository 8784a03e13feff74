"""Age rules, hard reading, petrol and judgements, in sentences."""

import pytest

from heritage.briefings.emergency.words import petrol_words
from heritage.briefings.hazards.services import PROBLEMS
from heritage.briefings.words import HARD_TO_READ, RULES, rule_words
from heritage.calc.readability import HardToRead, warnings
from heritage.calc.risk import ResidualProblem, petrol_storage
from heritage.calc.young_people import (
    JURISDICTIONS,
    WORKS,
    Rule,
    least_age,
    published_rule,
    published_rules,
)
from heritage.common.words import in_words


def test_every_rule_has_its_sentence_and_its_source():
    assert set(RULES) == set(Rule)
    for reason, source in RULES.values():
        assert str(reason).endswith(".")
        assert str(source)


@pytest.mark.parametrize("place", JURISDICTIONS)
def test_a_rule_says_the_age_it_asks(place):
    found = {least_age(place, work) for work in WORKS} | set(published_rules(place))
    for rule in found:
        age = "Only adults" if rule.least_age == 18 else str(rule.least_age)
        assert not rule.least_age or age in rule_words(rule).reason


@pytest.mark.parametrize("work", ["stone", "tread", "steward"])
def test_water_stones_and_stewarding_are_said_to_be_our_own_rule(work):
    assert "our own rule" in rule_words(least_age("gb", work)).source


@pytest.mark.parametrize("work", WORKS)
def test_elsewhere_it_says_to_check(work):
    said = rule_words(least_age("elsewhere", work))
    assert said.reason.endswith(
        ". Check the rules where you are: they may be stricter."
    )
    assert said.source.startswith("the strictest we know: ")


def test_a_published_rule_is_said_with_whose_it_is():
    said = rule_words(published_rule("ie", "ride"))
    assert said.least_age == 7
    assert said.reason == (
        "Nobody under 7 rides in a tractor's cab; from 7 to 16 only on a fitted seat "
        "with its belt."
    )
    assert said.source == "HSA, Republic of Ireland"


def test_what_is_hard_to_read_is_said():
    hard = "Immediately communicate any deteriorating meteorological conditions."
    long = " ".join(["go"] * 26) + "."
    said = [in_words(one, HARD_TO_READ) for one in warnings(f"{hard}\n{long}", 8)]
    assert said[1:] == [
        "A sentence has 26 words: make two of it, none over 25.",
        "There are 8 points on one card: 7 at most are remembered.",
    ]
    assert said[0].startswith("Reading grade ")
    assert said[0].endswith(": aim for 5 or less, with shorter words and sentences.")
    assert set(HARD_TO_READ) == set(HardToRead)


@pytest.mark.parametrize(
    ("litres", "words"),
    [
        (
            30,
            "Up to 30 L may be kept without notice, in cans of at most 10 L (plastic) "
            "or 20 L (metal).",
        ),
        (31, "Above 30 L the petroleum authority must be told."),
        (276, "More than 275 L must not be kept away from a licensed place."),
    ],
)
def test_what_petrol_asks_for_is_said(litres, words):
    assert petrol_words(petrol_storage(litres)) == words


def test_elsewhere_petrol_is_to_be_asked_about():
    assert petrol_words(petrol_storage(5, jurisdiction="ie")) == (
        "We don't know the petrol rules here. Ask the local petroleum authority."
    )


def test_what_is_wrong_with_a_judgement_is_said():
    assert {code: str(words) for code, words in PROBLEMS.items()} == {
        ResidualProblem.SAY_WHY_LESS_BAD: (
            "Say why it would be less bad with the controls in place."
        ),
        ResidualProblem.WORSE_WITH_CONTROLS: (
            "Controls can't make a hazard worse. Check the grades."
        ),
    }
