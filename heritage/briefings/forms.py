"""Composing a briefing, and saying who has heard it."""

from datetime import datetime
from typing import Any, Final

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.briefings import services
from heritage.briefings.hazards.selectors import WORK_WORDS, hazards_met
from heritage.briefings.models import (
    Acknowledgement,
    Briefing,
    BriefingVersion,
    Hazard,
    HeardHow,
)
from heritage.briefings.selectors import (
    FIELDS,
    TickList,
    planned_parts,
    short_of,
)
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import RecordForm, ServiceForm, two_lines
from heritage.common.parting import TicksByName
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration, Stage

SHORT_FIELDS = {"title", "in_charge", "assembly_point", "grid_reference"}


# What a briefing holds besides its work, its short form and who is in charge.
FOLDED: Final = {
    _("Today, and what stops us"): (
        "plan",
        "stop_signal",
        "no_go",
        "machine_stop",
        "weather",
    ),
    _("Lifting, what to wear, and who it's not for"): (
        "lifting",
        "clothing",
        "not_for",
    ),
    _("First aid and emergency"): (
        "first_aid",
        "aed",
        "hospital",
        "emergency",
        "grid_reference",
        "assembly_point",
        "lost_child",
    ),
    _("Water, shade, toilets, photographs"): ("welfare", "photos"),
}


def _hazards_suggested(form: "BriefingForm") -> bool:
    return not form.instance.pk and bool(form.initial.get("hazards"))


class BriefingForm(RecordForm[Briefing]):
    """A briefing's words and the hazards it names."""

    class Meta:
        model = Briefing
        fields = [*FIELDS, "hazards"]
        widgets: dict[str, Any] = {
            name: two_lines() for name in FIELDS if name not in SHORT_FIELDS
        } | {
            "short": forms.Textarea(attrs={"rows": 12}),
            "hazards": forms.CheckboxSelectMultiple,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = self.instance.demonstration
        self.offer("hazards", Hazard.objects.of(here).worst_first())
        self.helper = layout_of(
            *("title", "task", "short", "in_charge"),
            *(Fold(words, *names) for words, names in FOLDED.items()),
            Fold(_("Hazards"), "hazards", is_open=_hazards_suggested),
        )
        for name, words in planned_parts(here).items():
            self.fields[name].help_text = (
                _("If empty, the emergency sheet says: %s") % words
            )

    def write(self) -> Briefing:
        values = self.values()
        hazards = values.pop("hazards")
        return services.keep_briefing(
            briefing=self.instance, values=values, hazards=hazards
        )


class PublishForm(ServiceForm):
    """Nothing to type: the button itself says that somebody is sure."""

    def write(self, *, briefing: Briefing, by: User, now: datetime) -> BriefingVersion:
        return services.publish(briefing=briefing, user=by, now=now)


class MetAtForm(forms.Form):
    """For which stage and stations hazards are to be suggested."""

    stage = forms.ChoiceField(
        label=_("Stage"),
        choices=[("", _("all stages")), *Stage.choices],
        required=False,
    )
    work = forms.MultipleChoiceField(
        label=_("Stations"),
        choices=list(WORK_WORDS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def suggested(self, demonstration: Demonstration) -> list[Hazard]:
        """Return the hazards met there; none until something is asked for."""
        if not self.is_bound or not self.is_valid():
            return []
        stage, works = self.cleaned_data["stage"], self.cleaned_data["work"]
        if not stage and not works:
            return []
        rows = Hazard.objects.of(demonstration).worst_first()
        return hazards_met(rows, [stage] if stage else [], works)


class TickForm(ServiceForm):
    """Who stood and listened, or signed the sheet."""

    people = TicksByName(
        Volunteer.objects.none(),
        label=_("Who heard it"),
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
    in_short = forms.BooleanField(label=_("In its short form"), required=False)
    version = forms.ModelChoiceField(
        BriefingVersion.objects.none(), widget=forms.HiddenInput
    )

    def __init__(self, *args: Any, ticks: TickList, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        waiting = [person.pk for person in ticks.waiting]
        people = Volunteer.objects.filter(pk__in=waiting).by_name()
        self.offer("people", people)
        versions = ticks.briefing.versions.all()
        self.fields["version"].queryset = versions  # type: ignore[attr-defined]
        self.fields["version"].initial = ticks.version
        if not (ticks.version and short_of(ticks.version.content)):
            del self.fields["in_short"]

    def write(self, *, by: User, now: datetime) -> list[Acknowledgement]:
        return services.acknowledge_all(
            version=self.cleaned_data["version"],
            volunteers=self.cleaned_data["people"],
            how=self.cleaned_data["how"],
            in_short=self.cleaned_data.get("in_short", False),
            by=by,
            now=now,
        )
