"""Other work into the book: bands, loads, hours, and the machine's minutes."""

import uuid
from datetime import datetime

from django.db import transaction
from django.db.models import Sum

from heritage.gatherings.models import Gathering
from heritage.people.models import User, Volunteer
from heritage.tally.models import Work
from heritage.tally.services.rules import (
    difference,
    hold,
    require_correctable,
    require_open,
    require_same_demonstration,
)


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
    hold(gathering)
    earlier = Work.objects.filter(key=key).first()
    if earlier:
        return earlier
    require_open(gathering, now)
    require_same_demonstration(gathering, volunteer)
    work = Work(
        gathering=gathering,
        kind=kind,
        amount=amount,
        volunteer=volunteer,
        note=note,
        key=key,
        entered_at=now,
        entered_by=by,
    )
    work.full_clean()
    work.save()
    return work


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
    hold(work.gathering)
    require_correctable(work, reason)
    corrected = work.corrections.aggregate(total=Sum("amount"))["total"] or 0
    said = work.amount + corrected
    counter = Work(
        gathering=work.gathering,
        kind=work.kind,
        amount=difference(right=right_amount, said=said, field="right_amount"),
        volunteer=work.volunteer,
        note=reason.strip(),
        corrects=work,
        entered_at=now,
        entered_by=by,
    )
    counter.full_clean()
    counter.save()
    return counter
