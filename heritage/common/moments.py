"""A moment typed on a form, by the clock on the wall."""

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _


class LocalMoment(forms.DateTimeField):
    """A moment by the clock on the wall; the view has set whose wall."""

    widget = forms.DateTimeInput(
        attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
    )
    default_error_messages = {
        "invalid": _("Write the day and the time, such as 12/08/2026 18:40."),
        "required": _("Give the day and the time."),
    }

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", ["%d/%m/%Y %H:%M", "%d.%m.%Y %H:%M"])
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> datetime | None:
        try:
            return super().to_python(value)
        except ValidationError as error:
            if error.code != "ambiguous_timezone":
                raise
            raise ValidationError(
                _(
                    "The clocks changed then: that time came twice, or not at all. "
                    "Choose a time a little before or after."
                )
            ) from error
