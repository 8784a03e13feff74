"""Composing a briefing, and saying who has heard it."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.people.models import Volunteer
from heritage.safety.models import Briefing, BriefingVersion, Hazard, HeardHow
from heritage.safety.selectors import TickList
from heritage.safety.services import BriefingWords

BRIEFING_FIELDS = [
    "title",
    "task",
    "in_charge",
    "stop_signal",
    "no_go",
    "clothing",
    "first_aid",
    "emergency",
    "assembly_point",
    "welfare",
    "not_for",
]
LONG_FIELDS = (
    "task",
    "stop_signal",
    "no_go",
    "clothing",
    "first_aid",
    "emergency",
    "welfare",
    "not_for",
)


class BriefingForm(forms.ModelForm[Briefing]):
    """A briefing's words and the hazards it names."""

    class Meta:
        model = Briefing
        fields = [*BRIEFING_FIELDS, "hazards"]
        widgets: dict[str, Any] = {
            name: forms.Textarea(attrs={"rows": 2}) for name in LONG_FIELDS
        } | {"hazards": forms.CheckboxSelectMultiple}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = Hazard.objects.of(self.instance.demonstration).worst_first()
        self.fields["hazards"].queryset = rows  # type: ignore[attr-defined]

    def _post_clean(self) -> None:
        """Leave the row alone: the service fills it in and checks it whole."""

    def words(self) -> BriefingWords:
        """Return what was typed as the service takes it."""
        return BriefingWords(**{n: self.cleaned_data[n] for n in BRIEFING_FIELDS})


class SureForm(forms.Form):
    """Nothing to type: the button itself says that somebody is sure."""


class TickForm(forms.Form):
    """Who stood and listened, or signed the sheet."""

    people = forms.ModelMultipleChoiceField(
        Volunteer.objects.none(),
        label=_("Who heard it"),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tick those who heard it.")},
    )
    how = forms.ChoiceField(
        label=_("How"),
        choices=[
            (HeardHow.ALOUD.value, HeardHow.ALOUD.label),
            (HeardHow.PAPER.value, HeardHow.PAPER.label),
        ],
        initial=HeardHow.ALOUD.value,
        widget=forms.RadioSelect,
    )
    version = forms.ModelChoiceField(
        BriefingVersion.objects.none(), widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, ticks: TickList, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        waiting = [person.pk for person in ticks.waiting]
        people = Volunteer.objects.filter(pk__in=waiting).by_name()
        self.fields["people"].queryset = people  # type: ignore[attr-defined]
        versions = ticks.briefing.versions.all()
        self.fields["version"].queryset = versions  # type: ignore[attr-defined]
        self.fields["version"].initial = ticks.version
