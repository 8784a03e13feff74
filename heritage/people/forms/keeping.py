"""How the people of a demonstration are kept."""

from django import forms
from django.utils.translation import gettext_lazy as _


class KeepingForm(forms.Form):
    """Ages or dates of birth, and how long somebody has to answer."""

    asks_birth_date = forms.TypedChoiceField(
        label=_("How old people are"),
        choices=[
            ("no", _("Ask for an age, such as 13 to 15. It is enough for every rule.")),
            ("yes", _("Ask for the date of birth.")),
        ],
        coerce=lambda word: word == "yes",
        widget=forms.RadioSelect,
        help_text=_(
            "With dates, somebody who turns 16 before an evening counts as 16 there. "
            "Going back to ages deletes every date that is held, at once."
        ),
    )
    answer_hours = forms.IntegerField(
        label=_("Hours to answer when a place comes free"),
        min_value=1,
        max_value=168,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text=_(
            "Whoever moves up from a waiting list says within this time that they "
            "come. After it the place goes to the next."
        ),
    )
