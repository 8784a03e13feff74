"""The forms about people."""

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
    "ChildForm",
    "ColumnsForm",
    "FileForm",
    "InviteForm",
    "JoinForm",
    "KeepingForm",
    "MineForm",
    "NameAtSignup",
    "PersonForm",
    "TakeUpForm",
]
