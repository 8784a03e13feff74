"""The gate and the head-count: one line each."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models import Station
from heritage.people.models import AgeBand, Volunteer


class PersonForm(forms.Form):
    """Somebody of this demonstration: what a button beside a name sends."""

    volunteer = forms.ModelChoiceField(
        Volunteer.objects.none(),
        error_messages={
            "invalid_choice": _("Nobody of that name is a volunteer here now.")
        },
    )

    def __init__(self, *args: Any, everybody: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["volunteer"].queryset = everybody  # type: ignore[attr-defined]


class GivenStationForm(forms.Form):
    """The station that somebody at the gate is given."""

    station = forms.ModelChoiceField(
        Station.objects.none(),
        error_messages={
            "required": _("Choose a station."),
            "invalid_choice": _("That station is no longer there. Choose another."),
        },
    )

    def __init__(self, *args: Any, stations: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["station"].queryset = stations  # type: ignore[attr-defined]


class NewcomerForm(forms.Form):
    """A name said at the gate."""

    name = forms.CharField(
        label=_("A new name"),
        max_length=120,
        help_text=_("An adult. A child comes with the adult who answers for them."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class ChildForm(forms.Form):
    """A child who came along with an adult who is here."""

    # It stands on a page with another form that asks for a name.
    prefix = "child"

    name = forms.CharField(
        label=_("Name of the child"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    age_band = forms.ChoiceField(
        label=_("How old"),
        choices=AgeBand.of_children,
    )
    guardian = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("The adult with them, who answers for them"),
        empty_label=_("choose a name"),
        error_messages={"invalid_choice": _("Choose an adult who is here.")},
    )

    def __init__(self, *args: Any, adults: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["guardian"].queryset = adults  # type: ignore[attr-defined]


class SeenNewForm(forms.Form):
    """Somebody at the meeting point who is on no list: a grown person, or a child."""

    name = forms.CharField(
        label=_("A new name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    age_band = forms.ChoiceField(
        label=_("How old"),
        choices=lambda: [
            (AgeBand.ADULT.value, _("an adult")),
            *(
                (band, _("a child, %s") % words)
                for band, words in AgeBand.of_children()
            ),
        ],
        initial=AgeBand.ADULT,
    )
    guardian = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("For a child: the adult with them"),
        required=False,
        empty_label=_("choose a name"),
        help_text=_("Who answers for them or, until that is known, stays with them."),
        error_messages={"invalid_choice": _("Choose an adult of this list.")},
    )

    def __init__(self, *args: Any, adults: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["guardian"].queryset = adults  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("age_band") == AgeBand.ADULT:
            data["guardian"] = None
        return data


class EverybodyOutForm(forms.Form):
    """Why everybody is called out; one press, and words if there is time."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    why = forms.CharField(label=_("Why"), max_length=200, required=False)


class EndForm(forms.Form):
    """How the head-count ended."""

    note = forms.CharField(
        label=_("How it ended"),
        max_length=300,
        required=False,
        help_text=_("Needed while somebody has not been seen: where are they?"),
    )
