"""Forms of the grass."""

import uuid
from datetime import date, datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, ServiceForm
from heritage.common.moments import LocalMoment
from heritage.fibre.forms import BeetsForm, Figure
from heritage.fibre.grass import services
from heritage.fibre.models import Done, GrassEntry, GrassWeather, Spreading, Wet
from heritage.lots.models import Move
from heritage.people.models import User
from heritage.season.models import Demonstration


class SpreadForm(BeetsForm):
    """Lots that were spread, where and when."""

    where = forms.CharField(
        label=_("Where"), max_length=120, help_text=_("The field, and which end of it.")
    )
    spread_at = LocalMoment(label=_("Spread at"))
    area_m2 = forms.IntegerField(
        label=_("Grass used, m²"),
        min_value=1,
        max_value=200_000,
        required=False,
        help_text=_("Pace it: length times breadth is near enough."),
    )
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def write(
        self, *, demonstration: Demonstration, way: str, by: User, now: datetime
    ) -> Spreading:
        return services.spread(
            demonstration=demonstration,
            way=way,
            beets=self.beets(),
            by=by,
            now=now,
            **{name: self.cleaned_data[name] for name in SPREAD_FIELDS},
        )


SPREAD_FIELDS = ("where", "spread_at", "area_m2", "note")


class SpreadingForm(RecordForm[Spreading]):
    """Correct where a spreading lies."""

    class Meta:
        model = Spreading
        fields = ["where", "area_m2", "note"]

    def write(self, *, now: datetime) -> Spreading:
        return services.change_spreading(spreading=self.instance, values=self.values())

    def remove(self, *args: Any, **given: Any) -> None:
        services.remove_spreading(spreading=self.instance, **given)


class EntryForm(RecordForm[GrassEntry]):
    """What was done with a spreading, or found of it."""

    what = forms.ChoiceField(
        label=_("What was done"), choices=Done, widget=forms.RadioSelect
    )

    class Meta:
        model = GrassEntry
        fields = ["what", "at", "note"]
        field_classes = {"at": LocalMoment}
        widgets = {"at": LocalMoment.widget}

    def write(self, *, by: User, now: datetime) -> GrassEntry:
        return services.write_entry(
            entry=self.instance, by=by, now=now, **self.values()
        )

    def remove(self, *args: Any, **given: Any) -> None:
        services.remove_entry(entry=self.instance)


class WeatherForm(ServiceForm):
    """How wet and warm a day was."""

    day = forms.DateField(
        label=_("Day"), widget=forms.DateInput(attrs={"type": "date"})
    )
    wet = forms.ChoiceField(
        label=_("How wet"),
        choices=Wet,
        widget=forms.RadioSelect,
        help_text=_("The night before counts too."),
    )
    mean_c = Figure(
        label=_("Mean temperature, °C"),
        min_value=-30,
        max_value=45,
        decimal_places=1,
        max_digits=4,
        required=False,
        help_text=_("Halfway between the warmest and the coldest."),
    )

    def write(self, *, demonstration: Demonstration, today: date) -> GrassWeather:
        return services.keep_weather(
            demonstration=demonstration, today=today, **self.cleaned_data
        )


class BringInForm(BeetsForm):
    """What came in from the grass."""

    at = LocalMoment(label=_("Brought in at"))
    note = forms.CharField(
        label=_("Note"),
        max_length=200,
        required=False,
        help_text=_("Where it stands in the store, how dry it felt."),
    )
    key = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    def write(self, *, spreading: Spreading, by: User, now: datetime) -> list[Move]:
        return services.bring_in(
            spreading=spreading,
            beets=self.beets(),
            at=self.cleaned_data["at"],
            note=self.cleaned_data["note"],
            key=self.cleaned_data["key"],
            by=by,
            now=now,
        )
