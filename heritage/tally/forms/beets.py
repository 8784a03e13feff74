"""Forms of the tally book."""

import uuid
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.people.models import Volunteer
from heritage.season.models import Plot
from heritage.tally.models import Way
from heritage.tally.selectors import LogRow

MOST_AT_ONCE = 1000


class BeetsField(forms.IntegerField):
    """Beets pulled by one person; empty for none."""

    def __init__(self, label: str) -> None:
        super().__init__(
            label=label,
            min_value=1,
            max_value=MOST_AT_ONCE,
            required=False,
            widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            error_messages={
                "min_value": _("Beets are counted from 1; leave it empty for none."),
                "invalid": _("Write the beets as a whole number."),
            },
        )


class EveningForm(forms.Form):
    """An evening's sheet: beets to add for everybody who came or was expected."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    way = forms.ChoiceField(label=_("Pulled"), choices=Way, initial=Way.HAND)

    def __init__(
        self, *args: Any, rows: Sequence[LogRow], plots: Sequence[Plot], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rows = {f"beets_{row.volunteer.pk}": row for row in rows}
        for name, row in self.rows.items():
            self.fields[name] = BeetsField(label=row.volunteer.name)
        self.fields["plot"] = forms.ModelChoiceField(
            Plot.objects.filter(pk__in=[plot.pk for plot in plots]),
            label=_("Plot"),
            required=False,
        )
        self.fields["key"].initial = uuid.uuid4

    def lines(self) -> list[tuple[LogRow, forms.BoundField]]:
        """Return each person's row with the field for their beets."""
        return [(row, self[name]) for name, row in self.rows.items()]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors and not self.counts():
            raise forms.ValidationError(_("Write the beets of at least one person."))
        return data

    def counts(self) -> dict[Volunteer, int]:
        """Return the beets to add by person, leaving out who has none."""
        return {
            row.volunteer: self.cleaned_data[name]
            for name, row in self.rows.items()
            if self.cleaned_data.get(name)
        }


class CorrectionForm(forms.Form):
    """What an entry should have said, and why."""

    right_beets = forms.IntegerField(
        label=_("It should be"),
        min_value=0,
        max_value=MOST_AT_ONCE,
        help_text=_("The right number of beets; 0 if the entry should not be there."),
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    reason = forms.CharField(
        label=_("Why"),
        max_length=200,
        help_text=_("Both entries stay in the book, with this reason and your name."),
    )
