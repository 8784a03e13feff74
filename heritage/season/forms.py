"""Forms about a demonstration, its plots and its stages."""

from decimal import Decimal
from typing import Any
from zoneinfo import available_timezones

from crispy_forms.layout import HTML, Fieldset, Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.calc import money
from heritage.common.folding import Fold, layout_of
from heritage.common.forms import RecordForm, ServiceForm, two_lines
from heritage.season import services
from heritage.season.models import AreaMeasure, Demonstration, Plot, StageRecord

PLACE = ["latitude", "longitude", "time_zone", "skyline_deg", "stop_margin_min"]
WORDS = ["name", "year", "crop", "place_name", "directions", "contact", "story"]
VISIT = ["parking", "footwear", "dogs", "toilets", "access"]
MEASURES = ["beets_per_stook", "part_stooks", "root_end"]
LIGHT_THERE = '{% include "season/_light_there.html" with asked=request.POST.look %}'
DAY = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


def zone_choices() -> list[tuple[str, str]]:
    """Return the time zones that name a place, Europe's first."""
    names = sorted(name for name in available_timezones() if "/" in name)
    placed = [name for name in names if not name.startswith(("Etc/", "SystemV/"))]
    placed.sort(key=lambda name: (not name.startswith("Europe/"), name))
    return [(name, name.replace("_", " ")) for name in placed]


class OldMoneyField(forms.Field):
    """An amount in pounds, shillings and pence, kept in whole farthings."""

    def to_python(self, value: Any) -> int:
        text = str(value or "").strip()
        if not text:
            return 0
        try:
            return money.read_old(text)
        except ValueError as error:
            raise ValidationError(
                _("Write old money like £1 3s 6½d, 2s or 6d."), code="invalid"
            ) from error

    def prepare_value(self, value: Any) -> Any:
        return money.write_old(value) if isinstance(value, int) else value


class DemonstrationForm(RecordForm[Demonstration]):
    """What a demonstration is, where it is, and by which measures it counts."""

    time_zone = forms.ChoiceField(
        label=_("Time zone"), choices=zone_choices, initial="Europe/London"
    )
    token_rate_farthings = OldMoneyField(
        label=_("Token pay for a stook, in old money"),
        required=False,
        help_text=_("Like 1s or 6d; empty for none. It is shown in new money too."),
    )

    class Meta:
        model = Demonstration
        fields = [
            *WORDS,
            *VISIT,
            *PLACE,
            "jurisdiction",
            *MEASURES,
            "token_rate_farthings",
            "is_public",
        ]
        widgets = {
            "place_name": two_lines(),
            "directions": forms.Textarea(attrs={"rows": 3}),
            "story": forms.Textarea(attrs={"rows": 5}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(*self.sections())

    def sections(self) -> list[Any]:
        return [
            Fieldset(_("What it is"), "name", Row("year", "crop")),
            Fieldset(
                _("Where it is"),
                "place_name",
                "directions",
                "jurisdiction",
            ),
            Fold(
                _("Exact place, and sunset"),
                Row("latitude", "longitude"),
                "time_zone",
                HTML(LIGHT_THERE),
                Row("skyline_deg", "stop_margin_min"),
                is_open=lambda form: "look" in form.data,
            ),
            Fold(
                _("Counting and pay"),
                "beets_per_stook",
                Row("token_rate_farthings", "part_stooks"),
                "root_end",
            ),
            Fieldset(_("What visitors see"), "story", "contact", "is_public"),
            Fold(_("When people visit"), *VISIT),
        ]

    def place(self) -> dict[str, Any] | None:
        """Return where the form says it is, or None until it can be somewhere."""
        names = ("latitude", "longitude", "time_zone", "skyline_deg")
        if not self.is_bound:
            place = {name: getattr(self.instance, name) for name in names}
        else:
            self.is_valid()
            place = {name: self.cleaned_data.get(name) for name in names}
        return None if None in place.values() else place

    def write(self) -> Demonstration:
        return services.change_demonstration(
            demonstration=self.instance, **self.values()
        )


class PlotForm(ServiceForm):
    """A plot, its area in whichever measure is at hand."""

    name = forms.CharField(label=_("Plot"), max_length=60, initial=_("The field"))
    area = forms.DecimalField(
        label=_("Area"), max_digits=12, decimal_places=4, min_value=Decimal("0.0001")
    )
    measure = forms.ChoiceField(
        label=_("in"), choices=AreaMeasure, initial=AreaMeasure.ACRES
    )
    expected_beets = forms.IntegerField(
        label=_("Beets expected"),
        required=False,
        min_value=1,
        max_value=10_000_000,
        help_text=_(
            "Leave it empty until you have counted a piece: there is a wide "
            "estimate from the area."
        ),
    )
    sown_on = forms.DateField(label=_("Sown on"), required=False, widget=DAY)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            "name",
            Row("area", "measure", css_class="row-measure"),
            Row("expected_beets", "sown_on"),
        )

    def write(self, *, plot: Plot) -> Plot:
        return services.keep_plot(plot=plot, **self.cleaned_data)


def plot_initial(plot: Plot) -> dict[str, Any]:
    """Return what the form shows of a plot that is there already."""
    return {
        "name": plot.name,
        "area": services.in_measure(plot),
        "measure": plot.entered_in,
        "expected_beets": plot.expected_beets,
        "sown_on": plot.sown_on,
    }


class StageForm(RecordForm[StageRecord]):
    """When a stage is planned and when it was done."""

    class Meta:
        model = StageRecord
        fields = ["planned_from", "planned_to", "started_on", "finished_on", "note"]
        widgets = {
            "planned_from": DAY,
            "planned_to": DAY,
            "started_on": DAY,
            "finished_on": DAY,
            "note": two_lines(),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = layout_of(
            Fieldset(_("Planned"), Row("planned_from", "planned_to")),
            Fieldset(_("Done"), Row("started_on", "finished_on")),
            "note",
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for first, last in (
            ("planned_from", "planned_to"),
            ("started_on", "finished_on"),
        ):
            if data.get(first) and data.get(last) and data[last] < data[first]:
                self.add_error(last, _("Choose a day on or after the start."))
        return data

    def write(self) -> StageRecord:
        record = self.instance
        return services.record_stage(
            demonstration=record.demonstration, stage=record.stage, **self.values()
        )
