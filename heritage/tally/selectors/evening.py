"""An evening's page of the book."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import Q

from heritage.gatherings.models import Gathering, SignUp, Turnout
from heritage.people.models import Volunteer
from heritage.season.models import Plot
from heritage.tally.models import (
    Entry,
    OwnLog,
    PulledArea,
    Work,
    WorkKind,
    newest_measures,
)


@dataclass(frozen=True, slots=True)
class LogRow:
    """One person on an evening's tally: here or expected, with what is in the book."""

    volunteer: Volunteer
    is_here: bool
    beets: int


@dataclass(frozen=True, slots=True)
class EveningBook:
    """An evening's page of the book."""

    gathering: Gathering
    rows: list[LogRow]
    entries: list[Entry]
    plots: list[Plot]
    work: list[Work] = field(default_factory=list)
    measures: list[PulledArea] = field(default_factory=list)
    own_logs: list[OwnLog] = field(default_factory=list)

    @property
    def work_sums(self) -> list[tuple[str, int]]:
        """Each kind of other work that was done, in words, with its sum."""
        sums: dict[str, int] = {}
        for line in self.work:
            sums[line.kind] = sums.get(line.kind, 0) + line.amount
        kinds = [(kind.label, sums.get(kind, 0)) for kind in WorkKind]
        return [(str(label), amount) for label, amount in kinds if amount]

    @property
    def cleared(self) -> list[PulledArea]:
        """The measure of each plot that holds."""
        held = newest_measures(self.measures).values()
        return [row for row in held if row.area_m2 > Decimal(0)]

    @property
    def unanswered(self) -> list[OwnLog]:
        """Own logs that no lead has answered: no beet of them is in the book."""
        return [row for row in self.own_logs if not row.is_answered]

    @property
    def beets(self) -> int:
        return sum(entry.beets for entry in self.entries)


def evening_book(gathering: Gathering) -> EveningBook:
    """Return an evening's page: who came or was expected, and its part of the book."""
    entries = list(gathering.entries.all().for_book())
    here = set(
        Turnout.objects.filter(gathering=gathering).values_list("volunteer", flat=True)
    )
    expected = SignUp.objects.held().filter(gathering=gathering).values("volunteer")
    people = Volunteer.objects.filter(
        Q(pk__in=here) | Q(pk__in=expected) | Q(entries__gathering=gathering)
    ).distinct()
    beets: dict[int, int] = {}
    for entry in entries:
        beets[entry.volunteer_id] = beets.get(entry.volunteer_id, 0) + entry.beets
    return EveningBook(
        gathering=gathering,
        rows=[
            LogRow(person, person.pk in here, beets.get(person.pk, 0))
            for person in people.by_name()
        ],
        entries=entries,
        plots=list(Plot.objects.of(gathering.demonstration).in_order()),
        work=list(gathering.work.all().for_book()),
        measures=list(gathering.pulled_areas.all().for_book()),
        own_logs=list(gathering.own_logs.all().for_page()),
    )
