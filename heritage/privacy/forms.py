"""Forms about privacy."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.forms import RecordForm, ServiceForm
from heritage.fieldlog.models import Receipt
from heritage.people.models import User, Volunteer, VolunteerQuerySet
from heritage.privacy.complaining import services as complaining
from heritage.privacy.erasing.services import carry_out_erasure
from heritage.privacy.keeping.services import tidy
from heritage.privacy.merging.services import merge, settle_name
from heritage.privacy.models import Complaint, ComplaintStep, Erasure, Merge, Tidying
from heritage.season.models import Demonstration


class EraseForm(ServiceForm):
    """The second step of erasing; why others' words that name the person are left."""

    why_left = forms.CharField(
        label=_("Why the name stays in words you could change"),
        max_length=300,
        error_messages={"required": _("Change them, or say why they stay.")},
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Kept with what stays. Don't enter the name here."),
    )
    sure = forms.BooleanField(
        label=_("I've read what we delete and what we keep. It can't be undone."),
        error_messages={"required": _("Please read it, then tick.")},
    )

    def __init__(self, *args: Any, asks_why: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not asks_why:
            del self.fields["why_left"]

    def write(self, *, erasure: Erasure, by: User, now: datetime) -> Erasure:
        why = self.cleaned_data.get("why_left", "")
        return carry_out_erasure(erasure=erasure, why_left=why, by=by, now=now)


class ComplaintForm(RecordForm[Complaint]):
    """What anybody may complain of; who they are is theirs to say."""

    class Meta:
        model = Complaint
        fields = ["about", "name", "contact"]
        labels = {"name": _("Your name"), "contact": _("How to reach you")}
        widgets = {
            "about": forms.Textarea(attrs={"rows": 6}),
            "name": forms.TextInput(attrs={"autocomplete": "name"}),
        }
        help_texts = {
            "about": _("What happened, when, and what would make it better."),
            "contact": _(
                "E-mail or telephone. You get a private link to follow it, too."
            ),
        }

    def write(self, *, by: User | None, now: datetime) -> Complaint:
        here = self.instance.demonstration
        return complaining.complain(demonstration=here, by=by, now=now, **self.values())


class StepForm(RecordForm[ComplaintStep]):
    """One more line of a complaint's story.

    An organiser answers; without one it is the person who complained.
    """

    class Meta:
        model = ComplaintStep
        fields = ["text"]
        labels = {"text": _("What was done, or what you want to add")}
        widgets = {"text": forms.Textarea(attrs={"rows": 3})}

    def write(self, *, now: datetime, by: User | None = None) -> ComplaintStep:
        complaint, values = self.instance.complaint, self.values()
        if by is None:
            return complaining.add_to(complaint=complaint, now=now, **values)
        return complaining.answer(complaint=complaint, by=by, now=now, **values)


class OutcomeForm(RecordForm[Complaint]):
    """How a complaint ended."""

    class Meta:
        model = Complaint
        fields = ["outcome"]
        widgets = {"outcome": forms.Textarea(attrs={"rows": 3})}
        help_texts = {"outcome": _("They will see this.")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["outcome"].required = True

    def write(self, *, by: User, now: datetime) -> Complaint:
        return complaining.end(complaint=self.instance, by=by, now=now, **self.values())


class TidyForm(ServiceForm):
    """That the report was read before anything is deleted."""

    sure = forms.BooleanField(
        label=_("I've read the list. Deleted things don't come back."),
        error_messages={"required": _("Please read the list, then tick.")},
    )

    def write(
        self, *, demonstration: Demonstration, by: User, now: datetime
    ) -> list[Tidying]:
        return tidy(demonstration=demonstration, by=by, now=now)


class PickForm(ServiceForm):
    """The other line of the same person."""

    into: "forms.ModelChoiceField[Any]" = ByName(
        Volunteer.objects.none(), label=_("The one to keep")
    )

    def __init__(self, *args: Any, people: VolunteerQuerySet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("into", people)

    def kept(self) -> Volunteer | None:
        """Return the line to keep, once one is named."""
        is_named = self.is_bound and "into" not in self.errors
        return self.cleaned_data["into"] if is_named else None


class MergeForm(PickForm):
    """The second step of a merge."""

    into = forms.ModelChoiceField(Volunteer.objects.none(), widget=forms.HiddenInput)

    sure = forms.BooleanField(
        label=_("They're one person. I've read what happens."),
        error_messages={"required": _("Tick if they're one person.")},
    )

    def write(self, *, gone: Volunteer, by: User, now: datetime) -> Merge:
        return merge(gone=gone, kept=self.cleaned_data["into"], by=by, now=now)


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


class SameForm(ServiceForm):
    """Whether a line written in by name is somebody's who is known, or another's."""

    same = forms.ModelChoiceField(
        Volunteer.objects.none(),
        required=False,
        error_messages={
            "invalid_choice": _(
                "Nobody with that name is on the list now. Enter it under another name."
            )
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

    def write(self, *, receipt: Receipt, by: User, now: datetime) -> Receipt:
        same = self.cleaned_data["same"]
        return settle_name(receipt=receipt, same_as=same, by=by, now=now)
