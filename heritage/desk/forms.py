"""The three forms of the set-up page, checked together.

They are three subjects' forms, which is why forms may import forms.
"""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import QueryDict

from heritage.common.forms import Submits
from heritage.dam.forms import DamForm
from heritage.season.forms import DemonstrationForm, PlotForm


class SetUpForms:
    """What is asked to set a demonstration up: it, its plot, its dam."""

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

    def are_valid(self) -> bool:
        """Tell whether nothing is wrong with any of the three."""
        return not any(form.errors for form in self.parts.values())

    def cleaned(self) -> dict[str, Any]:
        return {name: form.cleaned_data for name, form in self.parts.items()}

    def refuse(self, part: str, error: ValidationError) -> None:
        """Put a refusal on the form that it belongs to."""
        self.parts[part].refuse(error)


def as_typed(form: Submits, data: QueryDict) -> dict[str, Any]:
    """Return what was typed into a form, field by field, right or wrong."""
    return {
        name: field.widget.value_from_datadict(data, {}, form.add_prefix(name))
        for name, field in form.fields.items()
    }
