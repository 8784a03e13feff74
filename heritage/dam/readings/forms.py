"""Forms of the readings: typed, corrected, struck, or out of a logger's file."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import RecordForm, ServiceForm
from heritage.common.moments import LocalMoment
from heritage.dam.logger.selectors import MAX_BYTES, Look, Same
from heritage.dam.models import STRUCK_ALONE, Reading, Ret
from heritage.dam.readings import services
from heritage.dam.readings.selectors import Preview, preview_readings
from heritage.people.models import User

SALT = "dam.readings"
HELD_FOR = 24 * 60 * 60
# What a form may carry: the site takes no longer one.
HELD_MOST = 4_500_000
MOST_COLUMNS = 60


class Degrees(forms.DecimalField):
    """A water temperature, with a decimal point or comma, to a tenth."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    default_error_messages = {
        "invalid": _("Enter the temperature as a number, like 16.5.")
    }

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        degrees = super().to_python(str(value or "").replace(",", "."))
        return None if degrees is None else degrees.quantize(Decimal("0.1"))


class ReadingForm(RecordForm[Reading]):
    """One reading of the water, or what a wrong one should have said."""

    temp_c = Degrees(
        label=_("Water, °C"),
        min_value=-5,
        max_value=60,
        help_text=_("At half the depth, in the shade of the bank. Wait two minutes."),
        error_messages={
            "min_value": _("Enter a temperature between -5 and 60 °C."),
            "max_value": _("Enter a temperature between -5 and 60 °C."),
        },
    )
    sure = forms.BooleanField(label=_("I've checked: it's right"), required=False)

    class Meta:
        model = Reading
        fields = ["temp_c", "at"]
        field_classes = {"at": LocalMoment}
        widgets = {"at": LocalMoment.widget}

    def write(self, *, by: User, now: datetime) -> Reading:
        reading, typed = self.instance, self.cleaned_data
        if reading.pk:
            return services.correct_reading(reading=reading, by=by, now=now, **typed)
        return services.add_reading(ret=reading.ret, by=by, now=now, **typed)

    def ask_only_if_asked(self) -> None:
        """Leave the tick out unless there was a question, or it was given.

        The question stands at the number it asks about, not at the tick.
        """
        asked = self.errors.pop("sure", None)
        if asked:
            self.add_error("temp_c", asked.as_data())
        elif not self.data.get("sure"):
            del self.fields["sure"]


class StrikeForm(ServiceForm):
    """Why a reading doesn't count."""

    why = forms.ChoiceField(
        label=_("Why it doesn't count"),
        choices=STRUCK_ALONE,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose why it doesn't count.")},
    )

    def write(self, *, reading: Reading, by: User, now: datetime) -> Reading:
        return services.strike_reading(
            reading=reading, why=self.cleaned_data["why"], by=by, now=now
        )


@dataclass(frozen=True, slots=True)
class Looked:
    """A file that was looked at: its bytes, how it was read and what was found."""

    data: bytes
    look: Look
    preview: Preview

    @property
    def asked(self) -> Look:
        """How it was read, as the page that shows it will say it back."""
        file, look = self.preview.file, self.look
        return Look(
            "" if file.states_its_time else look.clock,
            look.unit,
            file.chosen if len(file.columns) > 1 else (),
            look.same if self.preview.met else Same.BOOK.value,
        )


class ReadingsFileForm(ServiceForm):
    """A logger's file."""

    file = forms.FileField(
        label=_("The logger's file"),
        help_text=_("A text file (CSV) of up to 4 MB and 60,000 rows."),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,text/*"}),
        error_messages={"empty": _("This file is empty. Choose another.")},
    )

    def clean_file(self) -> bytes:
        """Return the bytes: a file too large is not even read."""
        upload = self.cleaned_data["file"]
        if upload.size > MAX_BYTES:
            raise ValidationError(
                _("The file is larger than 4 MB. Save a shorter stretch of the log.")
            )
        content: bytes = upload.read()
        return content

    def write(self, *, ret: Ret, now: datetime) -> Looked:
        data = self.cleaned_data["file"]
        return Looked(data, Look(), preview_readings(ret=ret, data=data, now=now))


def _clocks() -> list[tuple[str, Any]]:
    """Return the clocks a logger may go by: the one on the wall, or one that stays."""
    fixed: list[tuple[str, Any]] = [("+00:00", _("UTC (GMT) all year"))]
    for hours in [*range(1, 15), *range(-1, -13, -1)]:
        fixed.append((f"{hours:+03d}:00", f"UTC{hours:+d}"))
    return [("", _("the clock on the wall here")), *fixed]


class LookForm(ServiceForm):
    """A file that was looked at, carried along, and how it is to be read.

    The file comes back sealed with the look that was shown, so that nobody keeps what
    they have not seen.
    """

    clock = forms.ChoiceField(
        label=_("The logger's clock goes by"), choices=_clocks, required=False
    )
    unit = forms.ChoiceField(
        label=_("Its temperatures are in"),
        choices=[("", _("what the file says, else °C")), ("c", "°C"), ("f", "°F")],
        required=False,
    )
    columns = forms.TypedMultipleChoiceField(
        label=_("Which of these is the water?"),
        help_text=_("Two probes at two depths: tick both, and their mean is taken."),
        choices=[(place, place) for place in range(MOST_COLUMNS)],
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    same = forms.ChoiceField(
        label=_("Where the book has another temperature for the moment"),
        choices=Same,
        widget=forms.RadioSelect,
        required=False,
    )
    doubtful = forms.BooleanField(
        label=_("I've checked the doubtful rows below: keep them too"), required=False
    )
    held = forms.CharField(widget=forms.HiddenInput, max_length=HELD_MOST)

    def __init__(self, *args: Any, ret: Ret, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ret = ret

    def clean_held(self) -> tuple[bytes, Look]:
        try:
            held = signing.loads(self.cleaned_data["held"], salt=SALT, max_age=HELD_FOR)
        except signing.BadSignature:
            held = {}
        if held.get("ret") != self.ret.pk:
            raise ValidationError(_("This page is out of date. Choose the file again."))
        clock, unit, columns, same = held["look"]
        return held["text"].encode("latin-1"), Look(clock, unit, tuple(columns), same)

    @property
    def look(self) -> Look:
        """How the file is to be read by what was chosen."""
        data = self.cleaned_data
        columns = tuple(data["columns"])
        return Look(data["clock"], data["unit"], columns, data["same"] or Same.BOOK)

    @property
    def is_as_seen(self) -> bool:
        """Whether the file is to be read as it was shown."""
        seen: Look = self.cleaned_data["held"][1]
        return self.look == seen

    def write(self, *, now: datetime) -> Looked:
        data, look = self.cleaned_data["held"][0], self.look
        preview = preview_readings(ret=self.ret, data=data, now=now, look=look)
        return Looked(data, look, preview)


def look_form(ret: Ret, looked: Looked, *, may_replace: bool) -> LookForm:
    """Make the form that keeps a file, or has it read otherwise: what it must ask."""
    preview = looked.preview
    initial: dict[str, Any] = looked.asked._asdict() | {"held": hold(ret, looked)}
    form = LookForm(ret=ret, initial=initial)
    named = [
        (one.place, f"{one.heading} ({one.sample})") for one in preview.file.columns
    ]
    form.fields["columns"].choices = named  # type: ignore[attr-defined]
    same = [one for one in Same.choices if may_replace or one[0] != Same.FILE]
    form.fields["same"].choices = same  # type: ignore[attr-defined]
    asked = {
        "clock": not preview.file.states_its_time,
        "columns": len(named) > 1,
        "same": bool(preview.met),
        "doubtful": bool(preview.doubtful),
    }
    for name, is_asked in asked.items():
        if not is_asked:
            del form.fields[name]
    for name in set(form.fields) - {"doubtful"}:
        # Each is answered already: none of them is optional.
        form.fields[name].required = True
    return form


def hold(ret: Ret, looked: Looked) -> str:
    """Seal a file with the look that is shown of it.

    Raises
    ------
    ValidationError
        If it is too long to be carried in a form.
    """
    text = looked.data.decode("latin-1")
    file = {"ret": ret.pk, "text": text, "look": looked.asked}
    held = signing.dumps(file, salt=SALT, compress=True)
    if len(held) > HELD_MOST:
        raise ValidationError(_("The file is too large. Save a shorter stretch."))
    return held
