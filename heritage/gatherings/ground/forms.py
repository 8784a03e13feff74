"""How days and times of day are typed on a page."""

from django import forms


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class NeededAtTimes(forms.Field):
    """A field that some answers need, so that the page doesn't call it optional."""

    says_optional = False


class ClockInput(forms.TimeInput):
    input_type = "time"

    def __init__(self) -> None:
        super().__init__(format="%H:%M")
