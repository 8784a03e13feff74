"""The board, how far the field is, an evening's book, and every line of it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import F, Max, OuterRef, Q, Subquery, Sum
from django.db.models.sql.compiler import SQLCompiler
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc import money, stand
from heritage.calc.measures import stooks_and_beets
from heritage.calc.stand import Sample, Stand
from heritage.calc.tally import Statement, settle
from heritage.gatherings.gate.selectors import as_hours
from heritage.gatherings.models import Gathering, SignUp, Turnout
from heritage.gatherings.places.selectors import shown_name
from heritage.growth.models import Pulled
from heritage.people.models import AgeBand, Volunteer
from heritage.season.models import Demonstration, Plot
from heritage.tally import words
from heritage.tally.models import (
    Entry,
    OwnLog,
    PulledArea,
    Work,
    WorkKind,
    newest_measures,
)


class Stay(models.Func):
    """How long somebody was there, in whole seconds.

    Django would fetch both moments and build a span of each pair: for a season's
    turnout that takes longer than all the rest of a page.
    """

    output_field = models.IntegerField()

    def __init__(self) -> None:
        super().__init__("left_at", "arrived_at")

    def as_sqlite(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **extra: Any
    ) -> Any:
        days = "(julianday(%(expressions)s))"
        return self.as_sql(
            compiler,
            connection,
            template=f"CAST(ROUND({days} * 86400.0) AS INTEGER)",
            arg_joiner=") - julianday(",
            **extra,
        )

    def as_postgresql(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **extra: Any
    ) -> Any:
        return self.as_sql(
            compiler,
            connection,
            template="CAST(EXTRACT(EPOCH FROM (%(expressions)s)) AS INTEGER)",
            arg_joiner=" - ",
            **extra,
        )


def hours_by(
    demonstration: Demonstration, key: str, volunteer: Volunteer | None = None
) -> dict[int, Decimal]:
    """Add up hours of turnout by volunteer or gathering; who has not left has none."""
    rows = Turnout.objects.of(demonstration).filter(left_at__isnull=False)
    if volunteer:
        rows = rows.by(volunteer)
    spent = rows.order_by().values_list(key).annotate(seconds=models.Sum(Stay()))
    return {row: as_hours(seconds) for row, seconds in spent}


WHOLE = 100
BY_AREA = _("by its area alone: an estimate, nothing measured")
BY_COUNT = _("as the organiser counted or expects it")
BY_PIECES = _("counted when this plot was cleared")
BY_NEIGHBOURS = _("from ground cleared and measured on the other plots")


@dataclass(frozen=True, slots=True)
class PlotProgress:
    """How much of one plot is done, and where its figure comes from."""

    name: str
    area_m2: float
    beets: int
    stand: Stand
    basis: str | Promise

    @property
    def likely_percent(self) -> int:
        return percent(self.beets, self.stand.likely)

    @property
    def low_percent(self) -> int:
        return percent(self.beets, self.stand.high)

    @property
    def high_percent(self) -> int:
        return percent(self.beets, self.stand.low)

    @property
    def pulled_words(self) -> str:
        """How much of it is pulled, in words."""
        return words.pulled(self.low_percent, self.high_percent)


@dataclass(frozen=True, slots=True)
class FieldProgress:
    """How much of the field is done, against what the ground may give."""

    beets: int
    stand: Stand
    beets_per_stook: int
    plots: list[PlotProgress] = field(default_factory=list)

    @property
    def has_stand(self) -> bool:
        return self.stand.likely > 0

    @property
    def standing(self) -> list[str]:
        """The plots on which something still stands, or all once nothing does."""
        left = [line.name for line in self.plots if line.likely_percent < WHOLE]
        return left or [line.name for line in self.plots]

    @property
    def stooks(self) -> int:
        return stooks_and_beets(self.beets, self.beets_per_stook)[0]

    @property
    def beets_over(self) -> int:
        return stooks_and_beets(self.beets, self.beets_per_stook)[1]

    @property
    def area_m2(self) -> float:
        return sum(plot.area_m2 for plot in self.plots)

    def percent(self, expected: int) -> int:
        return percent(self.beets, expected)

    @property
    def likely_percent(self) -> int:
        return self.percent(self.stand.likely)

    @property
    def low_percent(self) -> int:
        """The share if the ground gives the most that it may."""
        return self.percent(self.stand.high)

    @property
    def high_percent(self) -> int:
        """The share if the ground gives the least that it may."""
        return self.percent(self.stand.low)

    @property
    def pulled_words(self) -> str:
        """How much of it is pulled, in words."""
        return words.pulled(self.low_percent, self.high_percent)


def percent(beets: int, expected: int) -> int:
    """Return the share, never above the whole."""
    return max(0, min(100, round(100 * beets / expected))) if expected else 0


def field_progress(demonstration: Demonstration) -> FieldProgress:
    """Say how much of the field is done: two queries."""
    plots, samples = _plots_and_samples(demonstration)
    counted = Entry.objects.of(demonstration).summed_by_plot()
    everywhere = [sample for own in samples.values() for sample in own]
    lines = [
        _plot_progress(plot, counted.get(plot.pk, 0), samples[plot.pk], everywhere)
        for plot in plots
    ]
    return FieldProgress(
        beets=sum(counted.values()),
        stand=stand.total_stand([line.stand for line in lines]),
        beets_per_stook=demonstration.beets_per_stook,
        plots=lines,
    )


def _plots_and_samples(
    demonstration: Demonstration,
) -> tuple[list[Plot], dict[int, list[Sample]]]:
    """Return the plots in order, and the measured pieces of each: one query."""
    plots: dict[int, Plot] = {}
    newest: dict[tuple[int, int], Sample | None] = {}
    for row in _measured_plots(demonstration):
        plots.setdefault(row.pk, row)
        gives = row.measured and row.gave and row.gave > 0
        sample = Sample(row.gave, float(row.measured)) if gives else None
        newest[row.pk, row.evening] = sample
    samples: dict[int, list[Sample]] = {pk: [] for pk in plots}
    for (pk, _evening), sample in newest.items():
        if sample:
            samples[pk].append(sample)
    return list(plots.values()), samples


def _measured_plots(demonstration: Demonstration) -> Iterable[Any]:
    """Return each plot once for every measure of it, oldest first, or once without."""
    gave = (
        Entry.objects.filter(
            gathering=OuterRef("pulled_areas__gathering"), plot=OuterRef("pk")
        )
        .order_by()
        .values("plot")
        .annotate(gave=Sum("beets"))
        .values("gave")
    )
    rows = demonstration.plots.all().annotate(
        measured=F("pulled_areas__area_m2"),
        evening=F("pulled_areas__gathering"),
        gave=Subquery(gave),
    )
    return rows.order_by("name", "pk", "pulled_areas__entered_at", "pulled_areas__pk")


def _plot_progress(
    plot: Plot, beets: int, own: list[Sample], everywhere: list[Sample]
) -> PlotProgress:
    expected, basis = _stand_of(plot, max(0, beets), own, everywhere)
    return PlotProgress(plot.name, float(plot.area_m2), beets, expected, basis)


def _stand_of(
    plot: Plot, counted: int, own: list[Sample], everywhere: list[Sample]
) -> tuple[Stand, str | Promise]:
    """Prefer what was measured here, then a count, then the plots beside."""
    area = plot.area_m2
    if own:
        return stand.measured_stand(area, own, counted=counted), BY_PIECES
    if plot.expected_beets:
        return stand.counted_stand(max(plot.expected_beets, counted)), BY_COUNT
    if everywhere:
        beside = stand.measured_stand(
            area, everywhere, counted=counted, of_this_ground=False
        )
        return beside, BY_NEIGHBOURS
    guess = stand.expected_stand(area, beet_kg=plot.demonstration.beet_kg.likely)
    low, likely, high = (
        max(counted, end) for end in (guess.low, guess.likely, guess.high)
    )
    return Stand(low, likely, high), BY_AREA


@dataclass(frozen=True, slots=True)
class Pay:
    """An amount of token pay, ready to be read."""

    farthings: int

    @property
    def old(self) -> str:
        return money.write_old(self.farthings)

    @property
    def new(self) -> str:
        return money.write_new(self.farthings)


def settled(beets: int, demonstration: Demonstration) -> Statement:
    """Settle a count of beets by the demonstration's own rate and rule."""
    return settle(
        beets,
        beets_per_stook=demonstration.beets_per_stook,
        rate_farthings=demonstration.token_rate_farthings,
        part_stooks=demonstration.part_stooks_rule,
    )


@dataclass(frozen=True, slots=True)
class PersonLine:
    """One person's line on the board."""

    volunteer: Volunteer
    beets: int
    evenings: int
    settled: Statement
    hours: Decimal

    @property
    def shown_name(self) -> str:
        """The name for the board: of a child, the first name only."""
        return shown_name(self.volunteer)

    @property
    def pay(self) -> Pay:
        return Pay(self.settled.farthings)


@dataclass(frozen=True, slots=True)
class EveningLine:
    """What one gathering brought in."""

    gathering: Gathering
    day: date
    beets: int
    people: int


@dataclass(frozen=True, slots=True)
class Best:
    """The most beets that one person pulled in one evening."""

    volunteer: Volunteer
    evening: EveningLine
    beets: int

    @property
    def shown_name(self) -> str:
        """The name for members: of a child, the first name only."""
        return shown_name(self.volunteer)

    @property
    def public_name(self) -> str:
        """The name for visitors: a first name, and of a child none at all."""
        if self.volunteer.age_band != AgeBand.ADULT:
            return ""
        return self.volunteer.name.split(" ")[0]


@dataclass(frozen=True, slots=True)
class Records:
    """What the book remembers with pleasure."""

    best: Best | None
    most_beets: EveningLine | None
    most_people: EveningLine | None


@dataclass(frozen=True, slots=True)
class Board:
    """The tally of a whole demonstration; people only for its members."""

    evenings: list[EveningLine]
    progress: FieldProgress
    total: Statement
    records: Records
    work: list[tuple[str, int]]
    unconfirmed: int
    people: list[PersonLine] = field(default_factory=list)

    @property
    def pay(self) -> Pay:
        return Pay(sum(line.settled.farthings for line in self.people))


def board(demonstration: Demonstration, *, with_people: bool = True) -> Board:
    """Return the tally of everybody: seven queries, and three more for the people."""
    progress = field_progress(demonstration)
    lines = evenings(demonstration)
    return Board(
        evenings=lines,
        progress=progress,
        total=settled(progress.beets, demonstration),
        records=_records(demonstration, lines),
        work=_work(demonstration),
        unconfirmed=OwnLog.objects.of(demonstration).unanswered().beets(),
        people=people(demonstration) if with_people else [],
    )


def people(demonstration: Demonstration) -> list[PersonLine]:
    """Return everybody in the book, the most beets first: three queries."""
    hours = hours_by(demonstration, "volunteer")
    sums = Entry.objects.of(demonstration).summed_by("volunteer")
    people = Volunteer.objects.of(demonstration).unmerged()
    known = {row.pk: row for row in people}
    lines = [
        PersonLine(
            volunteer=known[row.key],
            beets=row.beets,
            evenings=row.gatherings,
            settled=settled(row.beets, demonstration),
            hours=hours.get(row.key, Decimal(0)),
        )
        for row in sums
        if row.key in known
    ]
    return sorted(
        lines, key=lambda line: (-line.beets, line.volunteer.name, line.volunteer.pk)
    )


def evenings(demonstration: Demonstration) -> list[EveningLine]:
    """Return what each gathering brought in, in order: two queries."""
    sums = {
        row.key: row for row in Entry.objects.of(demonstration).summed_by("gathering")
    }
    zone = demonstration.zone
    return [
        EveningLine(
            gathering=row,
            day=row.starts_at.astimezone(zone).date(),
            beets=sums[row.pk].beets,
            people=sums[row.pk].volunteers,
        )
        for row in Gathering.objects.filter(pk__in=list(sums)).in_order()
    ]


def _records(demonstration: Demonstration, lines: list[EveningLine]) -> Records:
    """Find the records: two queries, one of an empty book."""
    return Records(
        best=_best(demonstration, lines),
        most_beets=max(lines, key=lambda line: line.beets, default=None),
        most_people=max(lines, key=lambda line: line.people, default=None),
    )


def _best(demonstration: Demonstration, lines: list[EveningLine]) -> Best | None:
    best = Entry.objects.of(demonstration).best_evening()
    if best is None or best[2] < 1:
        return None
    whose, when, beets = best
    [evening] = [line for line in lines if line.gathering.pk == when]
    return Best(Volunteer.objects.get(pk=whose), evening, beets)


def _work(demonstration: Demonstration) -> list[tuple[str, int]]:
    sums = Work.objects.of(demonstration).sums()
    return [(str(kind.label), sums[kind]) for kind in WorkKind if sums.get(kind)]


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
        newest = newest_measures(self.measures).values()
        return [row for row in newest if row.area_m2 > Decimal(0)]

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


@dataclass(frozen=True, slots=True)
class BookLine:
    """One line of the book in plain words; times are the demonstration's own."""

    number: int
    evening: datetime
    gathering: str
    person: str
    plot: str
    what: str
    amount: int
    source: str
    crew: str
    corrects: int | None
    reason: str
    entered_at: datetime
    entered_by: str


def book_lines(demonstration: Demonstration) -> Iterator[BookLine]:
    """Return every line that counts beets, in order: one query."""
    zone = demonstration.zone
    rows = (
        Entry.objects.of(demonstration)
        .select_related("gathering", "volunteer", "plot", "entered_by")
        .in_order()
    )
    for row in rows.iterator(chunk_size=2_000):
        yield BookLine(
            number=row.pk,
            evening=row.gathering.starts_at.astimezone(zone),
            gathering=row.gathering.title,
            person=row.volunteer.name,
            plot=row.plot.name if row.plot else "",
            what=row.get_way_display(),
            amount=row.beets,
            source=row.get_source_display(),
            crew=row.crew.hex[:8] if row.crew else "",
            corrects=row.corrects_id,
            reason=row.reason,
            entered_at=row.entered_at.astimezone(zone),
            entered_by=str(row.entered_by),
        )


def work_lines(demonstration: Demonstration) -> Iterator[BookLine]:
    """Return every line of other work, in order: one query."""
    zone = demonstration.zone
    rows = Work.objects.of(demonstration).for_book().select_related("gathering")
    for row in rows.select_related("gathering", "volunteer", "entered_by"):
        yield BookLine(
            number=row.pk,
            evening=row.gathering.starts_at.astimezone(zone),
            gathering=row.gathering.title,
            person=row.volunteer.name if row.volunteer else "",
            plot="",
            what=row.get_kind_display(),
            amount=row.amount,
            source="",
            crew="",
            corrects=row.corrects_id,
            reason=row.note,
            entered_at=row.entered_at.astimezone(zone),
            entered_by=str(row.entered_by),
        )


def household(volunteer: Volunteer) -> list[Volunteer]:
    """Return somebody and the children they answer for, themselves first: a query."""
    people = Volunteer.objects.active().answered_for_by(volunteer).by_name()
    return sorted(people, key=lambda person: person.pk != volunteer.pk)


def own_logs(gathering: Gathering, people: Sequence[Volunteer]) -> list[OwnLog]:
    """Return what they wrote at a gathering, with the answers: one query."""
    rows = gathering.own_logs.all().for_page()
    return list(rows.filter(volunteer__in=people))


def pulled_by_plot(demonstration: Demonstration) -> dict[int | None, Pulled]:
    """Return what was pulled of each plot, and of none that was named: one query."""
    rows = Entry.objects.of(demonstration).order_by().values("plot")
    sums = rows.annotate(total=Sum("beets"), last=Max("gathering__starts_at"))
    return {
        row["plot"]: Pulled(row["total"], row["last"]) for row in sums if row["total"]
    }
