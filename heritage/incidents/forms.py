"""Incidents as they are typed: quickly on a telephone, whole at the table."""

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Hazard
from heritage.common.by_name import ByName
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import RecordForm, WithPhotograph, two_lines
from heritage.common.models import private_key
from heritage.common.moments import LocalMoment
from heritage.common.photographs import PhotographField, read_photograph
from heritage.incidents import services
from heritage.incidents.models import Evidence, Incident, IncidentKind, Witness
from heritage.incidents.selectors import (
    ASKED,
    DECISION_FIELDS,
    ORGANISER_FIELDS,
    fields_open,
)
from heritage.people.models import User, Volunteer


class ReportForm(WithPhotograph[Incident]):
    """A first report: what came of it, where, what happened."""

    happened_at = LocalMoment(label=_("When"))
    photograph = PhotographField(
        label=_("Photo"),
        required=False,
        help_text=_("Only you and the organisers see it."),
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
            "account": _("In your own words. We ask who was hurt later."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"] = forms.ChoiceField(
            label=_("Was somebody hurt?"),
            choices=IncidentKind,
            widget=forms.RadioSelect,
            error_messages={"required": _("Choose one.")},
        )
        self.order_fields(self.field_order)
        self.initial.setdefault("key", private_key())

    def write(self, *, by: User, now: datetime) -> Incident:
        return services.report_incident(
            demonstration=self.instance.demonstration,
            values=self.values(),
            key=self.cleaned_data["key"],
            by=by,
            now=now,
        )

    def keep_photograph(self, *, by: User, now: datetime) -> str:
        """Add the photograph, if there is one; return why it could not be kept."""
        upload = self.cleaned_data["photograph"]
        if not upload:
            return ""
        words = str(_("Photograph sent with the report"))
        try:
            _add_photograph(self.saved, upload, words, by=by, now=now)
        except ValidationError as error:
            return " ".join(error.messages)
        return ""


def _add_photograph(
    incident: Incident, upload: Any, words: str, *, by: User, now: datetime
) -> Evidence:
    """Redraw a photograph and keep it with an incident."""
    prepared = read_photograph(upload.read(), field="photograph")
    return services.add_photograph(
        incident=incident, prepared=prepared, words=words, by=by, now=now
    )


class KnownField(forms.TypedChoiceField):
    """Yes, no, or not known: what is not known is asked for, never guessed."""

    on_one_line = True

    def __init__(self, label: Any) -> None:
        super().__init__(
            label=label,
            required=False,
            coerce=lambda typed: typed == "True",
            empty_value=None,
            choices=[("True", _("yes")), ("False", _("no")), ("", _("not known"))],
            widget=forms.RadioSelect,
        )


AFTERWARDS = ("volunteer", "hazard", "learnt")


class IncidentForm(RecordForm[Incident]):
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
        field_classes = {"volunteer": ByName}
        help_texts = {
            "hurt_contact": _("Only the organisers read this."),
            "born_on": _("For a child: it decides how long this is kept."),
            "injury": _("Which part of the body, and how."),
            "treated_in_hospital": _("A check-up to be safe doesn't count."),
            "hazard": _("The one whose controls didn't work."),
            "volunteer": _("If it is somebody on the list."),
        }

    def __init__(self, *args: Any, as_organiser: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.as_organiser = as_organiser
        for name in ASKED:
            help_text = self.fields[name].help_text
            self.fields[name] = KnownField(self.fields[name].label)
            self.fields[name].help_text = help_text
        here = self.instance.demonstration
        self.offer("volunteer", Volunteer.objects.of(here).active().by_name())
        self.offer("hazard", Hazard.objects.of(here).worst_first())
        may_write = fields_open(self.instance, as_organiser=as_organiser)
        for name in set(self.fields) - may_write:
            del self.fields[name]
        after = [name for name in AFTERWARDS if name in self.fields]
        shown = [name for name in self.fields if name not in after]
        folded = [Fold(_("Who, which hazard, what we learnt"), *after)] if after else []
        self.helper = layout_of(*shown, *folded)

    def write(self, *, by: User, now: datetime) -> Incident:
        return services.change_incident(
            incident=self.instance,
            values=self.cleaned_data,
            by=by,
            now=now,
            as_organiser=self.as_organiser,
        )


class DecisionForm(RecordForm[Incident]):
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
            "told_authority_how": _(
                "Which form or phone call, and the number they gave."
            )
        }

    def write(self, *, by: User, now: datetime) -> Incident:
        return services.decide_reporting(
            incident=self.instance, values=self.values(), by=by, now=now
        )


class HoldForm(RecordForm[Incident]):
    """Why an incident is kept beyond its day."""

    class Meta:
        model = Incident
        fields = ["held_for"]
        help_texts = {
            "held_for": _("Like: a claim. Leave it empty, and we delete it on its day.")
        }

    def write(self, *, by: User, now: datetime) -> Incident:
        return services.hold_incident(
            incident=self.instance, by=by, now=now, **self.values()
        )


class WitnessForm(RecordForm[Witness]):
    """Somebody who saw it."""

    class Meta:
        model = Witness
        fields = ["name", "contact", "says"]
        widgets = {"says": forms.Textarea(attrs={"rows": 4})}
        help_texts = {"says": _("In their own words.")}

    def write(self, *, by: User, now: datetime) -> Witness:
        return services.keep_witness(
            witness=self.instance, values=self.values(), by=by, now=now
        )

    def remove(self, *, by: User, now: datetime) -> None:
        services.take_away_witness(witness=self.instance, by=by, now=now)


class EvidenceForm(WithPhotograph[Evidence]):
    """One more photograph of an incident."""

    photograph = PhotographField(label=_("Photo"))

    field_order = ["photograph", "words"]

    class Meta:
        model = Evidence
        fields = ["words"]

    def write(self, *, by: User, now: datetime) -> Evidence:
        upload, words = self.cleaned_data["photograph"], self.cleaned_data["words"]
        return _add_photograph(self.instance.incident, upload, words, by=by, now=now)


class PeriodForm(forms.Form):
    """The days of a register."""

    first = forms.DateField(
        label=_("From"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    last = forms.DateField(
        label=_("To"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors and data["first"] > data["last"]:
            self.add_error("last", _("Choose a day after the first."))
        return data
