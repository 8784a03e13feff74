"""Forms that write beets into the book."""

import uuid
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.people.models import Volunteer
from heritage.season.models import Plot
from heritage.tally.models import Way
from heritage.tally.selectors import LogRow

MOST_AT_ONCE = 1000
MOST_OF_A_CREW = 10_000


def count_field(label: Any, most: int = MOST_AT_ONCE, **said: Any) -> Any:
    """Return a field for a whole count of at least one."""
    return forms.IntegerField(
        label=label,
        min_value=1,
        max_value=most,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        error_messages={
            "min_value": _("Beets are counted from 1; leave it empty for none."),
            "invalid": _("Write it as a whole number."),
        },
        **said,
    )


class RowsForm(forms.Form):
    """A field for everybody who came or was expected, on one plot, pulled one way."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    way = forms.ChoiceField(label=_("Pulled"), choices=Way, initial=Way.HAND)

    def __init__(
        self, *args: Any, rows: Sequence[LogRow], plots: Sequence[Plot], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rows = {f"row_{row.volunteer.pk}": row for row in rows}
        for name, row in self.rows.items():
            self.fields[name] = self.row_field(row)
        self.fields["plot"] = forms.ModelChoiceField(
            Plot.objects.filter(pk__in=[plot.pk for plot in plots]),
            label=_("Plot"),
            required=False,
        )
        self.fields["key"].initial = uuid.uuid4

    def row_field(self, row: LogRow) -> forms.Field:
        """Return one person's field: beets, unless a form asks something else."""
        field: forms.Field = count_field(row.volunteer.name, required=False)
        return field

    def lines(self) -> list[tuple[LogRow, forms.BoundField]]:
        """Return each person's row with their field."""
        return [(row, self[name]) for name, row in self.rows.items()]

    def written(self) -> dict[Volunteer, Any]:
        """Return what was written by person, leaving out who has nothing."""
        return {
            row.volunteer: self.cleaned_data[name]
            for name, row in self.rows.items()
            if self.cleaned_data.get(name)
        }

    def said(self) -> dict[str, Any]:
        """Return what the services ask beside the rows."""
        return {name: self.cleaned_data[name] for name in ("plot", "way", "key")}


class EveningForm(RowsForm):
    """An evening's beets to add."""

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors and not self.written():
            raise forms.ValidationError(_("Write the beets of at least one person."))
        return data


class PaperForm(EveningForm):
    """A paper sheet typed in, with the total that stands under it."""

    check_total = count_field(
        _("Total on the sheet"),
        MOST_OF_A_CREW,
        help_text=_("As it is written under the column. The lines must come to it."),
    )


class CrewForm(RowsForm):
    """What a crew pulled together, and the share agreed for each."""

    beets = count_field(_("Beets of the whole crew"), MOST_OF_A_CREW)

    def row_field(self, row: LogRow) -> forms.Field:
        return forms.DecimalField(
            label=row.volunteer.name,
            min_value=Decimal(0),
            max_value=Decimal(100),
            max_digits=6,
            decimal_places=3,
            required=False,
            widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
        )

    def weights(self) -> dict[Volunteer, Fraction]:
        return {who: Fraction(weight) for who, weight in self.written().items()}


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
