"""Incidents as they are typed: quickly on a telephone, whole at the table."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Hazard
from heritage.common.models import private_key
from heritage.common.moments import LocalMoment
from heritage.common.records import PlainForm, two_lines
from heritage.incidents.models import Evidence, Incident, IncidentKind, Witness
from heritage.incidents.selectors import DECISION_FIELDS, ORGANISER_FIELDS
from heritage.people.models import Volunteer

KINDS = ".jpg,.jpeg,.png,.webp,.heic,.heif,image/jpeg,image/png,image/webp,image/heic"
ASKED = (
    "work_related", "employer", "on_public_road", "fatal", "treated_in_hospital",
)  # fmt: skip


class Photograph(forms.FileField):
    """A photograph of moderate size; what it truly is, the service finds out."""

    widget = forms.ClearableFileInput(attrs={"accept": KINDS})
    default_error_messages = {"empty": _("The file is empty.")}

    def clean(self, data: Any, initial: Any = None) -> Any:
        upload = super().clean(data, initial)
        most = settings.PICTURE_MAX_BYTES
        if isinstance(upload, UploadedFile) and (upload.size or 0) > most:
            raise ValidationError(
                _("The file is larger than %d MB. Send a smaller copy.")
                % (most // (1024 * 1024))
            )
        return upload


class ReportForm(PlainForm[Incident]):
    """Three things and a press: what came of it, where, what happened."""

    happened_at = LocalMoment(label=_("When"))
    photograph = Photograph(
        label=_("A photograph"),
        required=False,
        help_text=_("Only the organisers and you can see it."),
    )
    key = forms.CharField(max_length=40, widget=forms.HiddenInput, required=False)

    field_order = ["kind", "place", "account", "happened_at", "photograph", "key"]

    class Meta:
        model = Incident
        fields = ["kind", "place", "account", "happened_at"]
        widgets = {
            "kind": forms.RadioSelect,
            "account": forms.Textarea(attrs={"rows": 4}),
        }
        help_texts = {
            "account": _("In your own words. Who was hurt is asked later."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"] = forms.ChoiceField(
            label=_("Was somebody hurt?"),
            choices=IncidentKind,
            widget=forms.RadioSelect,
            error_messages={"required": _("Choose what came of it.")},
        )
        self.fields["kind"].initial = None
        self.order_fields(self.field_order)
        self.initial.setdefault("key", private_key())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if self.errors and "photograph" in self.files:
            self.add_error("photograph", _("Choose the photograph again, please."))
        return data


class KnownField(forms.TypedChoiceField):
    """Yes, no, or not known: what is not known is asked for, never guessed."""

    def __init__(self, label: Any) -> None:
        super().__init__(
            label=label,
            required=False,
            coerce=lambda said: said == "True",
            empty_value=None,
            choices=[("True", _("yes")), ("False", _("no")), ("", _("not known"))],
            widget=forms.RadioSelect,
        )


class IncidentForm(PlainForm[Incident]):
    """All that is written of an incident, as far as the reader may write it."""

    happened_at = LocalMoment(label=_("When"))

    class Meta:
        model = Incident
        fields = ORGANISER_FIELDS
        widgets = {
            "account": forms.Textarea(attrs={"rows": 4}),
            "injury": two_lines(),
            "done": two_lines(),
            "learnt": forms.Textarea(attrs={"rows": 3}),
            "born_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }
        help_texts = {
            "hurt_contact": _("Only the organisers read this."),
            "born_on": _("For a child: it decides how long this is kept."),
            "injury": _("Which part of the body, and how."),
            "treated_in_hospital": _("A check to be safe is no treatment."),
            "hazard": _("The one whose controls did not hold."),
            "volunteer": _("If it is somebody on the list."),
        }

    def __init__(self, *args: Any, open_fields: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ASKED:
            help_text = self.fields[name].help_text
            self.fields[name] = KnownField(self.fields[name].label)
            self.fields[name].help_text = help_text
        here = self.instance.demonstration
        self._choose("volunteer", Volunteer.objects.of(here).active().by_name())
        self._choose("hazard", Hazard.objects.of(here).worst_first())
        for name in set(self.fields) - set(open_fields):
            del self.fields[name]

    def _choose(self, name: str, rows: QuerySet[Any]) -> None:
        field = self.fields[name]
        self.fields[name] = forms.ModelChoiceField(
            rows, required=False, label=field.label, help_text=field.help_text
        )

    def said(self) -> dict[str, Any]:
        """Return what was typed, of the fields that are open to the reader."""
        return dict(self.cleaned_data)


class DecisionForm(PlainForm[Incident]):
    """Whether it was reported: when and how, or why not."""

    class Meta:
        model = Incident
        fields = DECISION_FIELDS
        widgets = {
            "told_authority_on": forms.DateInput(
                attrs={"type": "date"}, format="%Y-%m-%d"
            ),
            "not_told_why": two_lines(),
        }
        help_texts = {
            "told_authority_how": _("By which form or telephone, and the number given.")
        }


class HoldForm(PlainForm[Incident]):
    """Why an incident is kept beyond its day."""

    class Meta:
        model = Incident
        fields = ["held_for"]
        help_texts = {
            "held_for": _(
                "Such as: a claim. Empty, it is deleted when its day is over."
            )
        }


class WitnessForm(PlainForm[Witness]):
    """Somebody who saw it."""

    class Meta:
        model = Witness
        fields = ["name", "contact", "says"]
        widgets = {"says": forms.Textarea(attrs={"rows": 4})}
        help_texts = {"says": _("In their own words.")}


class EvidenceForm(PlainForm[Evidence]):
    """One more photograph of an incident."""

    photograph = Photograph(label=_("The photograph"))

    field_order = ["photograph", "words"]

    class Meta:
        model = Evidence
        fields = ["words"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if self.errors and "photograph" in self.files:
            self.add_error("photograph", _("Choose the photograph again, please."))
        return data


class PeriodForm(forms.Form):
    """The days of a register."""

    first = forms.DateField(
        label=_("From"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    last = forms.DateField(
        label=_("to"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors and data["first"] > data["last"]:
            self.add_error("last", _("This day is before the first."))
        return data
