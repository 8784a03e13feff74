"""The organiser's list of what people can do, and the answer to who says so."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.people.models import Competence, Volunteer
from heritage.people.particulars.forms import DAY
from heritage.season.models import Demonstration

GOOD_UNTIL = _("The last day it is good. Leave it empty if it does not run out.")


class CompetenceForm(forms.Form):
    """Something that people can do."""

    title = forms.CharField(label=_("What somebody can do"), max_length=60)
    asks = forms.CharField(
        label=_("What shows it"),
        max_length=200,
        required=False,
        help_text=_("A certificate, or that you have watched them do it."),
    )
    is_first_aid = forms.BooleanField(
        label=_("Whoever can do this may be the day's first-aider"), required=False
    )


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


class EnterForm(forms.Form):
    """That an organiser knows somebody can do something."""

    volunteer = forms.ModelChoiceField(
        Volunteer.objects.none(), label=_("Who"), empty_label=None
    )
    competence = forms.ModelChoiceField(
        Competence.objects.none(), label=_("Can do"), empty_label=None
    )
    runs_out_on = forms.DateField(
        label=_("Good until"), required=False, widget=DAY, help_text=GOOD_UNTIL
    )

    def __init__(self, *args: Any, demonstration: Demonstration, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Volunteer.objects.of(demonstration).active().by_name()
        self.fields["volunteer"].queryset = people  # type: ignore[attr-defined]
        rows = demonstration.competences.by_title()
        self.fields["competence"].queryset = rows  # type: ignore[attr-defined]


class AnswerForm(forms.Form):
    """The organiser's answer to somebody who says that they can do something."""

    decision = forms.ChoiceField(
        label=_("Your answer"),
        choices=[("confirm", _("I confirm it")), ("refuse", _("I do not"))],
        widget=forms.RadioSelect,
    )
    runs_out_on = forms.DateField(
        label=_("Good until"), required=False, widget=DAY, help_text=GOOD_UNTIL
    )
    why = forms.CharField(
        label=_("If not, why"),
        max_length=200,
        required=False,
        help_text=_("They read it."),
    )

    def clean(self) -> dict[str, Any]:
        """Ask for the reason where it is refused."""
        said = super().clean() or {}
        if said.get("decision") == "refuse" and not said.get("why"):
            self.add_error("why", ValidationError(_("Say why: they read it.")))
        return said
