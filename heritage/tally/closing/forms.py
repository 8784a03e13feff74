"""The evening's sheet: a tick, a count and two times for each person."""

import uuid
from datetime import datetime
from typing import Any, NamedTuple

from django import forms
from django.db import transaction
from django.utils.translation import gettext_lazy as _

from heritage.common.by_name import ByName
from heritage.common.parting import SOUGHT, Part, is_named, parted
from heritage.gatherings.gate import services as gate
from heritage.gatherings.gate.forms import PersonForm, TurnoutForm
from heritage.gatherings.models import MOST_VISITORS, Gathering
from heritage.people.models import User, Volunteer
from heritage.season.models import Plot
from heritage.tally.closing.selectors import EveningSheet, SheetRow
from heritage.tally.closing.services import SheetLine, write_sheet
from heritage.tally.forms import MOST_AT_ONCE
from heritage.tally.models import Source, Way
from heritage.tally.services import Sheet, log_beets, log_evening


def _beets(label: Any, **options: Any) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=MOST_AT_ONCE,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        error_messages={
            "min_value": _("Enter 0 or more."),
            "invalid": _("Enter a whole number, like 12."),
        },
        **options,
    )


class OneMoreForm(PersonForm):
    """The +1 beside a name; the page's key makes a second press of it none."""

    key = forms.UUIDField()

    def __init__(self, *args: Any, gathering: Gathering, **kwargs: Any) -> None:
        super().__init__(*args, gathering=gathering, **kwargs)
        self.gathering = gathering

    def write(self, *, by: User, now: datetime) -> Any:
        """Credit one beet."""
        who: Volunteer = self.cleaned_data["volunteer"]
        key = uuid.uuid5(self.cleaned_data["key"], str(who.pk))
        return log_beets(
            gathering=self.gathering, volunteer=who, beets=1, by=by, now=now, key=key
        )


class SheetFields(NamedTuple):
    """One person's line on the page: who, and the fields for them."""

    row: SheetRow
    came: forms.BoundField
    start: forms.BoundField
    end: forms.BoundField
    beets: forms.BoundField
    shown: forms.BoundField
    times: str


def _times(start: forms.BoundField, end: forms.BoundField) -> str:
    """Say from when to when, as the fields have it."""
    return "\N{EN DASH}".join(str(one.value() or "")[:5] for one in (start, end))


def _is_wrong(line: SheetFields) -> bool:
    fields = (line.came, line.start, line.end, line.beets)
    return any(field.errors for field in fields)


class SheetForm(TurnoutForm):
    """Who came, when, and what each pulled; and somebody who is not on the list."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    way = forms.ChoiceField(label=_("Pulled"), choices=Way, initial=Way.HAND)
    plot = forms.ModelChoiceField(Plot.objects.none(), label=_("Plot"), required=False)
    somebody = ByName(
        Volunteer.objects.none(), label=_("Somebody we know"), required=False
    )
    name = forms.CharField(
        label=_("Or a new name"),
        max_length=120,
        required=False,
        help_text=_("An adult. A child is added by the adult who answers for them."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    their_beets = _beets(_("Their beets"))
    visitors = forms.IntegerField(
        label=_("Visitors"),
        min_value=0,
        max_value=MOST_VISITORS,
        required=False,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text=Gathering._meta.get_field("visitors").help_text,
    )

    def __init__(self, *args: Any, page: EveningSheet, **kwargs: Any) -> None:
        rows = [row.turnout for row in page.rows]
        super().__init__(
            *args, gathering=page.gathering, rows=rows, is_over=page.is_over, **kwargs
        )
        self.page = page
        self.sheet_rows = {str(row.volunteer.pk): row for row in page.rows}
        self.fields["key"].initial = uuid.uuid4
        self.offer("plot", Plot.objects.of(page.gathering.demonstration))
        self.fields["plot"].initial = page.gathering.plot_id
        self.fields["visitors"].initial = page.gathering.visitors
        if not page.is_over:
            del self.fields["visitors"]
        known = Volunteer.objects.of_keys([one.pk for one in page.others])
        self.offer("somebody", known.by_name())
        for key, row in self.sheet_rows.items():
            beets = row.booked + row.said
            self.fields[f"beets_{key}"] = _beets(
                _("%s: beets") % row.volunteer.name, initial=beets or None
            )
            self.fields[f"booked_{key}"] = forms.IntegerField(
                widget=forms.HiddenInput, required=False, initial=row.booked
            )

    def sheet_lines(self) -> list[SheetFields]:
        """Return each person's line, for the page."""
        return [
            SheetFields(
                row,
                came=self[f"came_{key}"],
                start=self[f"from_{key}"],
                end=self[f"to_{key}"],
                beets=self[f"beets_{key}"],
                shown=self[f"booked_{key}"],
                times=_times(self[f"from_{key}"], self[f"to_{key}"]),
            )
            for key, row in self.sheet_rows.items()
        ]

    def parts(self) -> list[Part[SheetFields]]:
        """Return the lines, those at hand whom a search found or who are to check."""
        sought = self.data.get(SOUGHT, "")
        return parted(
            self.sheet_lines(),
            lambda line: line.row.volunteer.name,
            lambda line: _is_wrong(line) or is_named(line.row.volunteer.name, sought),
        )

    def clean(self) -> dict[str, Any]:
        """Take who has beets as somebody who came."""
        for key in self.sheet_rows:
            if self.cleaned_data.get(f"beets_{key}"):
                self.cleaned_data[f"came_{key}"] = True
        data = super().clean()
        if data.get("somebody") and data.get("name"):
            self.add_error("name", _("Choose a name or add a new one, not both."))
        return data

    def written_lines(self) -> list[SheetLine]:
        """Return what the sheet says of each person."""
        data = self.cleaned_data
        marks = {str(mark.volunteer.pk): mark for mark in self.marks()}
        return [
            SheetLine(
                mark.volunteer,
                mark.arrived_at,
                mark.left_at,
                booked=data.get(f"booked_{key}") or 0,
                beets=data.get(f"beets_{key}") or 0,
            )
            for key, mark in marks.items()
        ]

    @transaction.atomic
    def write(self, *, by: User, now: datetime) -> str:
        """Write the sheet, and who was added below it; close it if that was pressed."""
        data = self.cleaned_data
        sheet = Sheet(
            self.gathering, data["key"], data["plot"], data["way"], Source.LEAD
        )
        write_sheet(sheet=sheet, lines=self.written_lines(), by=by, now=now)
        if data["somebody"] or data["name"]:
            self._add(sheet, by, now)
        if "visitors" in self.changed_data:
            gate.count_visitors(
                gathering=self.gathering, visitors=data["visitors"], by=by
            )
        if "close" in self.data:
            gate.close(gathering=self.gathering, by=by, now=now)
        return str(_("Saved: who came, and what each pulled."))

    def _add(self, sheet: Sheet, by: User, now: datetime) -> None:
        row = gate.write_in(
            gathering=self.gathering,
            volunteer=self.cleaned_data["somebody"],
            name=self.cleaned_data["name"],
            by=by,
            now=now,
        )
        if beets := self.cleaned_data["their_beets"]:
            log_evening(sheet=sheet, counts={row.volunteer: beets}, by=by, now=now)
