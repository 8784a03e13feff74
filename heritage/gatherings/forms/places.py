"""Which place, whose: the small forms behind the buttons of a gathering's page."""

from typing import Any

from django import forms

from heritage.gatherings.models import Gathering, SignUp, Station
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


class AnswerForm(SignUpForm):
    """Whether somebody who moved up comes."""

    comes = forms.TypedChoiceField(
        choices=[("yes", "yes"), ("no", "no")], coerce=lambda word: word == "yes"
    )
