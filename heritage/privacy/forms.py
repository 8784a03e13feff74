"""Forms about privacy."""

from django import forms
from django.utils.translation import gettext_lazy as _


class SureForm(forms.Form):
    """The second step of what cannot be undone."""

    sure = forms.BooleanField(
        label=_("I have read what goes and what stays. It cannot be undone."),
        error_messages={"required": _("Tick that you have read it.")},
    )
