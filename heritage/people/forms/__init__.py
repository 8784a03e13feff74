"""The forms about people."""

from heritage.people.forms.membership import (
    ChildForm,
    JoinForm,
    MineForm,
    NameAtSignup,
    PersonForm,
)

__all__ = [
    "ChildForm",
    "JoinForm",
    "MineForm",
    "NameAtSignup",
    "PersonForm",
]
