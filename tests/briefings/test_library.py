"""The shipped library: whole, in plain words, and with nothing only remembered."""

import json
from importlib.resources import files

import pytest

from heritage.briefings.hazards.selectors import WORK_WORDS
from heritage.calc.readability import LONGEST_SENTENCE, reading
from heritage.season.models import Stage


def shipped(name):
    return json.loads(files("heritage.briefings").joinpath(name).read_text("utf-8"))


HAZARDS = {row["title"]: row for row in shipped("starting_hazards.json")}
BRIEFINGS = shipped("starting_briefings.json")
# What the table of hazards asks to be covered, and the hazard that covers it.
ROWS = {
    "drowning": "float on your back",
    "slips": "Weed, wet planks",
    "stones": "Weigh the stones once",
    "leptospirosis": "worked in the water",
    "foul air": "covered or deep pit",
    "run-off": "look after your rivers",
    "tractor and trailer": "handbrake on",
    "belts and pulleys": "step over a belt",
    "guarding order": "fixed guard that needs a tool",
    "fuel": "engine off and cold",
    "fire": "Tow can flash",
    "dust": "Damp the floor",
    "sickles": "Count the blades out",
    "repetitive pulling": "Change jobs",
    "dusk": "by sunset",
    "lightning": "30 minutes after the last thunder",
    "heat and cold": "cooler hours",
    "tetanus": "tetanus protection",
    "allergy and bites": "carry a pen",
    "visitors and children": "adult is in charge of each child",
}


def words_of(row):
    said = [row["title"], row["harm"], row["caution"]]
    return "\n".join([*said, *[text for _, text in row["controls"]]])


@pytest.mark.parametrize("subject", ROWS)
def test_every_row_of_the_table_is_covered(subject):
    assert any(ROWS[subject] in words_of(row) for row in HAZARDS.values())


def test_each_has_a_place_known_stages_and_known_stations():
    for row in HAZARDS.values():
        assert row["where"]
        assert set(row["stages"]) <= set(Stage.values)
        assert set(row["works"]) <= set(WORK_WORDS)


@pytest.mark.parametrize("title", HAZARDS)
def test_hazards_are_easy_to_read(title):
    found = reading(words_of(HAZARDS[title]))
    assert found.grade <= 5
    assert found.longest <= LONGEST_SENTENCE


@pytest.mark.parametrize("row", BRIEFINGS, ids=lambda row: row["title"])
def test_briefings_are_easy_to_read_with_their_hazards(row):
    own = [value for value in row.values() if isinstance(value, str)]
    whole = [*own, *[words_of(HAZARDS[title]) for title in row["hazards"]]]
    for text in ("\n".join(own), "\n".join(whole)):
        found = reading(text)
        assert found.grade <= 5
        assert found.longest <= LONGEST_SENTENCE


@pytest.mark.parametrize(
    "title",
    [
        "Fire in dry flax and tow",
        "Retting water let go",
        "Guards missing or too weak",
    ],
)
def test_what_is_only_remembered_says_that_it_is_to_be_confirmed(title):
    """Its row of the table was not read in print."""
    assert "to be confirmed" in HAZARDS[title]["harm"]


def test_no_figure_stands_there_that_is_only_remembered():
    """Doses, gas limits, ultraviolet and dust limits were not read in print."""
    text = " ".join(words_of(row) for row in HAZARDS.values())
    for words in ("ppm", "mg/m", "dose", "UV", "0.1", "2.5"):
        assert words not in text
