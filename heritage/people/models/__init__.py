"""Accounts, the people of a demonstration, and what is held of them."""

from heritage.people.models.account_letters import (
    AccountLetter,
    AccountLetterQuerySet,
)
from heritage.people.models.accounts import (
    User,
    UserManager,
)
from heritage.people.models.competences import (
    Competence,
    CompetenceQuerySet,
    Skill,
    SkillQuerySet,
)
from heritage.people.models.invitations import (
    Invitation,
    InvitationQuerySet,
)
from heritage.people.models.letters import (
    Letter,
    LetterQuerySet,
    LetterState,
)
from heritage.people.models.particulars import (
    AgreedHow,
    Agreement,
    AgreementQuerySet,
    HealthNote,
    HealthNoteQuerySet,
    PersonalQuerySet,
    Subject,
    Wording,
    WordingQuerySet,
)
from heritage.people.models.volunteers import (
    AgeBand,
    Volunteer,
    VolunteerQuerySet,
)

__all__ = [
    "AccountLetter",
    "AccountLetterQuerySet",
    "AgeBand",
    "AgreedHow",
    "Agreement",
    "AgreementQuerySet",
    "Competence",
    "CompetenceQuerySet",
    "HealthNote",
    "HealthNoteQuerySet",
    "Invitation",
    "InvitationQuerySet",
    "Letter",
    "LetterQuerySet",
    "LetterState",
    "PersonalQuerySet",
    "Skill",
    "SkillQuerySet",
    "Subject",
    "User",
    "UserManager",
    "Volunteer",
    "VolunteerQuerySet",
    "Wording",
    "WordingQuerySet",
]
