"""Carrying one person's lines over to another line of the same person.

The book is never rubbed out: each line is countered with the reason, and entered
anew for the line that is kept. So every total stays exact to the beet.
"""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import Sum
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer
from heritage.tally.models import Answer, Entry, OwnLog, Work


@dataclass(frozen=True, slots=True)
class Carried:
    """How much was carried over."""

    beets: int
    work_lines: int
    own_logs: int


@transaction.atomic
def carry_over(*, gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> Carried:
    """Counter each line of one, and enter it anew for the other; twice is once."""
    books = Entry.objects.by(gone), Work.objects.filter(volunteer=gone)
    keys = {key for rows in books for key in rows.values_list("gathering", flat=True)}
    keys |= set(gone.own_logs.values_list("gathering", flat=True))
    # Held in one order, so that two who carry over never wait for each other.
    list(Gathering.objects.select_for_update().filter(pk__in=keys).order_by("pk"))
    reason = _("The same person as %(name)s, line %(line)d.") % {
        "name": kept.name[:120],
        "line": kept.pk,
    }
    return Carried(
        beets=sum(_entry(row, kept, reason, by, now) for row in _first(Entry, gone)),
        work_lines=sum(_work(row, kept, reason, by, now) for row in _first(Work, gone)),
        own_logs=sum(_own_log(row, kept, reason, by, now) for row in _unanswered(gone)),
    )


def _first(book: type, gone: Volunteer) -> list:  # type: ignore[type-arg]
    rows = book._default_manager.filter(volunteer=gone, corrects__isnull=True)  # type: ignore[attr-defined]
    return list(rows.order_by("pk"))


def _unanswered(gone: Volunteer) -> list[OwnLog]:
    return list(OwnLog.objects.filter(volunteer=gone).unanswered().order_by("pk"))


def _entry(row: Entry, kept: Volunteer, reason: str, by: User, now: datetime) -> int:
    beets = row.beets + row.corrections.all().beets()
    if not beets:
        return 0
    same = {
        "gathering_id": row.gathering_id,
        "plot_id": row.plot_id,
        "way": row.way,
        "source": row.source,
        "crew": row.crew,
        "reason": reason,
        "entered_at": now,
        "entered_by": by,
    }
    counter = Entry(volunteer_id=row.volunteer_id, beets=-beets, corrects=row, **same)
    anew = Entry(volunteer=kept, beets=beets, key=_key(row.key, kept), **same)
    for one in (counter, anew):
        one.full_clean()
        one.save()
    return beets


def _work(row: Work, kept: Volunteer, reason: str, by: User, now: datetime) -> int:
    corrected = row.corrections.aggregate(total=Sum("amount"))["total"] or 0
    amount = row.amount + corrected
    if not amount:
        return 0
    same = {
        "gathering_id": row.gathering_id,
        "kind": row.kind,
        "entered_at": now,
        "entered_by": by,
    }
    counter = Work(
        volunteer_id=row.volunteer_id,
        amount=-amount,
        corrects=row,
        note=reason,
        **same,
    )
    anew = Work(
        volunteer=kept,
        amount=amount,
        key=_key(row.key, kept),
        note=row.note or reason,
        **same,
    )
    for one in (counter, anew):
        one.full_clean()
        one.save()
    return 1


def _own_log(row: OwnLog, kept: Volunteer, reason: str, by: User, now: datetime) -> int:
    answer = Answer(own_log=row, reason=reason, answered_at=now, answered_by=by)
    anew = OwnLog(
        gathering_id=row.gathering_id,
        volunteer=kept,
        way=row.way,
        beets=row.beets,
        note=row.note,
        key=_key(row.key, kept),
        said_at=row.said_at,
        said_by_id=row.said_by_id,
    )
    for one in (answer, anew):
        one.full_clean()
        one.save()
    return 1


def _key(key: uuid.UUID, kept: Volunteer) -> uuid.UUID:
    return uuid.uuid5(key, f"carried to {kept.pk}")
