"""Writing an evening's sheet: who came, and what each pulled, in one go.

The sheet gives each person's beets as a whole. What it has more than the book is
added, what it has less is countered, newest entry first; what was not changed on the
page stays as it is, whatever a phone sent meanwhile. A person's own logs are confirmed
where the sheet comes to the sum, and else answered with none: the sheet has them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.gatherings.gate import services as gate
from heritage.people.models import User, Volunteer
from heritage.tally.models import OwnLog
from heritage.tally.services import (
    Sheet,
    answer_own,
    booked_beets,
    correct,
    log_evening,
    require_open,
)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """What a sheet says of one person; ``booked`` is what the page showed."""

    volunteer: Volunteer
    arrived_at: datetime | None
    left_at: datetime | None
    booked: int
    beets: int

    @property
    def mark(self) -> gate.Mark:
        """Whether they came, and their times."""
        return gate.Mark(self.volunteer, self.arrived_at, self.left_at)


@transaction.atomic
def write_sheet(
    *, sheet: Sheet, lines: Sequence[SheetLine], by: User, now: datetime
) -> None:
    """Write down who came and what each pulled: all of it, or nothing.

    Raises
    ------
    ValidationError
        If the gathering was called off or has not begun, or somebody's beets were
        changed on the page and in the book meanwhile (``beets_`` and their key).
    """
    lock(sheet.gathering)
    require_open(sheet.gathering, now)
    marks = [line.mark for line in lines]
    gate.record_list(gathering=sheet.gathering, marks=marks, by=by)
    entries = sheet.gathering.entries.order_by().values_list("volunteer", "beets")
    booked: dict[int, int] = {}
    for person, beets in entries:
        booked[person] = booked.get(person, 0) + beets
    logs = list(sheet.gathering.own_logs.all().unanswered().for_page())
    for line in lines:
        mine = [log for log in logs if log.volunteer_id == line.volunteer.pk]
        said = [log for log in mine if log.volunteer.user_id != by.pk]
        _count_in(sheet, line, booked.get(line.volunteer.pk, 0), said, by, now)


def _count_in(
    sheet: Sheet,
    line: SheetLine,
    booked: int,
    said: Sequence[OwnLog],
    by: User,
    now: datetime,
) -> None:
    """Make the book say of one person what the sheet says."""
    total = line.booked + sum(log.beets for log in said)
    is_confirmed = line.beets == total
    if not is_confirmed and line.beets != line.booked and booked != line.booked:
        words = _("The tally has %d by now. Please check.") % booked
        raise ValidationError({f"beets_{line.volunteer.pk}": words})
    reason = _("Counted when the evening was closed.")
    for log in said:
        right = log.beets if is_confirmed else 0
        answer_own(own_log=log, right_beets=right, reason=reason, by=by, now=now)
    more = 0 if is_confirmed else line.beets - line.booked
    if more > 0:
        log_evening(sheet=sheet, counts={line.volunteer: more}, by=by, now=now)
    elif more < 0:
        _counter(sheet, line.volunteer, -more, reason, by, now)


def _counter(
    sheet: Sheet, who: Volunteer, fewer: int, reason: str, by: User, now: datetime
) -> None:
    """Take beets back out of the book, from the newest entries first."""
    rows = sheet.gathering.entries.by(who).filter(corrects__isnull=True)
    for entry in rows.order_by("-entered_at", "-pk"):
        booked = booked_beets(entry)
        take = min(booked, fewer)
        if take > 0:
            right = booked - take
            correct(entry=entry, right_beets=right, reason=reason, by=by, now=now)
            fewer -= take
