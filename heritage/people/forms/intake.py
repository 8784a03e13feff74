"""The forms by which a list from somebody's own spreadsheet is taken in."""

from typing import Any

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.kits.tables import (
    BYTES_MOST,
    COLUMNS_MOST,
    ROWS_MOST,
    Line,
    UnreadableError,
    Why,
    read_table,
)
from heritage.people.selectors.columns import Column, guess_columns
from heritage.season.models import Demonstration

AN_HOUR = 60 * 60
SAMPLES = 3
LEFT_OUT = "-"
REFUSALS = {
    Why.EMPTY: _("The file is empty. Choose the one with your list in it."),
    Why.TOO_BIG: _("The file is larger than 2 MB. Save the list alone, and no more."),
    Why.TOO_MANY_ROWS: _(
        "The file has more than %(rows)d lines. Split it, and take in one part after "
        "the other."
    ),
    Why.TOO_MANY_COLUMNS: _(
        "The file has more than %(columns)d columns. Leave out what is not needed."
    ),
    Why.CELL_TOO_LONG: _(
        "A cell of the file is far too long for a list of people. Shorten it; or a "
        "quotation mark was opened in it and never closed."
    ),
    Why.UNPACKS_TOO_BIG: _(
        "The workbook holds far more than a list of people. Save the list alone, or "
        "save it as CSV."
    ),
    Why.OLD_WORKBOOK: _(
        "This is an old kind of workbook, or one with a password. Save it as XLSX "
        "without a password, or as CSV."
    ),
    Why.NOT_A_WORKBOOK: _(
        "The file is not a whole XLSX workbook. Open it, and save it anew as XLSX or "
        "CSV."
    ),
    Why.NOT_TEXT: _("This is not a spreadsheet. Save your list as XLSX or CSV."),
}


def seal_lines(demonstration: Demonstration, lines: list[Line]) -> str:
    """Sign a file's lines for the page to carry; the site itself keeps nothing."""
    return signing.dumps(
        [[line.number, *line.cells] for line in lines],
        salt=_salt(demonstration),
        compress=True,
    )


def _salt(demonstration: Demonstration) -> str:
    return f"people.intake.{demonstration.pk}"


class FileForm(forms.Form):
    """The file itself."""

    file = forms.FileField(
        label=_("Your list"),
        help_text=_("XLSX or CSV, with headings in its first line."),
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
    )

    def clean_file(self) -> list[Line]:
        """Return the file's lines, the headings first."""
        sent = self.cleaned_data["file"]
        figures = {"rows": ROWS_MOST, "columns": COLUMNS_MOST}
        try:
            # Not a byte more is read than a list may have.
            lines = read_table(sent.read(BYTES_MOST + 1))
        except UnreadableError as error:
            raise ValidationError(REFUSALS[error.why], params=figures) from error
        if len(lines) < 2:
            raise ValidationError(
                _("There is only one line: headings come first, then people.")
            )
        return lines


class ColumnsForm(forms.Form):
    """What each column of the file holds: guessed, and put right by the organiser."""

    lines = forms.CharField(widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        demonstration: Demonstration,
        lines: list[Line] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.demonstration = demonstration
        self.table = lines if lines is not None else self._opened()
        if not self.table:
            return
        self.fields["lines"].initial = seal_lines(demonstration, self.table)
        heads = self.table[0].cells
        for at, (head, guess) in enumerate(
            zip(heads, guess_columns(heads), strict=True)
        ):
            self.fields[f"column_{at}"] = forms.ChoiceField(
                label=head or _("Column %d, without a heading") % (at + 1),
                choices=[(LEFT_OUT, _("left out")), *Column.choices],
                initial=guess or LEFT_OUT,
                help_text=self._samples(at),
            )

    @property
    def columns(self) -> list[str]:
        """What each column holds, in the file's order."""
        said = [
            self.cleaned_data.get(f"column_{at}", LEFT_OUT)
            for at in range(len(self.table[0].cells))
        ]
        return ["" if column == LEFT_OUT else column for column in said]

    def clean(self) -> dict[str, Any]:
        if not self.table:
            raise ValidationError(
                _("The page lay open too long, or was changed. Choose the file again.")
            )
        chosen = [column for column in self.columns if column]
        for column in Column:
            if chosen.count(column) > 1:
                self._twice(column)
        if not {Column.NAME, Column.FIRST, Column.LAST} & set(chosen):
            raise ValidationError(_("Say which column holds the name."))
        return self.cleaned_data

    def _twice(self, column: Column) -> None:
        for at, said in list(enumerate(self.columns)):
            if said == column:
                self.add_error(
                    f"column_{at}",
                    _("Two columns are said to hold the %s. Choose one.")
                    % column.label,
                )

    def _samples(self, at: int) -> str:
        found = [line.cells[at] for line in self.table[1:] if line.cells[at]]
        shown = "; ".join(text[:40] for text in found[:SAMPLES])
        if not shown:
            return str(_("Empty in every line."))
        return str(_("Such as: %s") % shown)

    def _opened(self) -> list[Line]:
        try:
            rows = signing.loads(
                self.data.get("lines", ""),
                salt=_salt(self.demonstration),
                max_age=AN_HOUR,
            )
        except signing.BadSignature:
            return []
        return [Line(row[0], tuple(row[1:])) for row in rows]
