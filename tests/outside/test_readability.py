"""The reading formulas against figures in print.

The words and syllables of the platypus sentence, and its grade, stand in the read-me
of a public JavaScript library (flesch-kincaid); those of Green Eggs and Ham in a
well-known encyclopaedia's page on the two tests, as a web log quoted it in 2007. The
cat is the formulas worked by hand.
"""

import pytest

from heritage.calc.readability import Reading, reading

NEAR = pytest.approx


def test_the_cat():
    cat = reading("The cat sat on the mat.")
    assert (cat.sentences, cat.words, cat.syllables) == (1, 6, 6)
    assert cat.grade == NEAR(-1.45, abs=0.005)


def test_the_platypus():
    """13 words, 26 syllables, grade 13.08."""
    found = reading(
        "The Australian platypus is seemingly a hybrid of a mammal and reptilian "
        "creature."
    )
    assert (found.sentences, found.words, found.syllables) == (1, 13, 26)
    assert found.grade == NEAR(13.08, abs=0.005)


def test_green_eggs_and_ham():
    """5.7 words to a sentence, 1.02 syllables to a word, grade -1.3."""
    book = Reading(sentences=1000, words=5700, syllables=5814, longest=20)
    assert book.grade == NEAR(-1.3, abs=0.05)


def test_the_lowest_grade_there_is():
    """Sentences of one word of one syllable: -3.40 (or -3.4) in print."""
    assert reading("The. Cat. And. The. Dog. Ate.").grade == NEAR(-3.4)
