"""What the pages about people show."""

from heritage.people.selectors.competences import (
    able_pairs,
    first_aiders,
    starting_competences,
)
from heritage.people.selectors.membership import (
    MyPage,
    PeoplePage,
    my_page,
    people_page,
)
from heritage.people.selectors.wordings import (
    Words,
    all_words,
    current_words,
    photograph_agreement,
    photograph_agreements,
)

__all__ = [
    "MyPage",
    "PeoplePage",
    "Words",
    "able_pairs",
    "all_words",
    "current_words",
    "first_aiders",
    "my_page",
    "people_page",
    "photograph_agreement",
    "photograph_agreements",
    "starting_competences",
]
