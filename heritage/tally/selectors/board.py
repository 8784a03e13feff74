"""The board: what everybody has done, for members by name and for visitors without."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from heritage.calc.tally import Statement
from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import shown_name
from heritage.people.models import AgeBand, Volunteer
from heritage.season.models import Demonstration
from heritage.tally.models import Entry, OwnLog, Work, WorkKind
from heritage.tally.selectors.hours import hours_by
from heritage.tally.selectors.pay import Pay, settled
from heritage.tally.selectors.progress import FieldProgress, field_progress


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
    found = Entry.objects.of(demonstration).best_evening()
    if found is None or found[2] < 1:
        return None
    whose, when, beets = found
    [evening] = [line for line in lines if line.gathering.pk == when]
    return Best(Volunteer.objects.get(pk=whose), evening, beets)


def _work(demonstration: Demonstration) -> list[tuple[str, int]]:
    sums = Work.objects.of(demonstration).sums()
    return [(str(kind.label), sums[kind]) for kind in WorkKind if sums.get(kind)]
