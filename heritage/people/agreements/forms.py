"""Words to publish, to agree to, and the note that is kept under them."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.people.agreements.selectors import Words


class WordingForm(forms.Form):
    """New words on a subject."""

    text = forms.CharField(
        label=_("The words that people read"),
        max_length=3000,
        widget=forms.Textarea(attrs={"rows": 12}),
        help_text=_(
            "Short sentences, and no more than one thing to agree to. An empty line "
            "begins a new paragraph."
        ),
    )


class AgreeForm(forms.Form):
    """One box, unticked, under one version of some words."""

    number = forms.IntegerField(widget=forms.HiddenInput)
    agreed = forms.BooleanField(
        error_messages={"required": _("Tick the box if you agree. You need not.")}
    )

    def __init__(self, *args: Any, words: Words, agree: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["agreed"].label = agree
        self.fields["number"].initial = words.number

    def ask_again(self, words: Words) -> None:
        """Where other words were read than hold now, ask anew with the box unticked."""
        if "number" not in self.errors:
            return
        said = self.errors.pop("number").as_data()
        self.add_error(None, said)
        sent: Any = self.data
        sent = sent.copy()
        sent["number"] = str(words.number)
        sent.pop("agreed", None)
        self.data = sent


class NoteForm(AgreeForm):
    """A note on health and access, with the agreement that it is kept."""

    text = forms.CharField(
        label=_("Health and access"),
        max_length=600,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off"}),
        help_text=_(
            "What a first-aider should know: an allergy, an inhaler and where it is, a "
            "step that cannot be climbed."
        ),
    )
    field_order = ["text", "agreed", "number"]
