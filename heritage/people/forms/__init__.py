"""The forms about people."""

from heritage.people.forms.intake import (
    ColumnsForm,
    FileForm,
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
    "JoinForm",
    "MineForm",
    "NameAtSignup",
    "PersonForm",
]
