"""Which place, whose: the small forms behind the buttons of a gathering's page."""

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models import Gathering, SignUp, Station
from heritage.gatherings.services import PlannedMove
from heritage.people.models import Volunteer


class PlaceForm(forms.Form):
    """A station, and who asks for a place there."""

    station = forms.ModelChoiceField(Station.objects.none())
    volunteer = forms.ModelChoiceField(Volunteer.objects.none())

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Volunteer.objects.of(gathering.demonstration).active()
        self.fields["station"].queryset = gathering.stations.all()  # type: ignore[attr-defined]
        self.fields["volunteer"].queryset = people  # type: ignore[attr-defined]


class SignUpForm(forms.Form):
    """One sign-up of the gathering and, to move it, the station it goes to."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    station = forms.ModelChoiceField(Station.objects.none(), required=False)

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = gathering.sign_ups.select_related("volunteer", "gathering")
        self.fields["sign_up"].queryset = rows  # type: ignore[attr-defined]
        self.fields["station"].queryset = gathering.stations.all()  # type: ignore[attr-defined]


class GiveUpForm(SignUpForm):
    """Whose place is given up and, once that was asked, the children's too."""

    children = forms.ChoiceField(
        choices=[("ask", "ask"), ("too", "too")], required=False
    )

    def clean_children(self) -> str:
        return self.cleaned_data["children"] or "ask"


class AnswerForm(SignUpForm):
    """Whether somebody who moved up comes."""

    comes = forms.TypedChoiceField(
        choices=[("yes", "yes"), ("no", "no")], coerce=lambda word: word == "yes"
    )


class WishForm(forms.Form):
    """Where else somebody would work; nothing ticked takes every wish back."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    also = forms.ModelMultipleChoiceField(Station.objects.none(), required=False)

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = gathering.sign_ups.select_related("volunteer", "gathering")
        self.fields["sign_up"].queryset = rows  # type: ignore[attr-defined]
        self.fields["also"].queryset = gathering.stations.all()  # type: ignore[attr-defined]


class PlannedMovesField(forms.Field):
    """The moves that were left ticked, each as the page wrote it."""

    widget = forms.MultipleHiddenInput
    default_error_messages: ClassVar = {
        "required": _("Leave at least one move ticked."),
        "invalid": _("The page was out of date. Look it over again, please."),
    }

    def to_python(self, value: Any) -> list[PlannedMove]:
        """Read each move's three keys."""
        moves = []
        for written in value or []:
            keys = str(written).split("-")
            if len(keys) != 3 or not all(key.isdecimal() for key in keys):
                raise forms.ValidationError(self.error_messages["invalid"])
            moves.append(PlannedMove(*(int(key) for key in keys)))
        return moves


class MovesForm(forms.Form):
    """A suggestion as the lead left it."""

    moves = PlannedMovesField()
