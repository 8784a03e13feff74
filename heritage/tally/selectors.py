"""What the tally book comes to: for an evening, a person, the field."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import F, Q

from heritage.calc import money, stand
from heritage.calc.tally import Statement, settle
from heritage.gatherings.models import Gathering, SignUp, Turnout
from heritage.people.models import AgeBand, Volunteer
from heritage.season.models import Demonstration, Plot
from heritage.tally.models import Entry


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
        if self.volunteer.age_band == AgeBand.ADULT:
            return self.volunteer.name
        return self.volunteer.name.split(" ")[0]

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
class FieldProgress:
    """How much of the field is done, against what the ground may give."""

    beets: int
    stand: stand.Stand
    beets_per_stook: int

    @property
    def has_stand(self) -> bool:
        return self.stand.likely > 0

    @property
    def stooks(self) -> int:
        return self.beets // self.beets_per_stook

    @property
    def beets_over(self) -> int:
        return self.beets % self.beets_per_stook

    def percent(self, expected: int) -> int:
        return min(100, round(100 * self.beets / expected)) if expected else 0

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


@dataclass(frozen=True, slots=True)
class Board:
    """The tally of a whole demonstration."""

    people: list[PersonLine]
    evenings: list[EveningLine]
    progress: FieldProgress
    total: Statement

    @property
    def pay(self) -> Pay:
        return Pay(sum(line.settled.farthings for line in self.people))


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

    @property
    def beets(self) -> int:
        return sum(entry.beets for entry in self.entries)


@dataclass(frozen=True, slots=True)
class StatementLine:
    """One gathering on a person's statement."""

    title: str
    starts_at: datetime
    beets: int
    hours: Decimal


@dataclass(frozen=True, slots=True)
class PersonStatement:
    """What the book comes to for one person."""

    volunteer: Volunteer
    demonstration: Demonstration
    lines: list[StatementLine]
    settled: Statement

    @property
    def beets(self) -> int:
        return sum(line.beets for line in self.lines)

    @property
    def hours(self) -> Decimal:
        return sum((line.hours for line in self.lines), Decimal(0))

    @property
    def pay(self) -> Pay:
        return Pay(self.settled.farthings)


def field_progress(demonstration: Demonstration) -> FieldProgress:
    """Say how much of the field is done: two queries."""
    stands = [_plot_stand(plot) for plot in demonstration.plots.all()]
    return FieldProgress(
        beets=Entry.objects.of(demonstration).beets(),
        stand=stand.total_stand(stands),
        beets_per_stook=demonstration.beets_per_stook,
    )


def board(demonstration: Demonstration) -> Board:
    """Return the tally of everybody: six queries, however many there are."""
    hours = _hours_by(demonstration, "volunteer")
    sums = Entry.objects.of(demonstration).summed_by("volunteer")
    people = Volunteer.objects.in_bulk([row.key for row in sums])
    lines = [
        PersonLine(
            volunteer=people[row.key],
            beets=row.beets,
            evenings=row.gatherings,
            settled=_settle(row.beets, demonstration),
            hours=hours.get(row.key, Decimal(0)),
        )
        for row in sums
    ]
    lines.sort(key=lambda line: (-line.beets, line.volunteer.name, line.volunteer.pk))
    progress = field_progress(demonstration)
    return Board(
        people=lines,
        evenings=evenings(demonstration),
        progress=progress,
        total=_settle(progress.beets, demonstration),
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


def evening_book(gathering: Gathering) -> EveningBook:
    """Return an evening's page: who came or was expected, and what is in the book."""
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
    )


def statement(volunteer: Volunteer) -> PersonStatement:
    """Return what the book comes to for one person: three queries."""
    demonstration = volunteer.demonstration
    hours = _hours_by(demonstration, "gathering", volunteer=volunteer)
    sums = {
        row.key: row.beets
        for row in Entry.objects.filter(volunteer=volunteer).summed_by("gathering")
    }
    rows = Gathering.objects.filter(pk__in=[*sums, *hours]).in_order()
    lines = [
        StatementLine(
            row.title,
            row.starts_at,
            sums.get(row.pk, 0),
            hours.get(row.pk, Decimal(0)),
        )
        for row in rows
    ]
    total = sum(line.beets for line in lines)
    return PersonStatement(
        volunteer, demonstration, lines, _settle(total, demonstration)
    )


def _settle(beets: int, demonstration: Demonstration) -> Statement:
    return settle(
        beets,
        beets_per_stook=demonstration.beets_per_stook,
        rate_farthings=demonstration.token_rate_farthings,
        part_stooks=demonstration.part_stooks_rule,
    )


def _plot_stand(plot: Plot) -> stand.Stand:
    if plot.expected_beets:
        return stand.counted_stand(plot.expected_beets)
    return stand.expected_stand(plot.area_m2)


def _hours_by(
    demonstration: Demonstration, key: str, volunteer: Volunteer | None = None
) -> dict[int, Decimal]:
    """Add up hours of turnout by volunteer or gathering; who has not left has none."""
    rows = Turnout.objects.of(demonstration).filter(left_at__isnull=False)
    if volunteer:
        rows = rows.filter(volunteer=volunteer)
    spent: dict[int, timedelta] = {}
    for row, stay in rows.values_list(key, F("left_at") - F("arrived_at")):
        spent[row] = spent.get(row, timedelta()) + stay
    return {row: _hours(stay) for row, stay in spent.items()}


def _hours(stay: timedelta) -> Decimal:
    return (Decimal(stay // timedelta(minutes=1)) / 60).quantize(Decimal("0.1"))
