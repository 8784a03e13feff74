"""Forms about privacy."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.people.models import Volunteer, VolunteerQuerySet


class SureForm(forms.Form):
    """The second step of what cannot be undone."""

    sure = forms.BooleanField(
        label=_("I have read what goes and what stays. It cannot be undone."),
        error_messages={"required": _("Tick that you have read it.")},
    )


class EraseForm(SureForm):
    """The second step of erasing; why others' words that name the person are left."""

    why_left = forms.CharField(
        label=_("Why the name is left in words that could be changed"),
        max_length=300,
        error_messages={"required": _("Change them, or say why they stay.")},
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Kept with what stays. Do not write the name here."),
    )
    field_order = ["why_left", "sure"]

    def __init__(self, *args: Any, asks_why: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not asks_why:
            del self.fields["why_left"]


class ComplaintForm(forms.Form):
    """What anybody may complain of; who they are is theirs to say."""

    about = forms.CharField(
        label=_("What it is about"),
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text=_("What happened, when, and what would put it right."),
    )
    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )
    contact = forms.CharField(
        label=_("How to answer you"),
        max_length=200,
        required=False,
        help_text=_(
            "An e-mail address or a telephone number. You can also follow "
            "it at a private address that you get next."
        ),
    )


class StepForm(forms.Form):
    """One more line of a complaint's story."""

    text = forms.CharField(
        label=_("What was done, or what you want to add"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class OutcomeForm(forms.Form):
    """How a complaint ended."""

    outcome = forms.CharField(
        label=_("What came of it"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Whoever complained reads this."),
    )


class TidyForm(forms.Form):
    """That the report was read before anything is deleted."""

    sure = forms.BooleanField(
        label=_("I have read the report. What is deleted does not come back."),
        error_messages={"required": _("Tick that you have read the report.")},
    )


class PickForm(forms.Form):
    """The other line of the same person."""

    into = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("The line that is kept"),
        empty_label=_("choose a line"),
    )

    def __init__(self, *args: Any, people: VolunteerQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"].queryset = people  # type: ignore[attr-defined]


class MergeForm(PickForm):
    """The second step of a merge."""

    sure = forms.BooleanField(
        label=_("They are one person. I have read what happens."),
        error_messages={"required": _("Tick that they are one person.")},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"].widget = forms.HiddenInput()


class EverythingForm(forms.Form):
    """What goes into the archive besides what always does."""

    health = forms.BooleanField(
        label=_("health notes too"),
        required=False,
        help_text=_("Only if you must: people gave them for the first-aider alone."),
    )
    incidents = forms.BooleanField(
        label=_("incidents and the logs of children too"),
        required=False,
        help_text=_("Only if you must: for a claim, or for an authority."),
    )


class SameForm(forms.Form):
    """Whether a line written in by name is somebody's who is known, or another's."""

    same = forms.ModelChoiceField(
        Volunteer.objects.none(),
        required=False,
        error_messages={
            "invalid_choice": _("Nobody of that name is a volunteer here now.")
        },
    )
    other = forms.BooleanField(required=False)

    def __init__(self, *args: Any, people: VolunteerQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["same"].queryset = people  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if not self.errors and bool(data.get("same")) == bool(data.get("other")):
            raise forms.ValidationError(_("Press one of the buttons beside the name."))
        return data
