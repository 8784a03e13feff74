"""The organiser's list of what people can do, and the answer to who says so."""

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.forms import RecordForm
from heritage.people.competences import services
from heritage.people.models import Competence, Skill, User, Volunteer
from heritage.people.particulars.forms import DAY
from heritage.season.models import Demonstration

GOOD_UNTIL = _("The last day it's valid. Leave empty if it doesn't run out.")


class CompetenceForm(RecordForm[Competence]):
    """Something that people can do."""

    class Meta:
        model = Competence
        fields = ["title", "asks", "is_first_aid"]
        labels = {"title": _("What somebody can do")}

    def write(self, *, by: User) -> Competence:
        return services.keep_competence(
            competence=self.instance, values=self.values(), by=by
        )

    def remove(self, *, by: User) -> None:
        services.remove_competence(competence=self.instance, by=by)


class StartingForm(forms.Form):
    """Which of our own list to begin with."""

    titles = forms.MultipleChoiceField(
        label=_("Tick those your field needs"),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    def __init__(self, *args: Any, offered: list[Competence], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        words = [(row.title, row.title) for row in offered]
        self.fields["titles"].choices = words  # type: ignore[attr-defined]


class EnterForm(RecordForm[Skill]):
    """That an organiser knows somebody can do something."""

    volunteer = ByName(Volunteer.objects.none(), label=_("Who"))
    competence = forms.ModelChoiceField(
        Competence.objects.none(), label=_("Skill"), empty_label=None
    )

    class Meta:
        model = Skill
        fields = ["volunteer", "competence", "runs_out_on"]
        widgets = {"runs_out_on": DAY}
        help_texts = {"runs_out_on": GOOD_UNTIL}

    def __init__(self, *args: Any, demonstration: Demonstration, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Volunteer.objects.of(demonstration).active().by_name()
        self.offer("volunteer", people)
        rows = demonstration.competences.by_title()
        self.fields["competence"].queryset = rows  # type: ignore[attr-defined]

    def write(self, *, by: User, now: datetime) -> Skill:
        return services.confirm_able(by=by, now=now, **self.values())


class AnswerForm(RecordForm[Skill]):
    """The organiser's answer to somebody who says that they can do something."""

    decision = forms.ChoiceField(
        label=_("Your answer"),
        choices=[("confirm", _("I confirm it")), ("refuse", _("I don't confirm it"))],
        widget=forms.RadioSelect,
    )
    why = forms.CharField(
        label=_("If not, why"),
        max_length=200,
        required=False,
        help_text=_("They'll see this."),
    )
    field_order = ["decision", "runs_out_on", "why"]

    class Meta:
        model = Skill
        fields = ["runs_out_on"]
        widgets = {"runs_out_on": DAY}
        help_texts = {"runs_out_on": GOOD_UNTIL}

    def clean(self) -> dict[str, Any]:
        """Ask for the reason where it is refused."""
        data = super().clean() or {}
        if data.get("decision") == "refuse" and not data.get("why"):
            self.add_error("why", ValidationError(_("Say why. They'll see this.")))
        return data

    def write(self, *, by: User, now: datetime) -> Skill:
        skill: dict[str, Any] = {
            "volunteer": self.instance.volunteer,
            "competence": self.instance.competence,
        }
        if self.cleaned_data["decision"] == "refuse":
            why = self.cleaned_data["why"]
            return services.refuse_able(why=why, by=by, now=now, **skill)
        return services.confirm_able(by=by, now=now, **self.values(), **skill)
