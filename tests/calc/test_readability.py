import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.readability import HardToRead, reading, syllables, warnings
from heritage.calc.reasons import Reason

# Counted by ear; those of the dictionary of Carnegie Mellon agree with all of them.
BY_EAR = {
    1: "stop rope edge stones eyes pulled clothes once mixed judge dam whole knives",
    2: "water tangled layers being people lightning pulley handle noses landed going",
    3: "dangerous carrying idea hospital gradual equipment area engineer",
    4: "responsible everybody material electrical",
}


@pytest.mark.parametrize(
    ("word", "count"),
    [(word, n) for n, words in BY_EAR.items() for word in words.split()],
)
def test_syllables_by_ear(word, count):
    assert syllables(word) == count
    assert syllables(word.capitalize()) == count


@pytest.mark.parametrize(
    ("figure", "count"),
    [("0", 2), ("2", 1), ("11", 3), ("30", 2), ("77", 5), ("112", 5), ("999", 7),
     ("1,000", 3), ("2,725", 11), ("3.5", 3), ("2000000", 3), ("16.", 2)],
)  # fmt: skip
def test_figures_are_counted_as_they_are_read(figure, count):
    assert syllables(figure) == count


def test_a_line_ends_a_sentence_and_a_decimal_does_not():
    found = reading("Keep 3.5 metres off\nStop. “Stop!” Then wait…")
    assert (found.sentences, found.words, found.longest) == (4, 8, 4)
    assert found.words_per_sentence == 2


def test_nothing_to_read_has_no_grade():
    assert reading(" … \n 🙂") is None
    assert warnings("") == ()


def test_what_is_hard_is_said_and_what_is_easy_is_not():
    assert warnings("Stand back. Keep your hands out.", points=7) == ()
    hard = "Immediately communicate any deteriorating meteorological conditions."
    grade = reading(hard).grade
    assert warnings(hard)[0] == Reason(HardToRead.GRADE, {"grade": grade, "most": 5})
    long = " ".join(["go"] * 26) + "."
    assert Reason(HardToRead.SENTENCE, {"words": 26, "most": 25}) in warnings(long)
    assert warnings("Go.", points=8) == (
        Reason(HardToRead.POINTS, {"points": 8, "most": 7}),
    )


@given(st.text())
def test_any_text_is_read(text):
    found = reading(text)
    assert found is None or found.words >= found.sentences >= 1
    assert found is None or found.syllables >= found.words


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz'", min_size=1))
def test_any_word_has_a_syllable(word):
    assert syllables(word) >= 1
