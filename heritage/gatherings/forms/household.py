"""One form for a household: who works where, and where else they would."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import Mine, StationView
from heritage.gatherings.services import Ask


class HouseholdForm(forms.Form):
    """A station and wishes for each of a household who has no place yet."""

    only_together = forms.BooleanField(
        label=_("We come only together"),
        required=False,
        help_text=_(
            "Then all of you get a place, or nobody is signed up and you are told why. "
            "Without the tick each of you is taken for themselves."
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
        choices: list[tuple[str, Any]] = [("", _("does not come this time"))]
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
                label=_("Would also work at"),
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
