"""Many sheets are asked for, put together beside everything else, and kept a day.

Each kind has a task of its own subject, which hands `write` what it draws. One kind of
one demonstration is made once at a time, and again only when what it is made from has
changed; so no number of visitors asks for more work than one.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from importlib.metadata import version
from typing import Any

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils.functional import cached_property

from heritage.common.making import (
    State,
    WhyNot,
    begin,
    drop,
    give_up_quiet,
    told_if_it_fails,
)
from heritage.common.rows import fill_in, lock
from heritage.printing.models import Printing, PrintingQuerySet, printing_path
from heritage.season.models import Demonstration

KEPT = timedelta(days=1)
# No more sheets than these, and nobody is asked to wait: half a second's drawing.
AT_ONCE = 48
# So often it is told how far one is; page by page might take longer than drawing.
TOLD = 20
# Says how many pages are done.
Tell = Callable[[int], None]


@dataclass(frozen=True)
class Order:
    """What somebody wants printed.

    ``name`` is a word of ours and the file's name, ``pages`` how many there are to be,
    or 0 where nobody knows. ``made_from`` is all that it says, so that a change is seen
    without printing it, and ``make`` the task that takes a printing's number.
    """

    demonstration: Demonstration
    name: str
    title: str
    pages: int
    made_from: Any
    make: Any

    @cached_property
    def mark(self) -> str:
        """Return what it is made from, and by which program, as 64 signs."""
        told = version("heritage"), settings.SITE_ADDRESS, self.made_from
        return hashlib.sha256(repr(told).encode()).hexdigest()

    @property
    def rows(self) -> PrintingQuerySet:
        return Printing.objects.of(self.demonstration).named(self.name)


def printed(*, order: Order, now: datetime) -> Printing:
    """Return a printing from what there is now, or have one made.

    While one of its kind is being made, that is the answer, whatever it is made from.
    One that failed is the answer too, until somebody tries again.
    """
    known = _known(order)
    if known and not known.is_quiet(now):
        return known
    row, is_new = _asked(order, now)
    if is_new:
        # Where no worker is, it is made now.
        order.make.enqueue(row.pk)
        row.refresh_from_db()
    return row


def _known(order: Order) -> Printing | None:
    same = order.rows.over().from_same(order.mark).newest_first()
    return order.rows.going().first() or same.first()


@transaction.atomic
def _asked(order: Order, now: datetime) -> tuple[Printing, bool]:
    """Return what somebody asked for meanwhile, or a new row, and whether it is new."""
    lock(order.demonstration)
    give_up_quiet(order.rows, now)
    known = _known(order)
    if known:
        return known, False
    row = Printing(demonstration=order.demonstration, name=order.name, mark=order.mark)
    values = {"asked_at": now, "told_at": now, "total": order.pages}
    return fill_in(row, values), True


@transaction.atomic
def let_it_be_tried_again(*, order: Order) -> None:
    """Forget what failed, so that the next who asks has it made."""
    drop(order.rows.failed())


def write(
    *,
    key: int,
    content: Callable[[Printing, Tell], bytes],
    tell_time: Callable[[], datetime],
) -> None:
    """Print what was asked for, unless somebody does or did.

    ``tell_time`` says what time it is, as often as there is something to tell.
    """
    rows = Printing.objects.filter(pk=key)
    if not begin(rows, tell_time()):
        return
    printing = Printing.objects.select_related("demonstration").get(pk=key)

    def tell(done: int) -> None:
        done = min(done, printing.total)
        if done - printing.done >= printing.total / TOLD:
            printing.done = done
            rows.update(done=done, told_at=tell_time())

    with told_if_it_fails(rows):
        pdf = content(printing, tell)
        name = default_storage.save(printing_path(printing, ""), ContentFile(pdf))
        _take_in(printing, name, tell_time())


@transaction.atomic
def _take_in(printing: Printing, name: str, now: datetime) -> None:
    """Name the file in its row and drop those before, unless it was given up."""
    lock(printing.demonstration)
    printing = lock(printing)
    if printing.state != State.MAKING:
        transaction.on_commit(partial(default_storage.delete, name))
        return
    rows = Printing.objects.of(printing.demonstration).named(printing.name)
    drop(rows.over())
    printing.file = name
    made = {"state": State.MADE, "made_at": now, "told_at": now}
    fill_in(printing, {**made, "done": printing.total})


def read(*, printing: Printing) -> bytes | None:
    """Return what was printed; where the store has lost it, it was not printed."""
    try:
        with printing.file.open("rb") as stored:
            kept: bytes = stored.read()
    except FileNotFoundError:
        broke_off = {"state": State.FAILED, "why_not": WhyNot.BROKE_OFF}
        fill_in(printing, broke_off)
        return None
    return kept


@transaction.atomic
def drop_old(*, now: datetime) -> None:
    """Drop what was asked for a day ago: its date is no longer today's."""
    drop(Printing.objects.over().asked_before(now - KEPT))


@transaction.atomic
def drop_all(*, demonstration: Demonstration) -> None:
    """Drop every printing, and let none be finished that is being made.

    Somebody was erased: no copy that names them may stay.
    """
    rows = Printing.objects.of(demonstration)
    drop(rows.over())
    rows.going().update(state=State.FAILED, why_not=WhyNot.ERASED)
