"""The forms about people."""

from heritage.people.forms.intake import (
    ColumnsForm,
    FileForm,
)
from heritage.people.forms.keeping import KeepingForm
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
    "JoinForm",
    "KeepingForm",
    "MineForm",
    "NameAtSignup",
    "PersonForm",
]
