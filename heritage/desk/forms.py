"""The three forms of the set-up page, checked together.

They are three subjects' forms, which is why forms may import forms.
"""

from datetime import datetime
from typing import Any

from django.http import QueryDict

from heritage.common.forms import Submits
from heritage.dam.forms import DamForm
from heritage.desk import services
from heritage.people.models import User
from heritage.season.forms import DemonstrationForm, PlotForm
from heritage.season.models import Demonstration


class SetUpForms:
    """What is asked to set a demonstration up: it, its plot, its dam.

    ``saved`` is the demonstration, once it is set up.
    """

    saved: Demonstration

    def __init__(self, data: QueryDict | None, **initial: Any) -> None:
        self.demonstration = DemonstrationForm(data, initial=initial)
        self.plot = PlotForm(data, prefix="plot")
        self.dam = DamForm(data, prefix="dam")

    def unjudged(self, data: QueryDict) -> "SetUpForms":
        """Return the same forms as typed, with nothing said of right or wrong."""
        again = SetUpForms(None)
        for name, form in again.parts.items():
            form.initial = as_typed(self.parts[name], data)
        return again

    @property
    def parts(self) -> dict[str, Submits]:
        return {
            "demonstration": self.demonstration,
            "plot": self.plot,
            "dam": self.dam,
        }

    def submit(self, *, by: User, now: datetime) -> bool:
        """Set all of it up, or give a refusal back to the form that it belongs to."""
        parts = self.parts
        if not all(form.is_valid() for form in parts.values()):
            return False
        values = {name: form.cleaned_data for name, form in parts.items()}
        try:
            self.saved = services.set_up(founder=by, now=now, **values)
        except services.PartError as refusal:
            parts[refusal.part].refuse(refusal.error)
            return False
        return True


def as_typed(form: Submits, data: QueryDict) -> dict[str, Any]:
    """Return what was typed into a form, field by field, right or wrong."""
    return {
        name: field.widget.value_from_datadict(data, {}, form.add_prefix(name))
        for name, field in form.fields.items()
    }
