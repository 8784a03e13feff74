"""Everybody's statements and thank-yous are put together beside everything else."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, Final

from django.utils.translation import gettext as _
from django_tasks import task

from heritage.common import clock
from heritage.printing.models import Printing
from heritage.printing.services import Order, Tell, write
from heritage.season.models import Demonstration
from heritage.tally.statements import selectors, sheets
from heritage.tally.statements.selectors import PersonStatement

STATEMENTS: Final = "statements"
THANKS: Final = "thank-you"
LARGE: Final = "-large"
SHEET_OF: Final = {STATEMENTS: sheets.statement_sheet, THANKS: sheets.thanks_sheet}


def everybodys(
    demonstration: Demonstration,
    kind: str,
    pages: Sequence[PersonStatement],
    now: datetime,
    *,
    large: bool,
) -> Order:
    """Order a sheet of one ``kind`` for each of ``pages``: no query."""
    today = now.astimezone(demonstration.zone).date()
    home = demonstration.name, demonstration.time_zone, demonstration.beets_per_stook
    return Order(
        demonstration,
        name=f"{kind}{large * LARGE}",
        title=_("Thank you") if kind == THANKS else _("Statements"),
        pages=len(pages),
        made_from=[home, today, [_told_of(one) for one in pages]],
        make=make_everybodys,
    )


@task()
def make_everybodys(key: int) -> None:
    """Print everybody's sheets that were asked for."""
    write(key=key, content=_everybodys, tell_time=clock.now)


def _everybodys(printing: Printing, tell: Tell) -> bytes:
    home, name = printing.demonstration, printing.name
    kind = THANKS if name.startswith(THANKS) else STATEMENTS
    pages = selectors.statements(home, thanked=kind == THANKS)
    return SHEET_OF[kind](
        pages,
        home,
        printed_on=printing.asked_at.astimezone(home.zone).date(),
        large_print=LARGE in name,
        tell=tell,
    )


def _told_of(one: PersonStatement) -> tuple[Any, ...]:
    """Return all that is printed for one person, to be compared; no query."""
    who = one.volunteer.pk, one.volunteer.name
    return *who, one.lines, one.settled, one.work, one.unconfirmed
