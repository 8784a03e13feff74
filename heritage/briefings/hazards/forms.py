"""Writing down a hazard."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.briefings.hazards import services
from heritage.briefings.hazards.selectors import (
    LIKELIHOOD_WORDS,
    SEVERITY_WORDS,
    WORK_WORDS,
)
from heritage.briefings.models import ControlKind, Hazard
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import RecordForm, ServiceForm, two_lines
from heritage.people.models import User
from heritage.season.models import Stage

GRADES = ("severity", "likelihood", "severity_after", "likelihood_after")
LONGEST_CONTROL = 240


class HazardForm(RecordForm[Hazard]):
    """A hazard, judged twice, with its controls: one instruction to a line."""

    stages = forms.MultipleChoiceField(
        label=_("At these stages"),
        choices=Stage.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Tick none if it's there at every stage."),
    )
    works = forms.MultipleChoiceField(
        label=_("At these stations"),
        choices=list(WORK_WORDS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Tick none if it's there at every station."),
    )

    class Meta:
        model = Hazard
        fields = [
            "title",
            "where",
            "stages",
            "works",
            "harm",
            "severity",
            "likelihood",
            "severity_after",
            "likelihood_after",
            "severity_reason",
            "controller",
            "caution",
            "mark",
            "review_on",
        ]
        widgets = {
            "harm": forms.Textarea(attrs={"rows": 3}),
            "severity_reason": two_lines(),
            "caution": two_lines(),
            "review_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
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
        controls = self.instance.controls.all() if self.instance.pk else []
        for kind in ControlKind:
            self.fields[kind.name.lower()] = forms.CharField(
                label=_("Controls: %s") % kind.label,
                required=False,
                initial="\n".join(one.text for one in controls if one.kind == kind),
                widget=two_lines(),
                help_text=_("One instruction to a line."),
            )
        # What is done comes between the judgement without it and the one with it.
        done = [kind for kind in ControlKind if self._is_shown(kind)]
        other = [kind.name.lower() for kind in ControlKind if kind not in done]
        more = Fold(_("More controls: another kind"), *other)
        names: list[Any] = list(self.Meta.fields)
        after = names.index("severity_after")
        judged = [*(kind.name.lower() for kind in done), more]
        names = [*names[:after], *judged, *names[after:]]
        folded = ("stages", "works")
        at_most = Fold(_("Only at some stages or stations?"), *folded)
        last = ("severity_reason", "caution", "mark", "review_on")
        shown = Fold(_("More options"), *last)
        laid = [name for name in names if name not in (*folded, *last)]
        self.helper = layout_of(*laid[:2], at_most, *laid[2:], shown)

    def _is_shown(self, kind: ControlKind) -> bool:
        """Tell whether a kind stands open: the commonest, and each that has words."""
        return kind == ControlKind.ORGANISE or bool(self[kind.name.lower()].value())

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for kind in ControlKind:
            too_long = [
                line for line in self._lines(kind) if len(line) > LONGEST_CONTROL
            ]
            if too_long:
                self.add_error(
                    kind.name.lower(),
                    _("Split this in two: an instruction can have up to 240 letters."),
                )
        return data

    def _lines(self, kind: ControlKind) -> list[str]:
        typed = self.cleaned_data.get(kind.name.lower(), "")
        return [line.strip() for line in typed.splitlines() if line.strip()]

    def write(self, *, by: User, now: datetime) -> Hazard:
        return services.keep_hazard(
            hazard=self.instance,
            values=self.values(),
            controls=[
                (kind, line) for kind in ControlKind for line in self._lines(kind)
            ],
            by=by,
            now=now,
        )

    def remove(self, *, by: User, now: datetime) -> None:
        services.delete_hazard(hazard=self.instance, by=by, now=now)


class LookAgainForm(ServiceForm):
    """That a hazard was looked at again: a word on it, and the next day for it."""

    note = forms.CharField(
        label=_("What you found"),
        max_length=200,
        required=False,
    )
    review_on = forms.DateField(
        label=_("Check again on"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=_("If empty, a year from now."),
    )

    def write(self, *, hazard: Hazard, by: User, now: datetime) -> Hazard:
        return services.look_again(hazard=hazard, by=by, now=now, **self.cleaned_data)


class HazardFilter(forms.Form):
    """Which hazards to show: those met at one stage, at one station."""

    stage = forms.ChoiceField(
        label=_("Stage"),
        choices=[("", _("all stages")), *Stage.choices],
        required=False,
    )
    work = forms.ChoiceField(
        label=_("Station"),
        choices=[("", _("all stations")), *WORK_WORDS.items()],
        required=False,
    )

    def chosen(self) -> dict[str, str]:
        """Return what was asked for; what is not known asks for nothing."""
        return {name: self.cleaned_data.get(name, "") for name in self.fields}
