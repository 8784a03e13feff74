"""Temperatures: one day typed, or a file of many."""

from datetime import datetime
from typing import Any

from crispy_forms.layout import Row
from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import ServiceForm
from heritage.growth.forms import DayInput, Figure, figure, helper_of
from heritage.growth.warmth import services
from heritage.growth.warmth.selectors import DayOfWarmth, ReadDays, read_days
from heritage.kits.tables.read import BYTES_MOST, UnreadableError, read_table
from heritage.people.models import User
from heritage.season.models import Demonstration

TROUBLES_SHOWN = 5


class DayForm(ServiceForm):
    """One day's lowest and highest."""

    day = forms.DateField(label=_("Day"), widget=DayInput)
    tmin_c = Figure(
        label=_("Lowest, °C"), max_digits=4, decimal_places=1, widget=figure()
    )
    tmax_c = Figure(
        label=_("Highest, °C"), max_digits=4, decimal_places=1, widget=figure()
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper_of("day", Row("tmin_c", "tmax_c"))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        low, high = data.get("tmin_c"), data.get("tmax_c")
        if low is not None and high is not None and low > high:
            words = _("The highest can't be below the lowest. Are they swapped?")
            self.add_error("tmax_c", words)
        return data

    def write(self, *, demonstration: Demonstration, by: User, now: datetime) -> int:
        one = DayOfWarmth(**self.cleaned_data)
        return services.take_in_days(
            demonstration=demonstration, days=[one], by=by, now=now
        )


class DaysFileForm(ServiceForm):
    """A file of days; a line that can't be read stops it, unless such are left out."""

    file = forms.FileField(
        label=_("File of temperatures"),
        help_text=_("CSV or XLSX: day, lowest and highest in °C, a line a day."),
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={"empty": _("This file is empty. Choose another.")},
    )
    skip = forms.BooleanField(
        label=_("Leave out lines that can't be read"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = helper_of("file", "skip")

    def clean_file(self) -> ReadDays:
        try:
            lines = read_table(self.cleaned_data["file"].read(BYTES_MOST + 1))
        except UnreadableError as error:
            raise ValidationError(
                _("We can't read this file. Save it as CSV or XLSX, up to 2 MB.")
            ) from error
        return read_days(lines)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        read = data.get("file")
        if read and not (read.days and (data["skip"] or not read.troubles)):
            self.add_error("file", _said_of(read))
        return data

    def write(self, *, demonstration: Demonstration, by: User, now: datetime) -> int:
        return services.take_in_days(
            demonstration=demonstration,
            days=self.cleaned_data["file"].days,
            by=by,
            now=now,
        )


def _said_of(read: ReadDays) -> list[Any]:
    """Say which lines can't be read, the first few of them."""
    if not read.troubles:
        return [_("No day with its temperatures was found, like 2026-05-14,6.5,15.")]
    more = len(read.troubles) - TROUBLES_SHOWN
    said: list[Any] = [*read.troubles[:TROUBLES_SHOWN]]
    return [*said, _("And %d more.") % more] if more > 0 else said
