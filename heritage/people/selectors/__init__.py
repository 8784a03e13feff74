"""What the pages about people show."""

from heritage.people.selectors.about import (
    AbleLine,
    AboutPage,
    Agreed,
    about_page,
)
from heritage.people.selectors.addresses import (
    address_of,
    own_address,
)
from heritage.people.selectors.competences import (
    CompetenceLine,
    CompetencePage,
    able_pairs,
    claims_waiting,
    competence_page,
    first_aiders,
    starting_competences,
)
from heritage.people.selectors.intake import (
    intake_plan,
)
from heritage.people.selectors.invitations import (
    InvitationsPage,
    invitations_page,
)
from heritage.people.selectors.letters import (
    LetterLine,
    LettersPage,
    letter_line,
    letters_in_trouble,
    letters_page,
    to_look_at,
    unreached,
    without_private,
)
from heritage.people.selectors.membership import (
    MyPage,
    PeoplePage,
    my_page,
    people_page,
)
from heritage.people.selectors.plan import (
    IntakePlan,
    Planned,
    Verdict,
)
from heritage.people.selectors.roll import (
    roll,
    roll_heads,
)
from heritage.people.selectors.wordings import (
    Words,
    all_words,
    current_words,
    photograph_agreement,
    photograph_agreements,
)

__all__ = [
    "AbleLine",
    "AboutPage",
    "Agreed",
    "CompetenceLine",
    "CompetencePage",
    "IntakePlan",
    "InvitationsPage",
    "LetterLine",
    "LettersPage",
    "MyPage",
    "PeoplePage",
    "Planned",
    "Verdict",
    "Words",
    "able_pairs",
    "about_page",
    "address_of",
    "all_words",
    "claims_waiting",
    "competence_page",
    "current_words",
    "first_aiders",
    "intake_plan",
    "invitations_page",
    "letter_line",
    "letters_in_trouble",
    "letters_page",
    "my_page",
    "own_address",
    "people_page",
    "photograph_agreement",
    "photograph_agreements",
    "roll",
    "roll_heads",
    "starting_competences",
    "to_look_at",
    "unreached",
    "without_private",
]
