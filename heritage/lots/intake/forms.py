"""The forms by which a file of moves is taken in."""

from datetime import datetime
from typing import Any

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from heritage.common.forms import ServiceForm
from heritage.kits.tables.read import (
    BYTES_MOST,
    COLUMNS_MOST,
    ROWS_MOST,
    TableRow,
    UnreadableError,
    Why,
    read_table,
)
from heritage.lots.intake import services
from heritage.lots.intake.selectors import HEADS, NEEDED, columns_of
from heritage.lots.intake.services import Verdicts
from heritage.people.models import User
from heritage.season.models import Demonstration

AN_HOUR = 60 * 60
TOO_MUCH = _(
    "This file has more than %(rows)d rows, %(columns)d columns or 2 MB. Split it."
)
REFUSALS = {
    Why.EMPTY: _("This file is empty. Choose another."),
    Why.TOO_BIG: TOO_MUCH,
    Why.TOO_MANY_ROWS: TOO_MUCH,
    Why.TOO_MANY_COLUMNS: TOO_MUCH,
    Why.UNPACKS_TOO_BIG: TOO_MUCH,
    Why.CELL_TOO_LONG: _("A cell of this file is far too long. Shorten it."),
}
OTHERWISE = _("We can't read this file. Save it as XLSX or CSV.")


class MovesFileForm(forms.Form):
    """The file itself."""

    file = forms.FileField(
        label=_("The file"),
        help_text=_("XLSX or CSV. You see what becomes of each line first."),
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
        error_messages={"empty": _("This file is empty. Choose another.")},
    )

    def clean_file(self) -> list[TableRow]:
        """Return the file's lines, the headings first."""
        try:
            lines = read_table(self.cleaned_data["file"].read(BYTES_MOST + 1))
        except UnreadableError as error:
            figures = {"rows": ROWS_MOST, "columns": COLUMNS_MOST}
            words = REFUSALS.get(error.why, OTHERWISE)
            raise ValidationError(words, params=figures) from error
        columns = columns_of(lines[0].cells)
        missing = [str(HEADS[name]) for name in NEEDED if name not in columns]
        if missing:
            words = _("The first line has no heading “%s”. Take our file as a pattern.")
            raise ValidationError(words % missing[0])
        if len(lines) < 2:
            raise ValidationError(
                _(
                    "There's nothing below the headings. Add a row, "
                    "or choose another file."
                )
            )
        return lines


class MovesForm(ServiceForm):
    """The lines of a file, signed so that they come back as they were looked at."""

    lines = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, demonstration: Demonstration, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.demonstration = demonstration

    def clean_lines(self) -> list[TableRow]:
        salt = _salt(self.demonstration)
        try:
            rows = signing.loads(self.cleaned_data["lines"], salt=salt, max_age=AN_HOUR)
        except signing.BadSignature as error:
            words = _("The page lay open too long. Choose the file again.")
            raise ValidationError(words) from error
        return [TableRow(number, tuple(cells)) for number, cells in rows]

    def write(self, *, by: User, now: datetime) -> Verdicts:
        return services.take_in(
            demonstration=self.demonstration, by=by, now=now, **self.cleaned_data
        )


def seal_lines(demonstration: Demonstration, lines: list[TableRow]) -> str:
    """Sign a file's lines for the page to carry; the site itself keeps nothing."""
    rows = [[line.number, line.cells] for line in lines]
    return signing.dumps(rows, salt=_salt(demonstration), compress=True)


def _salt(demonstration: Demonstration) -> str:
    return f"lots.intake.{demonstration.pk}"
