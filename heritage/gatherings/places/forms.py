"""Which place, whose: the small forms behind the buttons of a gathering's page."""

from collections.abc import Sequence
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import ServiceForm
from heritage.gatherings.ground.forms import ButtonForm
from heritage.gatherings.models import Gathering, SignUp, Station
from heritage.gatherings.places import services
from heritage.gatherings.places.selectors import Mine, StationView
from heritage.gatherings.places.services import Ask, Verdict
from heritage.gatherings.rearranging.services import PlannedMove, Rearranged, rearrange
from heritage.people.models import Volunteer


class PlaceButton(ButtonForm):
    """A button of a gathering's page: which of its sign-ups, stations and people."""

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gathering = gathering
        rows = {
            "sign_up": gathering.sign_ups.select_related("volunteer", "gathering"),
            "station": gathering.stations.all(),
            "also": gathering.stations.all(),
            "volunteer": Volunteer.objects.of(gathering.demonstration).active(),
        }
        for name in rows.keys() & self.fields.keys():
            self.fields[name].queryset = rows[name]  # type: ignore[attr-defined]

    def out_of_date(self) -> ValidationError:
        return ValidationError(_("The page was out of date. Choose again, please."))


class PlaceForm(PlaceButton):
    """A station, and who asks for a place there."""

    station = forms.ModelChoiceField(Station.objects.none())
    volunteer = forms.ModelChoiceField(Volunteer.objects.none())

    def write(self, **given: Any) -> SignUp:
        return services.sign_up(**given, **self.cleaned_data)


class MoveForm(PlaceButton):
    """Whose place it is, and the station they go to."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    station = forms.ModelChoiceField(Station.objects.none())

    def write(self, **given: Any) -> SignUp:
        return services.move(**given, **self.cleaned_data)


class GiveUpForm(PlaceButton):
    """Whose place is given up and, once that was asked, the children's too.

    ``gone`` are those who no longer come.
    """

    gone: Sequence[Volunteer] = ()

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    children = forms.ChoiceField(
        choices=[("ask", "ask"), ("too", "too")], required=False
    )

    def write(self, **given: Any) -> SignUp:
        entry = self.cleaned_data["sign_up"]
        beside = self.gathering.sign_ups.live().only_with(entry.volunteer)
        self.gone = [entry.volunteer, *(one.volunteer for one in beside)]
        children: services.Children = self.cleaned_data["children"] or "ask"
        return services.give_up(sign_up=entry, children=children, **given)


class AnswerForm(PlaceButton):
    """Whether somebody who moved up comes."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    comes = forms.TypedChoiceField(
        choices=[("yes", "yes"), ("no", "no")], coerce=lambda word: word == "yes"
    )

    def write(self, **given: Any) -> SignUp:
        return services.answer(**given, **self.cleaned_data)


class WishForm(PlaceButton):
    """Where else somebody would work; nothing ticked takes every wish back."""

    sign_up = forms.ModelChoiceField(SignUp.objects.none())
    also = forms.ModelMultipleChoiceField(Station.objects.none(), required=False)

    def write(self, **given: Any) -> SignUp:
        return services.wish(**given, **self.cleaned_data)


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


class MovesForm(ServiceForm):
    """A suggestion as the lead left it."""

    moves = PlannedMovesField()

    def write(self, **given: Any) -> Rearranged:
        return rearrange(**given, **self.cleaned_data)


class HouseholdForm(ServiceForm):
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
        self.gathering = gathering
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
        asks = []
        for one in self.people:
            key = one.volunteer.pk
            open_to_them = [choice.view.station for choice in one.open_together]
            stations = {station.pk: station for station in open_to_them}
            chosen = self.cleaned_data[f"station_{key}"]
            if chosen is not None:
                also = self.cleaned_data.get(f"also_{key}", [])
                asks.append(Ask(one.volunteer, stations[chosen], tuple(also)))
        return asks

    def write(self, **given: Any) -> list[Verdict]:
        return services.sign_up_together(
            gathering=self.gathering,
            asks=self.asks(),
            only_together=self.cleaned_data.get("only_together", False),
            **given,
        )


def _label(view: StationView) -> str:
    return f"{view.station}: {view.filling.words}"
