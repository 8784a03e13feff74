"""Writing down a hazard."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.safety.models import ControlKind, Hazard
from heritage.safety.selectors.hazards import LIKELIHOOD_WORDS, SEVERITY_WORDS
from heritage.safety.services import Assessment

GRADES = ("severity", "likelihood", "severity_after", "likelihood_after")
LONGEST_CONTROL = 240


class HazardForm(forms.ModelForm[Hazard]):
    """A hazard, judged twice, with its controls: one instruction to a line."""

    class Meta:
        model = Hazard
        fields = [
            "title",
            "where",
            "harm",
            "severity",
            "likelihood",
            "severity_after",
            "likelihood_after",
            "severity_reason",
            "controller",
            "caution",
            "mark",
        ]
        widgets = {
            "harm": forms.Textarea(attrs={"rows": 3}),
            "severity_reason": forms.Textarea(attrs={"rows": 2}),
            "caution": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in GRADES:
            words = SEVERITY_WORDS if name.startswith("severity") else LIKELIHOOD_WORDS
            self.fields[name] = forms.TypedChoiceField(
                label=self.fields[name].label,
                coerce=int,
                choices=[(grade, f"{grade}: {word}") for grade, word in words.items()],
            )
        said = self.instance.controls.all() if self.instance.pk else []
        for kind in ControlKind:
            self.fields[kind.name.lower()] = forms.CharField(
                label=_("Controls: %s") % kind.label,
                required=False,
                initial="\n".join(one.text for one in said if one.kind == kind),
                widget=forms.Textarea(attrs={"rows": 2}),
                help_text=_("One instruction to a line."),
            )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for kind in ControlKind:
            too_long = [
                line for line in self._lines(kind) if len(line) > LONGEST_CONTROL
            ]
            if too_long:
                self.add_error(
                    kind.name.lower(),
                    _("An instruction has at most 240 letters; make two of it."),
                )
        return data

    def _post_clean(self) -> None:
        """Leave the row alone: the service fills it in and checks it whole."""

    def _lines(self, kind: ControlKind) -> list[str]:
        typed = self.cleaned_data.get(kind.name.lower(), "")
        return [line.strip() for line in typed.splitlines() if line.strip()]

    def assessment(self) -> Assessment:
        """Return what was typed as the service takes it."""
        said = {name: self.cleaned_data[name] for name in self.Meta.fields}
        controls = [(kind, line) for kind in ControlKind for line in self._lines(kind)]
        return Assessment(**said, controls=controls)
