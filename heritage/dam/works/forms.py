"""Forms of the dam before a filling and after it."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, Row, two_lines
from heritage.common.moments import LocalMoment
from heritage.dam.models import (
    AskedOf,
    DamWork,
    FlowTest,
    LeakTest,
    WaterAsked,
    WorkKind,
)
from heritage.dam.works import services

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class LineForm(RecordForm[Row]):
    """A line of the dam's book, that can be taken away again."""

    decimal: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.decimal:
            self.fields[name].widget.attrs["inputmode"] = "decimal"

    def remove(self, *args: Any, **given: Any) -> None:
        services.remove(row=self.instance)  # type: ignore[arg-type]


class WorkForm(LineForm[DamWork]):
    """Work on the dam, or how its water looked."""

    kind = forms.ChoiceField(
        label=_("What"), choices=WorkKind, widget=forms.RadioSelect
    )

    class Meta:
        model = DamWork
        fields = ["kind", "day", "note"]
        widgets = {"day": DAY, "note": two_lines()}

    def write(self, *, today: date, now: datetime) -> DamWork:
        return services.keep_work(work=self.instance, values=self.values(), today=today)


class LeakForm(LineForm[LeakTest]):
    """Two levels of the water with their times."""

    sure = forms.BooleanField(label=_("I've checked: it's right"), required=False)
    decimal = ("first_depth_m", "second_depth_m", "rain_mm")

    class Meta:
        model = LeakTest
        fields = [
            "first_at",
            "first_depth_m",
            "second_at",
            "second_depth_m",
            "rain_mm",
            "note",
        ]
        field_classes = {"first_at": LocalMoment, "second_at": LocalMoment}
        widgets = {"first_at": LocalMoment.widget, "second_at": LocalMoment.widget}
        help_texts = {
            "first_depth_m": _("To the millimetre, at a stake: 0.985."),
            "second_at": _("A day later or more; nothing let in or out meanwhile."),
        }

    def write(self, *, today: date, now: datetime) -> LeakTest:
        return services.keep_leak(
            test=self.instance,
            values=self.values(),
            now=now,
            sure=self.cleaned_data["sure"],
        )

    def submit(self, **given: Any) -> bool:
        """Ask at the level that rose, and show the tick only where it's wanted."""
        done = super().submit(**given)
        asked = self.errors.pop("sure", None)
        if asked:
            self.add_error("second_depth_m", asked.as_data())
        elif not self.data.get("sure"):
            del self.fields["sure"]
        return done


class FlowForm(LineForm[FlowTest]):
    """A bucket and the seconds that it took."""

    decimal = ("litres", "first_s", "second_s", "third_s")

    class Meta:
        model = FlowTest
        fields = ["supply", "day", "litres", "first_s", "second_s", "third_s"]
        widgets = {"day": DAY}

    def write(self, *, today: date, now: datetime) -> FlowTest:
        return services.keep_flow(test=self.instance, values=self.values(), today=today)


class AskedForm(LineForm[WaterAsked]):
    """Who was asked about the water, when, and what they answered."""

    about = forms.ChoiceField(
        label=_("About"), choices=AskedOf, widget=forms.RadioSelect
    )

    class Meta:
        model = WaterAsked
        fields = [
            "about",
            "who",
            "asked_on",
            "answer",
            "answered_on",
            "words",
            "reference",
        ]
        widgets = {
            "asked_on": DAY,
            "answered_on": DAY,
            "words": two_lines(),
        }

    def write(self, *, today: date, now: datetime) -> WaterAsked:
        return services.keep_asked(
            asked=self.instance, values=self.values(), today=today
        )
