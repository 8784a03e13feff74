"""Writing in the tally book, and what every line is asked before it is written.

The book is never rubbed out: a correction is a line of its own, with its reason. Where
two lines of a person are made one, each of the other's entries is countered and entered
anew for the line that is kept, so every total stays exact to the beet.
"""

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from heritage.calc.tally import share
from heritage.common.questions import Question
from heritage.common.rows import broken_rules_said, lock
from heritage.gatherings.gate import services as gate
from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer
from heritage.people.particulars.services import require_own_word_or_organiser
from heritage.season.models import Plot
from heritage.tally.models import (
    Answer,
    Entry,
    OwnLog,
    PulledArea,
    Source,
    Way,
    Work,
    newest_measures,
)

Line = TypeVar("Line", Entry, Work, PulledArea, OwnLog, Answer)

# What is done wherever an entry was written: the crop's lots are made of it.
entry_written: Question[[Entry], object] = Question("Nobody follows the crop's lots.")

# People come early and begin: the book opens this long before the posted start.
BOOK_OPENS = timedelta(hours=2)


def require_open(gathering: Gathering, now: datetime) -> None:
    """Refuse what a gathering cannot have brought in."""
    if gathering.is_called_off:
        raise ValidationError(
            _("This gathering was called off, so nothing was pulled.")
        )
    if gathering.is_draft or now < gathering.starts_at - BOOK_OPENS:
        raise ValidationError(_("This gathering hasn't begun yet."))


def require_same_demonstration(
    gathering: Gathering, volunteer: Volunteer | None, plot: Plot | None = None
) -> None:
    """Refuse people and ground of somewhere else."""
    here = gathering.demonstration_id
    if volunteer and volunteer.demonstration_id != here:
        raise ValidationError(
            _("%s isn't on the list here. Add them first.") % volunteer
        )
    if plot and plot.demonstration_id != here:
        raise ValidationError(
            {"plot": _("That plot isn't in this field. Choose another.")}
        )


def require_correctable(line: Entry | Work, reason: str) -> None:
    """Refuse to correct a correction, or to correct without saying why."""
    if line.corrects_id:
        raise ValidationError(_("Correct the first entry, not its correction."))
    if not reason.strip():
        raise ValidationError({"reason": _("Say why: we keep the reason.")})


def difference(*, right: int, booked: int, field: str) -> int:
    """Return what a counter-line must say to make a line right.

    Raises
    ------
    ValidationError
        By ``field``, if less than nothing is asked, or what the book says already.
    """
    if right < 0:
        raise ValidationError({field: _("Enter 0 or more.")})
    if right == booked:
        raise ValidationError(
            {field: _("That's the same as before. Change it, or cancel.")}
        )
    return right - booked


def _write(line: Line) -> Line:
    """Put a line into the book: the database keeps what is asked of every line."""
    links = {field.name for field in line._meta.concrete_fields if field.is_relation}
    line.clean_fields(exclude=links)
    line.validate_unique()
    with broken_rules_said(type(line)):
        line.save()
    return line


def _write_entry(entry: Entry) -> Entry:
    """Put an entry into the book, and tell those above who follow the crop."""
    _write(entry)
    entry_written(entry)
    return entry


@transaction.atomic
def log_beets(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    beets: int,
    by: User,
    now: datetime,
    plot: Plot | None = None,
    way: str = Way.HAND,
    key: uuid.UUID | None = None,
    source: str = Source.FIELD,
    crew: uuid.UUID | None = None,
) -> Entry:
    """Credit a volunteer with beets; the same key twice is the same entry.

    Raises
    ------
    ValidationError
        If the count is not above nothing, the gathering is called off or has not
        begun, or the person or plot belongs to another demonstration.
    """
    key = key or uuid.uuid4()
    lock(gathering)
    earlier = Entry.objects.filter(key=key).first()
    if earlier:
        return earlier
    require_open(gathering, now)
    require_same_demonstration(gathering, volunteer, plot)
    return _write_entry(
        Entry(
            gathering=gathering,
            volunteer=volunteer,
            plot=plot or gathering.plot,
            way=way,
            beets=beets,
            source=source,
            crew=crew,
            key=key,
            entered_at=now,
            entered_by=by,
        )
    )


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where and how several people's beets were pulled; its key makes twice once."""

    gathering: Gathering
    key: uuid.UUID
    plot: Plot | None = None
    way: str = Way.HAND
    source: str = Source.LEAD
    crew: uuid.UUID | None = None


@transaction.atomic
def log_evening(
    *, sheet: Sheet, counts: Mapping[Volunteer, int], by: User, now: datetime
) -> list[Entry]:
    """Log several people's beets at once: all of them, or none.

    People credited are put on the turnout if they were not on it yet. Sending
    the same sheet twice, by its key, changes nothing.
    """
    lock(sheet.gathering)
    _put_on_turnout(sheet.gathering, counts, by)
    return [
        log_beets(
            gathering=sheet.gathering,
            volunteer=volunteer,
            beets=beets,
            by=by,
            now=now,
            plot=sheet.plot,
            way=sheet.way,
            key=uuid.uuid5(sheet.key, str(volunteer.pk)),
            source=sheet.source,
            crew=sheet.crew,
        )
        for volunteer, beets in counts.items()
    ]


def _put_on_turnout(
    gathering: Gathering, people: Iterable[Volunteer], by: User
) -> None:
    here = set(gathering.turnout.values_list("volunteer", flat=True))
    for volunteer in people:
        if volunteer.pk not in here:
            gate.record_turnout(
                gathering=gathering,
                volunteer=volunteer,
                arrived_at=gathering.starts_at,
                left_at=None,
                by=by,
            )


@transaction.atomic
def log_crew(
    *,
    sheet: Sheet,
    beets: int,
    weights: Mapping[Volunteer, Fraction],
    by: User,
    now: datetime,
) -> list[Entry]:
    """Share what a crew pulled together: an entry each, by the agreed weights.

    The shares are whole beets that sum to the total, by largest remainder. Somebody
    whose share comes to nothing has no entry. The same key twice is the same crew.

    Raises
    ------
    ValidationError
        If there are no beets to share or nobody to share them, or as ``log_beets``.
    """
    lock(sheet.gathering)
    sheet = replace(sheet, crew=sheet.key)
    earlier = Entry.objects.filter(crew=sheet.crew, corrects__isnull=True).in_order()
    if earlier:
        return list(earlier)
    claims = {who: weight for who, weight in weights.items() if weight > 0}
    if not claims:
        raise ValidationError(_("Tick who was in the crew."))
    if beets < 1:
        raise ValidationError({"beets": _("Enter what the crew pulled together.")})
    people = sorted(claims, key=lambda who: who.pk)
    parts = share(beets, [claims[who] for who in people])
    counts = {who: part for who, part in zip(people, parts, strict=True) if part}
    return log_evening(sheet=sheet, counts=counts, by=by, now=now)


@transaction.atomic
def log_paper(
    *,
    sheet: Sheet,
    counts: Mapping[Volunteer, int],
    check_total: int,
    by: User,
    now: datetime,
) -> list[Entry]:
    """Type a paper sheet in: its lines must come to the total written under them.

    Raises
    ------
    ValidationError
        If they do not, or as ``log_beets``.
    """
    typed = sum(counts.values())
    if typed != check_total:
        words = _(
            "The sheet's total is %(total)d, and the lines come to %(typed)d: a "
            "difference of %(off)d. Nothing is written until they agree."
        )
        sums = {"total": check_total, "typed": typed, "off": abs(check_total - typed)}
        raise ValidationError({"check_total": words % sums})
    sheet = replace(sheet, source=Source.PAPER)
    return log_evening(sheet=sheet, counts=counts, by=by, now=now)


@transaction.atomic
def correct(
    *, entry: Entry, right_beets: int, reason: str, by: User, now: datetime
) -> Entry:
    """Correct an entry by a counter-entry; the book keeps both, and the reason.

    Raises
    ------
    ValidationError
        If the reason is missing, the right count is negative or the same as the
        book says, or the entry is itself a correction.
    """
    lock(entry.gathering)
    require_correctable(entry, reason)
    booked = booked_beets(entry)
    return _write_entry(
        Entry(
            gathering=entry.gathering,
            volunteer=entry.volunteer,
            plot=entry.plot,
            way=entry.way,
            beets=difference(right=right_beets, booked=booked, field="right_beets"),
            source=entry.source,
            crew=entry.crew,
            corrects=entry,
            reason=reason.strip(),
            entered_at=now,
            entered_by=by,
        )
    )


def booked_beets(entry: Entry) -> int:
    """Return what the book says of an entry by now, corrections counted."""
    return entry.beets + entry.corrections.all().beets()


@transaction.atomic
def log_work(
    *,
    gathering: Gathering,
    kind: str,
    amount: int,
    by: User,
    now: datetime,
    volunteer: Volunteer | None = None,
    note: str = "",
    key: uuid.UUID | None = None,
) -> Work:
    """Write down other work; the same key twice is the same line.

    Raises
    ------
    ValidationError
        If it comes to less than one, the gathering is called off or has not begun,
        or the person belongs to another demonstration.
    """
    key = key or uuid.uuid4()
    lock(gathering)
    earlier = Work.objects.filter(key=key).first()
    if earlier:
        return earlier
    require_open(gathering, now)
    require_same_demonstration(gathering, volunteer)
    return _write(
        Work(
            gathering=gathering,
            kind=kind,
            amount=amount,
            volunteer=volunteer,
            note=note,
            key=key,
            entered_at=now,
            entered_by=by,
        )
    )


@transaction.atomic
def correct_work(
    *, work: Work, right_amount: int, reason: str, by: User, now: datetime
) -> Work:
    """Put a line of other work right by a counter-line; the book keeps both.

    Raises
    ------
    ValidationError
        If the reason is missing, the right amount is negative or the same as the
        book says, or the line is itself a correction.
    """
    lock(work.gathering)
    require_correctable(work, reason)
    booked = _booked_amount(work)
    return _write(
        Work(
            gathering=work.gathering,
            kind=work.kind,
            amount=difference(right=right_amount, booked=booked, field="right_amount"),
            volunteer=work.volunteer,
            note=reason.strip(),
            corrects=work,
            entered_at=now,
            entered_by=by,
        )
    )


def _booked_amount(work: Work) -> int:
    """Return what the book says of a line of other work by now."""
    corrected = work.corrections.aggregate(total=Sum("amount"))["total"] or 0
    return work.amount + int(corrected)


# A plot paced out twice does not come out alike: so much more is let through.
SLACK = Decimal("1.1")


@transaction.atomic
def measure_ground(
    *, gathering: Gathering, plot: Plot, area_m2: Decimal, by: User, now: datetime
) -> PulledArea:
    """Write down how much of a plot a gathering cleared; the newest measure holds.

    Raises
    ------
    ValidationError
        If it is below nothing, or with the other evenings' more than the plot has,
        or the gathering has not begun, or the plot is of another field.
    """
    lock(gathering)
    require_open(gathering, now)
    require_same_demonstration(gathering, None, plot)
    rows = newest_measures(plot.pulled_areas.all().in_order()).values()
    before = sum(
        (row.area_m2 for row in rows if row.gathering_id != gathering.pk), Decimal(0)
    )
    if before + area_m2 > plot.area_m2 * SLACK:
        words = _(
            "%(plot)s has %(area)s m², and other evenings cleared %(before)s m² of it. "
            "Measure again, or change the earlier evening."
        )
        ground = {"plot": plot, "area": plot.area_m2, "before": before}
        raise ValidationError({"area": words % ground})
    return _write(
        PulledArea(
            gathering=gathering,
            plot=plot,
            area_m2=area_m2,
            entered_at=now,
            entered_by=by,
        )
    )


@transaction.atomic
def log_own(
    *,
    gathering: Gathering,
    volunteer: Volunteer,
    beets: int,
    by: User,
    now: datetime,
    way: str = Way.HAND,
    note: str = "",
    key: uuid.UUID | None = None,
) -> OwnLog:
    """Keep what a volunteer says they pulled, for a lead to confirm.

    Raises
    ------
    ValidationError
        If the count is out of range, the gathering is called off or has not begun,
        the person belongs to another demonstration, or the one who asks neither
        answers for them nor organises.
    """
    key = key or uuid.uuid4()
    lock(gathering)
    earlier = OwnLog.objects.filter(key=key).first()
    if earlier:
        return earlier
    require_open(gathering, now)
    require_same_demonstration(gathering, volunteer)
    require_own_word_or_organiser(volunteer, by)
    return _write(
        OwnLog(
            gathering=gathering,
            volunteer=volunteer,
            way=way,
            beets=beets,
            note=note,
            key=key,
            said_at=now,
            said_by=by,
        )
    )


@transaction.atomic
def answer_own(
    *, own_log: OwnLog, right_beets: int, reason: str, by: User, now: datetime
) -> Answer:
    """Confirm somebody's own log, in full or with another number, or not at all.

    Raises
    ------
    ValidationError
        If it was answered before, or the number is not theirs and no reason is given,
        or a lead would confirm their own.
    """
    lock(own_log.gathering)
    _refuse_answer(own_log, right_beets, reason, by)
    answer = Answer(
        own_log=own_log, reason=reason.strip(), answered_at=now, answered_by=by
    )
    if right_beets:
        sheet = Sheet(
            own_log.gathering, own_log.key, way=own_log.way, source=Source.OWN
        )
        counts = {own_log.volunteer: right_beets}
        [answer.entry] = log_evening(sheet=sheet, counts=counts, by=by, now=now)
    return _write(answer)


def _refuse_answer(own_log: OwnLog, right_beets: int, reason: str, by: User) -> None:
    if Answer.objects.filter(own_log=own_log).exists():
        raise ValidationError(_("Somebody has already answered this. Reload the page."))
    if own_log.volunteer.user_id == by.pk:
        raise ValidationError(
            _("Ask somebody else to confirm what you pulled yourself.")
        )
    if right_beets < 0:
        raise ValidationError({"right_beets": _("Enter 0 or more.")})
    if right_beets != own_log.beets and not reason.strip():
        raise ValidationError(
            {"reason": _("Say why it differs from what they entered.")}
        )


@dataclass(frozen=True, slots=True)
class Carried:
    """How much was carried over."""

    beets: int
    work_lines: int
    own_logs: int


@dataclass(frozen=True, slots=True)
class _CarryOver:
    """Whose lines they become, with the words, the hand and the moment of each."""

    kept: Volunteer
    reason: str
    by: User
    now: datetime

    def key(self, line: Entry | Work | OwnLog) -> uuid.UUID:
        """Return the key of a line entered anew, so that twice is once."""
        return uuid.uuid5(line.key, f"carried to {self.kept.pk}")


@transaction.atomic
def carry_over(*, gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> Carried:
    """Counter each line of one, and enter it anew for the other; twice is once."""
    entries, work = Entry.objects.by(gone), Work.objects.filter(volunteer=gone)
    own_logs = OwnLog.objects.filter(volunteer=gone)
    keys: set[int] = set()
    for rows in (entries, work, own_logs):
        keys.update(rows.values_list("gathering", flat=True))
    # Locked in one order, so that two who carry over never wait for each other.
    list(Gathering.objects.select_for_update().filter(pk__in=keys).order_by("pk"))
    reason = _("The same person as %(name)s, line %(line)d.") % {
        "name": kept.name[:120],
        "line": kept.pk,
    }
    carry = _CarryOver(kept, reason, by, now)
    first_entries = entries.filter(corrects__isnull=True).order_by("pk")
    first_work = work.filter(corrects__isnull=True).order_by("pk")
    waiting = own_logs.unanswered().order_by("pk")
    return Carried(
        beets=sum(_carry_entry(row, carry) for row in first_entries),
        work_lines=sum(_carry_work(row, carry) for row in first_work),
        own_logs=sum(_carry_log(row, carry) for row in waiting),
    )


def _carry_entry(row: Entry, carry: _CarryOver) -> int:
    beets = booked_beets(row)
    if not beets:
        return 0
    same = {
        "gathering_id": row.gathering_id,
        "plot_id": row.plot_id,
        "way": row.way,
        "source": row.source,
        "crew": row.crew,
        "reason": carry.reason,
        "entered_at": carry.now,
        "entered_by": carry.by,
    }
    _write_entry(
        Entry(volunteer_id=row.volunteer_id, beets=-beets, corrects=row, **same)
    )
    _write_entry(Entry(volunteer=carry.kept, beets=beets, key=carry.key(row), **same))
    return beets


def _carry_work(row: Work, carry: _CarryOver) -> int:
    amount, note = _booked_amount(row), carry.reason
    if not amount:
        return 0
    same = {
        "gathering_id": row.gathering_id,
        "kind": row.kind,
        "entered_at": carry.now,
        "entered_by": carry.by,
    }
    counter = {"volunteer_id": row.volunteer_id, "amount": -amount, "corrects": row}
    anew = {"volunteer": carry.kept, "amount": amount, "key": carry.key(row)}
    _write(Work(note=note, **counter, **same))
    _write(Work(note=row.note or note, **anew, **same))
    return 1


def _carry_log(row: OwnLog, carry: _CarryOver) -> int:
    _write(
        Answer(
            own_log=row,
            reason=carry.reason,
            answered_at=carry.now,
            answered_by=carry.by,
        )
    )
    _write(
        OwnLog(
            gathering_id=row.gathering_id,
            volunteer=carry.kept,
            way=row.way,
            beets=row.beets,
            note=row.note,
            key=carry.key(row),
            said_at=row.said_at,
            said_by_id=row.said_by_id,
        )
    )
    return 1
