"""Forms that clean what was typed and leave the row to a service."""

from typing import Any, TypeVar

from django import forms
from django.db.models import Model

Row = TypeVar("Row", bound=Model)


class PlainForm(forms.ModelForm[Row]):
    """A form of some fields of a row, handed on as they were typed."""

    class Meta:
        fields: list[str] = []

    def _post_clean(self) -> None:
        """Leave the row alone: the service fills it in and checks it whole."""

    def said(self) -> dict[str, Any]:
        """Return what was typed as the service takes it."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


def two_lines() -> forms.Textarea:
    """Give room for a sentence or two."""
    return forms.Textarea(attrs={"rows": 2})
