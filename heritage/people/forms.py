"""Forms about people."""

from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from heritage.people.models import User


class NameAtSignup(forms.Form):
    """What an account asks for besides the e-mail address."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def signup(self, request: HttpRequest, user: User) -> None:
        """Keep the name with the account that was just made."""
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(["name", "email"])
