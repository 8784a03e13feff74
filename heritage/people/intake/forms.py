"""The forms by which a list from somebody's own spreadsheet is taken in."""

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
from heritage.people.intake import services
from heritage.people.intake.selectors import (
    HEADS_WITHIN,
    NAMES,
    Column,
    IntakePlan,
    find_heads,
    guess_columns,
)
from heritage.season.models import Demonstration

AN_HOUR = 60 * 60
SAMPLES = 3
LEFT_OUT = "-"
NO_HEADS = -1
REFUSALS = {
    Why.EMPTY: _("This file is empty. Choose the one with your list in it."),
    Why.TOO_BIG: _("This file is larger than 2 MB. Save just the list."),
    Why.TOO_MANY_ROWS: _(
        "This file has more than %(rows)d rows. Split it, and add one part at a time."
    ),
    Why.TOO_MANY_COLUMNS: _(
        "This file has more than %(columns)d columns. Leave out what you don't need."
    ),
    Why.CELL_TOO_LONG: _(
        "A cell of this file is far too long. Shorten it, or look for a quotation "
        "mark that isn't closed."
    ),
    Why.UNPACKS_TOO_BIG: _(
        "This workbook holds far more than a list of people. Save just the list, or "
        "save it as CSV."
    ),
    Why.OLD_WORKBOOK: _(
        "This is an old kind of workbook, or one with a password. Save it as XLSX "
        "without a password, or as CSV."
    ),
    Why.NOT_A_WORKBOOK: _(
        "This XLSX file is damaged. Open it and save it again, as XLSX or CSV."
    ),
    Why.NOT_TEXT: _("This is not a spreadsheet. Save your list as XLSX or CSV."),
}


def seal_lines(demonstration: Demonstration, lines: list[TableRow]) -> str:
    """Sign a file's lines for the page to carry; the site itself keeps nothing."""
    return signing.dumps(
        [[line.number, line.cells, line.unsaved] for line in lines],
        salt=_salt(demonstration),
        compress=True,
    )


def _salt(demonstration: Demonstration) -> str:
    return f"people.intake.{demonstration.pk}"


class FileForm(forms.Form):
    """The file itself."""

    file = forms.FileField(
        label=_("Your list"),
        help_text=_("XLSX or CSV, with headings above the people."),
        widget=forms.FileInput(attrs={"accept": ".csv,.tsv,.txt,.xlsx"}),
    )

    def clean_file(self) -> list[TableRow]:
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
                _("There's only one row. Put headings first, then people.")
            )
        heads, is_sure = find_heads(lines)
        if is_sure and heads == len(lines) - 1:
            raise ValidationError(
                _("There's nobody below the headings in row %(line)d."),
                params={"line": lines[heads].number},
            )
        return lines


class ColumnsForm(ServiceForm):
    """What each column of the file holds: guessed, and corrected by the organiser.

    ``heads_shown`` is the line whose headings the columns on the page go by; once
    somebody chooses another in ``heads``, the page is shown anew (`is_moved`).
    """

    lines = forms.CharField(widget=forms.HiddenInput)
    heads_shown = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        demonstration: Demonstration,
        lines: list[TableRow] | None = None,
        heads: int | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.demonstration = demonstration
        self.table = lines if lines is not None else self._opened()
        if not self.table:
            return
        likely, self.is_sure = find_heads(self.table)
        self.choices = self._heads_to_choose()
        self.heads = likely if heads is None else heads
        if self.is_bound:
            self.heads = self._chosen("heads_shown", likely)
        self.fields["lines"].initial = seal_lines(demonstration, self.table)
        self.fields["heads_shown"].initial = self.heads
        self._ask_for_heads()
        self._ask_for_columns()

    @property
    def is_moved(self) -> bool:
        """Whether another line was chosen than the columns on the page go by."""
        return self.chosen != self.heads

    @property
    def chosen(self) -> int:
        """The line that is said to hold the headings, or `NO_HEADS`."""
        return self._chosen("heads", self.heads)

    @property
    def people(self) -> list[TableRow]:
        """The lines beneath the headings."""
        return self.table[self.heads + 1 :]

    @property
    def above(self) -> list[TableRow]:
        """The lines above the headings, which are left out."""
        return self.table[: max(self.heads, 0)]

    def _chosen(self, name: str, otherwise: int) -> int:
        """Return a line that the page names, if it is one to choose from."""
        line = self.data.get(name, "")
        return int(line) if line in dict(self.choices) else otherwise

    def _heads_to_choose(self) -> list[tuple[str, Any]]:
        shown = [
            (
                str(at),
                _("Line %(number)d: %(cells)s")
                % {
                    "number": line.number,
                    "cells": " · ".join(filter(None, line.cells))[:80],
                },
            )
            for at, line in enumerate(self.table[:-1][:HEADS_WITHIN])
        ]
        return [
            *shown,
            (str(NO_HEADS), _("There are none: the first line is a person")),
        ]

    def _ask_for_heads(self) -> None:
        help_text = (
            _("Lines above it are left out.")
            if self.is_sure
            else _(
                "No line looks like headings. Say which it is, or that there are none."
            )
        )
        self.fields["heads"] = forms.ChoiceField(
            label=_("The headings are in"),
            choices=self.choices,
            initial=str(self.heads),
            help_text=help_text,
        )

    def _ask_for_columns(self) -> None:
        heads: tuple[str, ...] = ("",) * len(self.table[0].cells)
        if self.heads != NO_HEADS:
            heads = self.table[self.heads].cells
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
        columns = [
            self.cleaned_data.get(f"column_{at}", LEFT_OUT)
            for at in range(len(self.table[0].cells))
        ]
        return ["" if column == LEFT_OUT else column for column in columns]

    def clean(self) -> dict[str, Any]:
        if not self.table:
            raise ValidationError(_("This page is out of date. Choose the file again."))
        chosen = [column for column in self.columns if column]
        for column in Column:
            if chosen.count(column) > 1:
                self._twice(column)
        if not NAMES & set(chosen):
            raise ValidationError(_("Choose the column with the name."))
        return self.cleaned_data

    def write(self, *, now: datetime) -> IntakePlan:
        return services.take_in(
            demonstration=self.demonstration,
            lines=self.people,
            columns=self.columns,
            now=now,
        )

    def _twice(self, column: Column) -> None:
        for at, other in list(enumerate(self.columns)):
            if other == column:
                self.add_error(
                    f"column_{at}",
                    _("You chose two columns for the %s. Choose one.") % column.label,
                )

    def _samples(self, at: int) -> str:
        cells = [line.cells[at] for line in self.people if line.cells[at]]
        shown = "; ".join(text[:40] for text in cells[:SAMPLES])
        if not shown:
            return str(_("Empty in every line."))
        return str(_("Such as: %s") % shown)

    def _opened(self) -> list[TableRow]:
        try:
            rows = signing.loads(
                self.data.get("lines", ""),
                salt=_salt(self.demonstration),
                max_age=AN_HOUR,
            )
        except signing.BadSignature:
            return []
        return [TableRow(at, tuple(cells), tuple(bare)) for at, cells, bare in rows]
