"""The forms about people."""

from heritage.people.forms.agreements import (
    AgreeForm,
    NoteForm,
    WordingForm,
)
from heritage.people.forms.competences import (
    AnswerForm,
    CompetenceForm,
    EnterForm,
    StartingForm,
)
from heritage.people.forms.intake import (
    ColumnsForm,
    FileForm,
)
from heritage.people.forms.invitations import (
    InviteForm,
    TakeUpForm,
)
from heritage.people.forms.keeping import (
    KeepingForm,
)
from heritage.people.forms.membership import (
    ChildForm,
    JoinForm,
    MineForm,
    NameAtSignup,
    PersonForm,
)

__all__ = [
    "AgreeForm",
    "AnswerForm",
    "ChildForm",
    "ColumnsForm",
    "CompetenceForm",
    "EnterForm",
    "FileForm",
    "InviteForm",
    "JoinForm",
    "KeepingForm",
    "MineForm",
    "NameAtSignup",
    "NoteForm",
    "PersonForm",
    "StartingForm",
    "TakeUpForm",
    "WordingForm",
]
