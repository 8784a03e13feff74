"""Forms of the dam's book."""

from collections.abc import Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.moments import LocalMoment
from heritage.dam.models import Dam, Finding, Ret, Water
from heritage.dam.readings.services import MAX_BYTES, Preview
from heritage.season.models import Demonstration

Row = tuple[datetime, Decimal]
SALT = "dam.readings"
PREVIEW_LASTS = 24 * 60 * 60
WATER_WENT = (Water.LET_GO, Water.SPREAD, Water.RESTED)


class Degrees(forms.DecimalField):
    """A water temperature, with a decimal point or comma, to a tenth."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    default_error_messages = {"invalid": _("Write the degrees as a number: 16.5.")}

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        degrees = super().to_python(str(value or "").replace(",", "."))
        return None if degrees is None else degrees.quantize(Decimal("0.1"))


class DamForm(forms.ModelForm):  # type: ignore[type-arg]
    """The measures of a dam."""

    class Meta:
        model = Dam
        fields = [
            "name",
            "top_length_m",
            "top_width_m",
            "bottom_length_m",
            "bottom_width_m",
            "depth_m",
            "inflow_lps",
            "stone_density",
            "stone_kg",
        ]
        help_texts = {
            "depth_m": _("Printed rules keep a dam to 4 feet, 1.22 m."),
            "inflow_lps": _("Time a bucket: 10 litres in 5 seconds is 2 a second."),
            "stone_kg": _("Weigh a few, and take what everybody can lift with ease."),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self.Meta.fields[1:]:
            self.fields[name].widget.attrs["inputmode"] = "decimal"


class FillForm(forms.ModelForm):  # type: ignore[type-arg]
    """The beginning of a ret."""

    class Meta:
        model = Ret
        fields = ["began_at", "beets", "why_more", "water_depth_m", "beet_dry_kg"]
        field_classes = {"began_at": LocalMoment}
        widgets = {"began_at": LocalMoment.widget}
        help_texts = {
            "began_at": _("When the water closed over the flax."),
            "water_depth_m": _("Over the floor of the dam, with the flax in it."),
        }


class WeighedForm(forms.ModelForm):  # type: ignore[type-arg]
    """The beets that were weighed, in place of a weight that was only reckoned."""

    class Meta:
        model = Demonstration
        fields = ["weighed_beets", "weighed_kg"]


class LiftForm(forms.Form):
    """The lifting of a ret."""

    lifted_at = LocalMoment(
        label=_("Lifted at"), help_text=_("When the last beet was out of the dam.")
    )


class WentForm(forms.Form):
    """What became of spent water, by whose leave and when."""

    went = forms.ChoiceField(
        label=_("What became of it"),
        choices=[(water, water.label) for water in WATER_WENT],
        widget=forms.RadioSelect,
    )
    leave = forms.CharField(
        label=_("Whose leave"),
        max_length=200,
        help_text=_("The regulator's office, the day of its answer, its reference."),
    )
    went_at = LocalMoment(label=_("When"))


class CleanForm(forms.Form):
    """Clean water in the dam again."""

    clean_at = LocalMoment(
        label=_("Clean water in the dam since"),
        help_text=_("When it was filled anew, or found to be clear."),
    )


class ReadingForm(forms.Form):
    """One reading of the water."""

    temp_c = Degrees(
        label=_("Water, °C"),
        min_value=-5,
        max_value=60,
        help_text=_("At half the depth, in the shade of the bank. Wait two minutes."),
        error_messages={
            "min_value": _("Dam water is between -5 and 60 °C."),
            "max_value": _("Dam water is between -5 and 60 °C."),
        },
    )
    at = LocalMoment(label=_("Read at"))
    sure = forms.BooleanField(label=_("I've checked: it's right"), required=False)

    def ask_only_if_asked(self) -> None:
        """Leave the tick out unless there was a question, or it was given.

        The question stands at the number it asks about, not at the tick.
        """
        asked = self.errors.pop("sure", None)
        if asked:
            self.add_error("temp_c", asked.as_data())
        elif not self.data.get("sure"):
            del self.fields["sure"]


class CheckForm(forms.Form):
    """What a readiness test found, or what was seen from the bank."""

    finding = forms.ChoiceField(
        label=_("What you found or saw"),
        choices=Finding,
        widget=forms.RadioSelect,
        help_text=_("Write bubbles down too: without them, none says nothing."),
    )
    at = LocalMoment(label=_("Tested at"))
    note = forms.CharField(
        label=_("Note"),
        max_length=300,
        required=False,
        help_text=_("Which beets, which end, how it felt."),
    )


class ReadingsFileForm(forms.Form):
    """A logger's file."""

    file = forms.FileField(
        label=_("The logger's file"),
        help_text=_(
            "CSV, up to 1 MB and 20,000 rows, with a column for date and time and one "
            "for the water in °C. You see every row before anything is kept."
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,text/*"}),
        error_messages={"empty": _("The file is empty.")},
    )

    def clean_file(self) -> bytes:
        """Return the bytes: a file too large is not even read."""
        upload = self.cleaned_data["file"]
        if upload.size > MAX_BYTES:
            raise ValidationError(
                _("The file is larger than 1 MB. Save a shorter stretch of the log.")
            )
        content: bytes = upload.read()
        return content


class ConfirmReadingsForm(forms.Form):
    """The good rows of a preview, sealed so that they come back unchanged."""

    rows = forms.CharField(widget=forms.HiddenInput, max_length=4_000_000)
    doubtful = forms.BooleanField(required=False)

    def __init__(self, *args: Any, ret: Ret, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ret = ret

    def clean(self) -> dict[str, Any]:
        """Keep of the rows those nobody doubts, and the others if it was said so."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if "rows" in data:
            good, doubtful = data["rows"]
            data["rows"] = good + (doubtful if data.get("doubtful") else [])
        return data

    def clean_rows(self) -> tuple[list[Row], list[Row]]:
        try:
            sealed = signing.loads(
                self.cleaned_data["rows"], salt=SALT, max_age=PREVIEW_LASTS
            )
        except signing.BadSignature:
            sealed = {}
        if sealed.get("ret") != self.ret.pk:
            raise ValidationError(
                _("This look at the file is too old. Choose the file again.")
            )
        return _opened(sealed["rows"]), _opened(sealed["doubtful"])


def _opened(rows: list[list[int]]) -> list[Row]:
    return [
        (datetime.fromtimestamp(stamp, UTC), Decimal(tenths) / 10)
        for stamp, tenths in rows
    ]


def seal(ret: Ret, preview: Preview) -> str:
    """Seal the rows of a preview for the form that confirms them."""
    said = {
        "ret": ret.pk,
        "rows": _closed(preview.rows),
        "doubtful": _closed(preview.doubtful_rows),
    }
    return signing.dumps(said, salt=SALT, compress=True)


def _closed(rows: Sequence[Row]) -> list[list[int]]:
    return [[int(at.timestamp()), int(temp * 10)] for at, temp in rows]
