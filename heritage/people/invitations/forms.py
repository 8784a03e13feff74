"""Inviting somebody, and saying yes."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.people.forms import JoinForm
from heritage.people.models import Invitation

ROLES = [("no", _("as a volunteer")), ("yes", _("as an organiser"))]


class InviteForm(forms.Form):
    """Whom to invite, and as what."""

    email = forms.EmailField(
        label=_("E-mail address"),
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )
    as_organiser = forms.TypedChoiceField(
        label=_("Invite them"),
        choices=ROLES,
        coerce="yes".__eq__,
        initial="no",
        widget=forms.RadioSelect,
        help_text=_(
            "An organiser sees and changes everything here, other people's details too."
        ),
    )


class TakeUpForm(JoinForm):
    """What somebody says about themselves when they take up an invitation."""

    def __init__(self, *args: Any, invitation: Invitation, **kwargs: Any) -> None:
        super().__init__(*args, demonstration=invitation.demonstration, **kwargs)
        # Where dates of birth are kept the date says it.
        if invitation.as_organiser and "age_band" in self.fields:
            del self.fields["age_band"]
            self.fields["is_adult"] = forms.BooleanField(label=_("I am 18 or over"))

    def said(self) -> dict[str, Any]:
        """Return what was typed, as the service takes it."""
        return {k: v for k, v in super().said().items() if k != "is_adult"}
