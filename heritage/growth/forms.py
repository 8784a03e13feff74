"""The sowing of a plot, and what was seen of its crop, as typed."""

import re
import uuid
from datetime import datetime
from decimal import Decimal
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout
from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm
from heritage.growth import services
from heritage.growth.models import STAGES, Flower, Observation, Sowing, Way, Weeds
from heritage.growth.services import MOST_COUNTS, RateMeasure
from heritage.people.models import User
from heritage.season.models import Plot

BETWEEN = re.compile(r"[,;\s]+")
FRAMES = [
    ("", _("not counted")),
    ("0.1", _("25 by 40 cm (0.1 m²)")),
    ("0.25", _("50 by 50 cm (0.25 m²)")),
    ("0.093", _("1 by 1 foot (0.093 m²)")),
    ("1", _("1 by 1 metre")),
]

FIGURES = ("thousand_seed_g", "row_cm", "depth_cm")


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class Figure(forms.DecimalField):
    """A number with a decimal point or comma."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        return super().to_python(str(value or "").replace(",", "."))


def figure() -> forms.TextInput:
    return forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})


def whole() -> forms.NumberInput:
    return forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"})


def helper_of(*rows: Any) -> FormHelper:
    """Lay a form out inside the page's own form tag."""
    helper = FormHelper()
    helper.form_tag = False
    helper.disable_csrf = True
    helper.layout = Layout(*rows)
    return helper


def _choose(words: Any, kinds: Any) -> list[tuple[str, Any]]:
    return [("", words), *kinds.choices]


class SowingForm(RecordForm[Sowing]):
    """How a plot was sown; everything may stay empty."""

    sown_on = forms.DateField(label=_("Sown on"), required=False, widget=DayInput)
    seed = Figure(
        label=_("Seed sown"),
        required=False,
        max_digits=8,
        decimal_places=3,
        widget=figure(),
    )
    seed_in = forms.ChoiceField(label=_("in"), choices=RateMeasure)

    class Meta:
        model = Sowing
        fields = [
            "variety", "thousand_seed_g", "way", "row_cm", "depth_cm", "ground",
            "crop_before", "years_since_flax", "note",
        ]  # fmt: skip
        field_classes = dict.fromkeys(FIGURES, Figure)
        widgets = {
            **{name: figure() for name in FIGURES},
            "years_since_flax": whole(),
        }
        labels = {
            "thousand_seed_g": _("A thousand seeds weigh, g"),
            "row_cm": _("From row to row, cm"),
            "depth_cm": _("How deep, cm"),
        }
        help_texts = {
            "thousand_seed_g": _("On the bag; or weigh 200 seeds and times by 5."),
            "ground": _("Soil, slope, how it was made ready."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["way"] = forms.ChoiceField(
            label=_("How"), choices=_choose(_("not said"), Way), required=False
        )

    def write(self) -> Sowing:
        data = self.cleaned_data
        return services.keep_sowing(
            plot=self.instance.plot,
            sown_on=data["sown_on"],
            seed=data["seed"],
            seed_in=data["seed_in"],
            values=self.values(),
        )


def sowing_initial(plot: Plot, sowing: Sowing | None) -> dict[str, Any]:
    """Return what the form shows beside the row's own fields."""
    rate = sowing.kg_per_ha if sowing else None
    measure = RateMeasure.WHOLE_PLOT if rate is None else RateMeasure.HECTARE
    return {"sown_on": plot.sown_on, "seed": rate, "seed_in": measure}


class CountsField(forms.CharField):
    """Whole numbers, with spaces or commas between them."""

    def prepare_value(self, value: Any) -> Any:
        return " ".join(map(str, value)) if isinstance(value, list) else value

    def clean(self, value: Any) -> Any:
        text = super().clean(self.prepare_value(value))
        typed = [one for one in BETWEEN.split(text) if one]
        for one in typed:
            if not (one.isascii() and one.isdecimal() and len(one) < 7):
                words = _("“%s” is no count. Write them like 165 180 172.")
                raise forms.ValidationError(words % one)
        return [int(one) for one in typed]


class ObservationForm(RecordForm[Observation]):
    """What was seen; at least one thing, and everything else may stay empty."""

    key = forms.UUIDField(widget=forms.HiddenInput, required=False)
    frame_m2 = forms.TypedChoiceField(
        label=_("Frame"), choices=FRAMES, required=False, coerce=Decimal,
        empty_value=None,
    )  # fmt: skip
    counts = CountsField(
        label=_("Plants in the frame, at each spot"),
        required=False,
        max_length=8 * MOST_COUNTS,
        help_text=_("With spaces between, like 165 180 172."),
        widget=forms.TextInput(attrs={"inputmode": "text", "autocomplete": "off"}),
    )

    class Meta:
        model = Observation
        fields = [
            "plot", "seen_on", "flower", "height_cm", "bbch", "frame_m2", "counts",
            "weeds", "stems_yellow", "leaves_fallen", "bolls_green", "bolls_yellow",
            "bolls_brown", "lodged", "note",
        ]  # fmt: skip
        widgets = {
            "seen_on": DayInput(),
            **dict.fromkeys(
                (
                    "height_cm", "stems_yellow", "leaves_fallen", "bolls_green",
                    "bolls_yellow", "bolls_brown", "lodged",
                ),
                whole(),
            ),
        }  # fmt: skip
        labels = {
            "height_cm": _("Height, cm"),
            "stems_yellow": _("Stems yellow this far up, %"),
            "leaves_fallen": _("Leaves off this far up, %"),
            "bolls_green": _("Green bolls"),
            "bolls_yellow": _("Yellow bolls"),
            "bolls_brown": _("Brown bolls"),
            "lodged": _("Lying flat, %"),
        }
        help_texts = {
            "height_cm": _("From the ground to the top, at a few typical spots."),
            "stems_yellow": _("0 = all green, 33 = the lower third, 100 = all."),
            "leaves_fallen": _("From the ground up: 67 = the lower two thirds."),
            "lodged": _("Of the whole plot: 0 = all upright, 100 = all flat."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = self.instance.plot.demonstration
        self.offer("plot", Plot.objects.of(here).in_order())
        self.fields["plot"].empty_label = None  # type: ignore[attr-defined]
        self.fields["key"].initial = uuid.uuid4
        for name, words, kinds in (
            ("flower", _("didn't look"), Flower),
            ("weeds", _("didn't look"), Weeds),
        ):
            self.fields[name] = forms.ChoiceField(
                label=self.fields[name].label,
                choices=_choose(words, kinds),
                required=False,
            )
        self.fields["bbch"] = forms.TypedChoiceField(
            label=_("Stage"),
            choices=[("", _("didn't look")), *STAGES],
            coerce=int,
            empty_value=None,
            required=False,
        )

    def write(self, *, by: User, now: datetime) -> Observation:
        """Write a new one down, or change one."""
        values = self.values()
        if self.instance.pk:
            return services.change_observation(
                observation=self.instance, values=values, now=now
            )
        return services.observe(
            plot=values.pop("plot"),
            seen_on=values.pop("seen_on"),
            by=by,
            now=now,
            values=values,
            key=self.cleaned_data["key"],
        )

    def remove(self, *args: Any, **given: Any) -> None:
        services.remove_observation(observation=self.instance)
