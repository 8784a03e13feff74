"""The book line by line, to be taken away."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from heritage.season.models import Demonstration
from heritage.tally.models import Entry, Work


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
