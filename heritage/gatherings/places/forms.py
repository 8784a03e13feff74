"""Which place, whose: the small forms behind the buttons of a gathering's page."""

from collections.abc import Sequence
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models import Gathering, SignUp, Station
from heritage.gatherings.places.selectors import Mine, StationView
from heritage.gatherings.places.services import Ask
from heritage.gatherings.rearranging.services import PlannedMove
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


class HouseholdForm(forms.Form):
    """A station and wishes for each of a household who has no place yet."""

    only_together = forms.BooleanField(
        label=_("We come only together"),
        required=False,
        help_text=_(
            "Then all of you get a place, or nobody does. Without it each gets what "
            "there is, but a child under 13 only beside their adult."
        ),
    )

    def __init__(
        self,
        *args: Any,
        gathering: Gathering,
        people: Sequence[Mine],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.people = [one for one in people if one.open_together]
        if len(self.people) < 2:
            del self.fields["only_together"]
        for one in self.people:
            self._ask(one, gathering)
        names = [name for name in self.fields if name != "only_together"]
        self.order_fields([*names, "only_together"])

    def _ask(self, one: Mine, gathering: Gathering) -> None:
        """Ask for one person's station and wishes."""
        key = one.volunteer.pk
        rows = gathering.stations
        choices: list[tuple[str, Any]] = [("", _("Not coming"))]
        choices += [(str(c.view.station.pk), _label(c.view)) for c in one.open_together]
        self.fields[f"station_{key}"] = forms.TypedChoiceField(
            label=_("Station"),
            choices=choices,
            coerce=int,
            empty_value=None,
            required=False,
        )
        if one.may_wish:
            wished = [station.pk for station in one.may_wish]
            self.fields[f"also_{key}"] = forms.ModelMultipleChoiceField(
                rows.filter(pk__in=wished).in_order(),
                label=_("Could also help with"),
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )

    def of_each(self) -> list[tuple[Mine, list[forms.BoundField]]]:
        """Return the fields person by person, for the page."""
        names = ("station", "also")
        return [
            (
                one,
                [
                    self[f"{name}_{one.volunteer.pk}"]
                    for name in names
                    if f"{name}_{one.volunteer.pk}" in self.fields
                ],
            )
            for one in self.people
        ]

    def asks(self) -> list[Ask]:
        """Return what was asked, for everybody who comes."""
        found = []
        for one in self.people:
            key, stations = (
                one.volunteer.pk,
                {s.view.station.pk: s for s in one.open_together},
            )
            chosen = self.cleaned_data[f"station_{key}"]
            if chosen is not None:
                also = self.cleaned_data.get(f"also_{key}", [])
                wanted = stations[chosen].view.station
                found.append(Ask(one.volunteer, wanted, tuple(also)))
        return found


def _label(view: StationView) -> str:
    return f"{view.station}: {view.filling.words}"
