"""How hard a text is to read, by the length of its sentences and of its words.

A grade is a school year in the United States, and an age some five years above it. It
knows nothing of sense: short sentences of hard words can score well. So it warns and
never refuses.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from .reasons import Reason

GRADE_TO_WARN: Final = 5.0
LONGEST_SENTENCE: Final = 25
MOST_POINTS: Final = 7

_WORD: Final = re.compile(r"[A-Za-z\u00c0-\u024f]+(?:['\u2019][A-Za-z]+)*|\d[\d.,]*")
_STOP: Final = re.compile(r"[.!?\u2026]+[\"'\u201d\u2019)]*(?=\s|$)|\n+")
_VOWELS: Final = re.compile(r"[aeiouy\u00e0-\u00ff]+")
# A vowel letter at the end of a word, or before its s or d, that is not said.
_SILENT_E: Final = re.compile(r"(?<![aeiouyl])e$|(?<=[aeiouy]l)e$|(?<=rl)e$")
_SILENT_ES: Final = re.compile(r"(?<![aeiouyscxzg])(?<!sh)(?<!ch)(?<![^aeiouy]l)es$")
_SILENT_ED: Final = re.compile(r"(?<![aeiouytd])(?<![^aeiouyrlw]l)ed$")
# Two vowel letters side by side that are said apart.
_HIATUS: Final = re.compile(
    r"i[ao](?!u)(?<!ti[ao])(?<!ci[ao])(?<!si[ao])(?<!gi[ao])|iu|eo(?!u|p)|ua(?!r)|ying"
    r"|[ao]y[aeiou]|[aeou]ing|uou|^re[aeiou](?!d|ch|l|s|p|r)|^co[aeiou](?=p|r)|(?<!q)uie|oe[lt]|ier"
)
# A silent e within, before an ending that was put on.
_WITHIN: Final = re.compile(
    r"(?<=[^aeiouy])e(?=(?:ly|less|ful|ment|ments|where|thing)$)"
)
# Words that the rules get wrong and this work uses.
_KNOWN: Final = {
    "aches": 1, "acre": 2, "area": 3, "being": 2, "beyond": 2, "business": 2,
    "clothes": 1, "coarse": 1, "course": 1, "does": 1, "doing": 2, "evening": 2,
    "evenings": 2, "every": 2, "everybody": 4, "everything": 3, "everywhere": 3,
    "fibre": 2, "fibres": 2, "fire": 1, "going": 2, "idea": 3, "likelihood": 3,
    "metre": 2, "metres": 2, "naked": 2, "refuel": 3, "refuelling": 4, "safety": 2,
    "seeing": 2, "somebody": 3, "someone": 2, "something": 2, "somewhere": 2,
    "tired": 2,
}  # fmt: skip
_ONES: Final = (2, 1, 1, 1, 1, 1, 1, 2, 1, 1, 1, 3, 1, 2, 2, 2, 2, 3, 2, 2)
_TENS: Final = (0, 0, 2, 2, 2, 2, 2, 3, 2, 2)
_PLACES: Final = ((1_000_000, 2), (1_000, 2), (100, 2))


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text is made of, and how hard that makes it.

    Attributes
    ----------
    sentences, words, syllables : int
        How many; a line without a full stop counts as a sentence.
    longest : int
        The words of the longest sentence.
    """

    sentences: int
    words: int
    syllables: int
    longest: int

    @property
    def words_per_sentence(self) -> float:
        """Return the average length of a sentence.

        Returns
        -------
        float
            In words.
        """
        return self.words / self.sentences

    @property
    def syllables_per_word(self) -> float:
        """Return the average length of a word.

        Returns
        -------
        float
            In syllables.
        """
        return self.syllables / self.words

    @property
    def grade(self) -> float:
        """Return the Flesch-Kincaid grade.

        Returns
        -------
        float
            A school year.
        """
        return 0.39 * self.words_per_sentence + 11.8 * self.syllables_per_word - 15.59


def reading(text: str) -> Reading | None:
    """Return how hard a text is to read, or None for a text without a word.

    Parameters
    ----------
    text : str
        English text; each line ends a sentence.

    Returns
    -------
    Reading or None
        Its counts and grade.

    References
    ----------
    .. [1] Kincaid et al. (1975): 0.39 ASL + 11.8 ASW - 15.59. Syllables are counted by
       rules of our own.
    """
    lengths = [len(_WORD.findall(part)) for part in _STOP.split(text)]
    lengths = [length for length in lengths if length]
    if not lengths:
        return None
    words = _WORD.findall(text)
    return Reading(
        sentences=len(lengths),
        words=len(words),
        syllables=sum(syllables(word) for word in words),
        longest=max(lengths),
    )


def syllables(word: str) -> int:
    """Return how many syllables an English word or a figure has when it is read aloud.

    Parameters
    ----------
    word : str
        One word, or a number in figures.

    Returns
    -------
    int
        One or more. A count by spelling: some words come out one too many or too few.
    """
    if word[:1].isdigit():
        return _of_figure(word)
    plain = word.lower().replace("\u2019", "'").replace("'", "")
    known = _KNOWN.get(plain)
    if known:
        return known
    spoken = _WITHIN.sub("", plain)
    for silent in (_SILENT_ED, _SILENT_ES, _SILENT_E):
        spoken = silent.sub("", spoken)
    count = len(_VOWELS.findall(spoken)) + len(_HIATUS.findall(spoken))
    return max(1, count)


def _of_figure(figure: str) -> int:
    """Count a figure as it is read: "30" has two, "3.5" three."""
    whole, _, part = figure.rstrip(".,").replace(",", "").partition(".")
    digits = [int(digit) for digit in part if digit.isdigit()]
    return _of_number(int(whole)) + sum(_ONES[digit] for digit in digits) + bool(part)


def _of_number(number: int) -> int:
    """Count a whole number as it is read."""
    for place, count in _PLACES:
        if number >= place:
            over, rest = divmod(number, place)
            joined = 0 < rest < 100
            return _of_number(over) + count + joined + (_of_number(rest) if rest else 0)
    if number < len(_ONES):
        return _ONES[number]
    tens, ones = divmod(number, 10)
    return _TENS[tens] + (_ONES[ones] if ones else 0)


class HardToRead(StrEnum):
    """What makes a text harder to read than it need be, with its figures' names."""

    # grade, words or points, and the most of them.
    GRADE = "grade"
    SENTENCE = "sentence"
    POINTS = "points"


def warnings(texts: str, points: int = 0) -> tuple[Reason[HardToRead], ...]:
    """Say what makes a text harder to read than it need be.

    Parameters
    ----------
    texts : str
        English text; each line ends a sentence.
    points : int, default 0
        How many points stand on one card.

    Returns
    -------
    tuple of Reason
        Empty where nothing is found. They warn and forbid nothing.

    References
    ----------
    .. [1] No sentence over 25 words: Plain English Campaign. Grade 5 and seven points
       to a card are our own rules.
    """
    reasons, read = [], reading(texts)
    if read and read.grade > GRADE_TO_WARN:
        figures = {"grade": read.grade, "most": GRADE_TO_WARN}
        reasons.append(Reason(HardToRead.GRADE, figures))
    if read and read.longest > LONGEST_SENTENCE:
        figures = {"words": read.longest, "most": LONGEST_SENTENCE}
        reasons.append(Reason(HardToRead.SENTENCE, figures))
    if points > MOST_POINTS:
        figures = {"points": points, "most": MOST_POINTS}
        reasons.append(Reason(HardToRead.POINTS, figures))
    return tuple(reasons)
