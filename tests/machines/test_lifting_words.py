"""Why a lift has no figure, and what was taken off it, in sentences."""

from dataclasses import replace

import pytest

from heritage.calc.lifting import (
    Duration,
    Grip,
    Outside,
    Reach,
    ScreeningNote,
    Unscreened,
    Who,
    Zone,
)
from heritage.machines.lifting.selectors import LiftAsked, Measured, lift_answer
from heritage.machines.lifting.words import (
    ANYBODY,
    NOT_BY_EQUATION,
    NOT_SCREENED,
    NOTES,
    REACH_WORDS,
    WHO_WORDS,
    ZONE_WORDS,
)

LIFT = LiftAsked(
    10.0, Zone.ELBOW_TO_KNUCKLE, Zone.ELBOW_TO_KNUCKLE, Reach.CLOSE, "men", 0.5, 0, 1
)
TAPE = Measured(30, 60, 90, Duration.SHORT, Grip.POOR)


def test_every_code_has_its_words():
    assert set(NOTES) == set(ScreeningNote)
    assert set(NOT_SCREENED) == set(Unscreened)
    assert set(NOT_BY_EQUATION) == set(Outside)
    assert set(ZONE_WORDS) == set(Zone)
    assert set(REACH_WORDS) == set(Reach)
    assert set(WHO_WORDS) == {ANYBODY, *Who}


def test_what_was_taken_off_is_said():
    assert lift_answer(replace(LIFT, per_minute=1.0, twist_deg=90.0)).notes == (
        "30% is taken off for how often it is done.",
        "20% is taken off for the twist.",
        "That both are taken off one after the other is our own rule.",
    )
    assert lift_answer(LIFT).notes == ()


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (
            "wet",
            "The screening does not cover a lift where the grip is poor, as with wet "
            "hands or wet stone.",
        ),
        (
            "one_hand",
            "The screening does not cover a lift where it is done with one hand.",
        ),
        (
            "water",
            "The screening does not cover a lift where the stance is unsteady, as in "
            "water or on weed.",
        ),
        (
            "weak",
            "The screening does not cover a lift where the lifter is unwell, pregnant "
            "or otherwise not at full strength.",
        ),
    ],
)
def test_what_the_screening_does_not_cover_is_said(why, words):
    assert lift_answer(replace(LIFT, why_not=[why])).why_no_figure == (words,)


@pytest.mark.parametrize(
    ("why", "words"),
    [
        ("water", "where the footing is wet, soft or slippery."),
        ("one_hand", "where it is done with one hand."),
        ("shifting", "where the load shifts, as water and wet beets do."),
        ("weather", "where it is much hotter, colder, drier or damper than indoors."),
        ("kneeling", "where the lifter sits or kneels."),
        ("cramped", "where there is too little room."),
        ("moving", "where the load is carried, pushed or pulled meanwhile."),
    ],
)
def test_what_the_equation_does_not_cover_is_said(why, words):
    answer = lift_answer(replace(LIFT, why_not=[why], measured=TAPE))
    assert answer.why_no_equation == (f"The equation does not cover a lift {words}",)


def test_the_equation_is_for_one_person():
    answer = lift_answer(replace(LIFT, people=2, measured=TAPE))
    said = ("The equation is for one person who lifts alone.",)
    assert (answer.rwl_kg, answer.why_no_equation) == (None, said)
    assert lift_answer(replace(LIFT, people=2)).why_no_equation == ()
