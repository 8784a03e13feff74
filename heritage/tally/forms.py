"""Forms that write beets into the book."""

import uuid
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from heritage.calc.measures import PERCH_M2
from heritage.common.by_name import ByName
from heritage.common.forms import ServiceForm
from heritage.common.parting import SOUGHT, Part, is_named, parted
from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer, VolunteerQuerySet
from heritage.season.models import Plot
from heritage.tally import services
from heritage.tally.models import Answer, Entry, OwnLog, PulledArea, Way, Work, WorkKind
from heritage.tally.selectors import EveningBook, LogRow

MOST_AT_ONCE = 1000
MOST_OF_A_CREW = 10_000


def count_field(label: Any, most: int = MOST_AT_ONCE, **options: Any) -> Any:
    """Return a field for a whole count of at least one."""
    return forms.IntegerField(
        label=label,
        min_value=1,
        max_value=most,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        error_messages={
            "min_value": _("Enter 1 or more, or leave it empty for none."),
            "invalid": _("Enter a whole number, like 12."),
        },
        **options,
    )


class RowsForm(ServiceForm):
    """A field for everybody who came or was expected, on one plot, pulled one way."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    way = forms.ChoiceField(label=_("Pulled"), choices=Way, initial=Way.HAND)
    plot = forms.ModelChoiceField(Plot.objects.none(), label=_("Plot"), required=False)

    def __init__(self, *args: Any, book: EveningBook, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gathering = book.gathering
        self.rows = {f"row_{row.volunteer.pk}": row for row in book.rows}
        for name, row in self.rows.items():
            self.fields[name] = self.row_field(row)
        self.offer("plot", Plot.objects.of(book.gathering.demonstration))
        self.fields["plot"].initial = book.gathering.plot_id
        self.fields["key"].initial = uuid.uuid4

    def row_field(self, row: LogRow) -> forms.Field:
        """Return one person's field: beets, unless a form asks something else."""
        field: forms.Field = count_field(row.volunteer.name, required=False)
        return field

    def lines(self) -> list[tuple[LogRow, forms.BoundField]]:
        """Return each person's row with their field."""
        return [(row, self[name]) for name, row in self.rows.items()]

    def parts(self) -> list[Part[tuple[LogRow, forms.BoundField]]]:
        """Return the lines, those at hand whom a search found or who are to check."""
        sought = self.data.get(SOUGHT, "")
        return parted(
            self.lines(),
            lambda line: line[0].volunteer.name,
            lambda line: (
                bool(line[1].errors) or is_named(line[0].volunteer.name, sought)
            ),
        )

    def by_person(self) -> dict[Volunteer, Any]:
        """Return what was typed for each person, leaving out who has nothing."""
        return {
            row.volunteer: self.cleaned_data[name]
            for name, row in self.rows.items()
            if self.cleaned_data.get(name)
        }

    def sheet(self) -> services.Sheet:
        """Return what stands once for all the rows."""
        typed = self.cleaned_data
        return services.Sheet(self.gathering, typed["key"], typed["plot"], typed["way"])


class PaperForm(RowsForm):
    """A paper sheet typed in, with the total that stands under it."""

    check_total = count_field(
        _("Total on the sheet"),
        MOST_OF_A_CREW,
        help_text=_("As written under the column."),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors and not self.by_person():
            raise forms.ValidationError(_("Enter beets for at least one person."))
        return data

    def write(self, *, by: User, now: datetime) -> list[Entry]:
        return services.log_paper(
            sheet=self.sheet(),
            counts=self.by_person(),
            check_total=self.cleaned_data["check_total"],
            by=by,
            now=now,
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

    def write(self, *, by: User, now: datetime) -> list[Entry]:
        weights = self.by_person().items()
        return services.log_crew(
            sheet=self.sheet(),
            beets=self.cleaned_data["beets"],
            weights={who: Fraction(weight) for who, weight in weights},
            by=by,
            now=now,
        )


class CorrectionForm(ServiceForm):
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

    def write(self, *, entry: Entry, by: User, now: datetime) -> Entry:
        return services.correct(entry=entry, by=by, now=now, **self.cleaned_data)


MOST_WORK = 10_000


class WorkForm(ServiceForm):
    """A line of other work."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    kind = forms.ChoiceField(label=_("Work"), choices=WorkKind)
    amount = count_field(
        _("How much"),
        MOST_WORK,
        help_text=_("Time in minutes: an hour and a half is 90."),
    )
    volunteer = ByName(
        Volunteer.objects.none(),
        label=_("Who"),
        required=False,
        help_text=_("Empty: everybody together."),
    )
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    def __init__(self, *args: Any, people: Sequence[Volunteer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].initial = uuid.uuid4
        self.offer("volunteer", _by_name(people))

    def write(self, *, gathering: Gathering, by: User, now: datetime) -> Work:
        return services.log_work(
            gathering=gathering, by=by, now=now, **self.cleaned_data
        )


class WorkCorrectionForm(ServiceForm):
    """What a line of other work should have said, and why."""

    right_amount = forms.IntegerField(
        label=_("It should be"),
        min_value=0,
        max_value=MOST_WORK,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    reason = forms.CharField(
        label=_("Why"),
        max_length=200,
        help_text=_("Both lines stay in the book, with this reason and your name."),
    )

    def __init__(self, *args: Any, lines: Sequence[Work], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._lines = {str(line.pk): line for line in lines if not line.corrects_id}
        self.fields["work"] = forms.TypedChoiceField(
            label=_("Line"),
            choices=[(key, _words(line)) for key, line in self._lines.items()],
            coerce=self._lines.__getitem__,
        )
        self.order_fields(["work"])

    def write(self, *, by: User, now: datetime) -> Work:
        return services.correct_work(by=by, now=now, **self.cleaned_data)


class GroundForm(ServiceForm):
    """How much ground an evening cleared."""

    SQUARE_METRES, PERCHES, SHARE = "m2", "perch", "percent"

    plot = forms.ModelChoiceField(Plot.objects.none(), label=_("Plot"))
    area = forms.DecimalField(
        label=_("Cleared"),
        min_value=Decimal(0),
        max_digits=9,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
        help_text=_(
            "Pace it out: length times width. Enter the whole evening on this plot. "
            "A new figure replaces the old; 0 removes it."
        ),
    )
    measure = forms.ChoiceField(
        label=_("in"),
        choices=[
            (SQUARE_METRES, _("square metres")),
            (PERCHES, _("perches")),
            (SHARE, _("per cent of the plot")),
        ],
    )

    def __init__(self, *args: Any, book: EveningBook, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gathering = book.gathering
        self.offer("plot", Plot.objects.of(book.gathering.demonstration).in_order())
        self.fields["plot"].initial = book.gathering.plot_id

    def area_m2(self) -> Decimal:
        """Return the area in square metres, to the hundredth."""
        typed = self.cleaned_data
        unit = {
            self.SQUARE_METRES: Decimal(1),
            self.PERCHES: Decimal(PERCH_M2.numerator) / Decimal(PERCH_M2.denominator),
            self.SHARE: typed["plot"].area_m2 / 100,
        }[typed["measure"]]
        area: Decimal = (typed["area"] * unit).quantize(Decimal("0.01"))
        return area

    def write(self, *, by: User, now: datetime) -> PulledArea:
        return services.measure_ground(
            gathering=self.gathering,
            plot=self.cleaned_data["plot"],
            area_m2=self.area_m2(),
            by=by,
            now=now,
        )


class OwnLogForm(ServiceForm):
    """What somebody says they pulled, or a child they answer for."""

    volunteer = forms.ModelChoiceField(
        Volunteer.objects.none(),
        label=_("Who pulled"),
        empty_label=None,
        widget=forms.RadioSelect,
    )
    key = forms.UUIDField(widget=forms.HiddenInput)
    beets = count_field(_("Beets"))
    way = forms.ChoiceField(label=_("Pulled"), choices=Way, initial=Way.HAND)
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    def __init__(
        self, *args: Any, household: Sequence[Volunteer], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].initial = uuid.uuid4
        self.offer("volunteer", _by_name(household))
        self.fields["volunteer"].initial = household[0].pk if household else None
        if len(household) < 2:
            self.fields["volunteer"].widget = forms.HiddenInput()

    def write(self, *, gathering: Gathering, by: User, now: datetime) -> OwnLog:
        return services.log_own(
            gathering=gathering, by=by, now=now, **self.cleaned_data
        )


class AnswerForm(ServiceForm):
    """A lead's answer to somebody's own log."""

    right_beets = forms.IntegerField(
        label=_("Beets to write in the book"),
        min_value=0,
        max_value=MOST_AT_ONCE,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    reason = forms.CharField(
        label=_("Why, if it is another number; 0 is none at all"),
        max_length=200,
        required=False,
    )

    def __init__(self, *args: Any, own_log: OwnLog, **kwargs: Any) -> None:
        kwargs["prefix"] = f"log-{own_log.pk}"
        kwargs["initial"] = {"right_beets": own_log.beets}
        super().__init__(*args, **kwargs)
        self.own_log = own_log

    def write(self, *, by: User, now: datetime) -> Answer:
        return services.answer_own(
            own_log=self.own_log, by=by, now=now, **self.cleaned_data
        )


def _by_name(people: Sequence[Volunteer]) -> VolunteerQuerySet:
    return Volunteer.objects.of_keys([one.pk for one in people]).by_name()


def _words(line: Work) -> str:
    who = f", {line.volunteer}" if line.volunteer else ""
    return f"{line.get_kind_display()}: {line.amount}{who}"
