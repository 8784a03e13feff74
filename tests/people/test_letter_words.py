"""Why a letter came back is said in our words, then in the mail server's own."""

import pytest

from heritage.kits.delivery import Trouble, read_failure
from heritage.people.letters.words import CAME_BACK, why_it_came_back
from tests.kits.reports import report


def test_every_trouble_has_its_sentence():
    assert set(CAME_BACK) == set(Trouble)
    assert all(str(words).endswith(".") for words in CAME_BACK.values())


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "There's no such mailbox. 550 5.1.1 User unknown"),
        (
            {"status": "4.4.7", "said": "smtp; 451 try later"},
            "We tried for too long. 451 try later",
        ),
        ({"said": ""}, "There's no such mailbox. 5.1.1"),
        ({"status": "", "said": "x-local; gone away"}, "gone away"),
        ({"status": "", "said": "plain words"}, "plain words"),
    ],
)
def test_the_reason_is_what_is_known(changes, words):
    assert why_it_came_back(read_failure(report(**changes))) == words
