"""Times of day typed on a page, as moments where the demonstration is."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from django import forms
from django.utils.translation import gettext_lazy as _


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")


def local_moment(day: date, clock: time, zone: ZoneInfo) -> datetime:
    """Return the moment, refusing a time the clocks skip or strike twice."""
    moment = datetime.combine(day, clock, zone)
    if moment.utcoffset() == moment.replace(fold=1).utcoffset():
        return moment.astimezone(UTC)
    back = moment.astimezone(UTC).astimezone(zone)
    if back.replace(tzinfo=None) != moment.replace(tzinfo=None):
        raise forms.ValidationError(
            _("The clocks go forward over that time: it does not happen that day.")
        )
    raise forms.ValidationError(
        _("The clocks go back that night, so that time comes twice. Choose another.")
    )
