"""The gate and the head-count: one line each."""

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.forms import ServiceForm
from heritage.gatherings.gate import services
from heritage.gatherings.gate.selectors import TurnoutRow
from heritage.gatherings.gate.services import Mark
from heritage.gatherings.ground.forms import ButtonForm, ClockInput, NeededAtTimes
from heritage.gatherings.ground.selectors import local_moment
from heritage.gatherings.models import (
    Gathering,
    Muster,
    Safe,
    SignUp,
    Station,
    Turnout,
)
from heritage.people.models import AgeBand, Volunteer


class PersonForm(ButtonForm):
    """Somebody of this demonstration: what a button beside a name sends."""

    volunteer = forms.ModelChoiceField(
        Volunteer.objects.none(),
        error_messages={
            "invalid_choice": _(
                "Nobody with that name is on the list now. Enter it under another name."
            )
        },
    )

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        everybody = Volunteer.objects.of(gathering.demonstration).active()
        self.fields["volunteer"].queryset = everybody  # type: ignore[attr-defined]

    def write(self, *args: Any, **given: Any) -> Volunteer:
        """Return who was pressed."""
        person: Volunteer = self.cleaned_data["volunteer"]
        return person


class GivenStationForm(ButtonForm):
    """The station that somebody at the gate is given."""

    station = forms.ModelChoiceField(
        Station.objects.none(),
        error_messages={
            "required": _("Choose a station."),
            "invalid_choice": _("That station is no longer there. Choose another."),
        },
    )

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gathering = gathering
        rows = gathering.stations.in_order()
        self.fields["station"].queryset = rows  # type: ignore[attr-defined]

    def write(self, **given: Any) -> SignUp:
        return services.put_at(
            gathering=self.gathering, station=self.cleaned_data["station"], **given
        )


class NewcomerForm(ServiceForm):
    """A name said at the gate."""

    name = forms.CharField(
        label=_("A new name"),
        max_length=120,
        help_text=_("An adult. A child comes with the adult who answers for them."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def write(self, **given: Any) -> Turnout:
        return services.arrive_new(**given, **self.cleaned_data)


class ChildForm(ServiceForm):
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
    guardian = ByName(
        Volunteer.objects.none(),
        label=_("The adult in charge of them"),
        error_messages={"unknown": _("Choose an adult who is here.")},
    )

    def __init__(self, *args: Any, adults: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("guardian", adults)

    def write(self, **given: Any) -> Turnout:
        return services.arrive_child(**given, **self.cleaned_data)


class SeenNewForm(ServiceForm):
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
    guardian = ByName(
        Volunteer.objects.none(),
        label=_("For a child: the adult with them"),
        required=False,
        help_text=_("Who answers for them or, until that is known, stays with them."),
        error_messages={"unknown": _("Choose an adult of this list.")},
    )

    def __init__(self, *args: Any, adults: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offer("guardian", adults)

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if data.get("age_band") == AgeBand.ADULT:
            data["guardian"] = None
        return data

    def write(self, **given: Any) -> Safe:
        return services.see_new(**given, **self.cleaned_data)


class EverybodyOutForm(ServiceForm):
    """Why everybody is called out; one press, and words if there is time."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    why = forms.CharField(label=_("Why"), max_length=200, required=False)

    def write(self, **given: Any) -> Muster:
        return services.call_everybody_out(**given, **self.cleaned_data)


class EndNoteField(NeededAtTimes, forms.CharField):
    """How a head-count ended: needed while somebody has not been seen."""


class EndForm(ServiceForm):
    """How the head-count ended."""

    note = EndNoteField(
        label=_("How it ended"),
        max_length=300,
        required=False,
        help_text=_("Needed while somebody has not been seen: where are they?"),
    )

    def write(self, **given: Any) -> Muster:
        return services.end_head_count(**given, **self.cleaned_data)


class TurnoutForm(ServiceForm):
    """Everybody expected and every walk-in: who came, and their times.

    What is written with it is said by the form that is made of it.
    """

    def __init__(
        self,
        *args: Any,
        gathering: Gathering,
        rows: Sequence[TurnoutRow],
        is_over: bool,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.gathering = gathering
        self.rows = {str(row.volunteer.pk): row for row in rows}
        for key, row in self.rows.items():
            name = row.volunteer.name
            self.fields[f"came_{key}"] = forms.BooleanField(
                label=_("%s came") % name, required=False, initial=row.came
            )
            start = row.arrived_at or gathering.starts_at
            # Once it is over, who was not seen to leave left at its end.
            is_here = row.came and not is_over
            end = row.left_at or (None if is_here else gathering.ends_at)
            self._clock(f"from_{key}", _("%s came at") % name, start)
            self._clock(f"to_{key}", _("%s left at") % name, end)

    def _clock(self, name: str, label: Any, moment: datetime | None) -> None:
        zone = self.gathering.demonstration.zone
        initial = moment.astimezone(zone).time() if moment else None
        self.fields[name] = forms.TimeField(
            label=label, required=False, initial=initial, widget=ClockInput
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for key in self.rows:
            start = self._moment(f"from_{key}", None)
            data[f"at_{key}"] = start or self.gathering.starts_at
            data[f"left_{key}"] = self._moment(f"to_{key}", data[f"at_{key}"])
            left = data[f"left_{key}"]
            if data.get(f"came_{key}") and left and left < data[f"at_{key}"]:
                self.add_error(
                    f"to_{key}", _("They leave before they came. Check both times.")
                )
        return data

    def _moment(self, name: str, after: datetime | None) -> datetime | None:
        """Return the time typed on the gathering's day, or on the night after it."""
        clock: time | None = self.cleaned_data.get(name)
        if clock is None:
            return None
        zone = self.gathering.demonstration.zone
        first = self.gathering.starts_at.astimezone(zone).date()
        last = self.gathering.ends_at.astimezone(zone).date()
        try:
            moment = local_moment(first, clock, zone)
            if after and moment < after and last > first:
                moment = local_moment(first + timedelta(days=1), clock, zone)
        except forms.ValidationError as error:
            self.add_error(name, error)
            return None
        return moment

    def marks(self) -> list[Mark]:
        """Return what the list says of each person."""
        data = self.cleaned_data
        return [
            Mark(row.volunteer, data[f"at_{key}"], data[f"left_{key}"])
            if data[f"came_{key}"]
            else Mark(row.volunteer, None, None)
            for key, row in self.rows.items()
        ]
