"""Every sheet at once is put together beside everything else."""

from datetime import datetime

from django_tasks import task

from heritage.common import clock
from heritage.printing.models import Printing
from heritage.printing.services import Order, Tell, write
from heritage.public.process import sheets
from heritage.public.process.selectors import fronts, process_season
from heritage.season.models import Demonstration


def booklet(demonstration: Demonstration, now: datetime) -> Order:
    """Order every sheet in one booklet: as many queries as one sheet."""
    return Order(
        demonstration,
        name="booklet",
        title=sheets.booklet_title(),
        pages=sheets.booklet_pages(),
        made_from=process_season(demonstration, now).said,
        make=make_booklet,
    )


def cards(demonstration: Demonstration, now: datetime) -> Order:
    """Order every child's card: no query."""
    return Order(
        demonstration,
        name="cards",
        title=sheets.cards_title(),
        pages=sheets.cards_pages(),
        made_from=fronts(demonstration, now).said,
        make=make_cards,
    )


@task()
def make_booklet(key: int) -> None:
    """Print a booklet that was asked for."""
    write(key=key, content=_booklet, tell_time=clock.now)


@task()
def make_cards(key: int) -> None:
    """Print cards that were asked for."""
    write(key=key, content=_cards, tell_time=clock.now)


def _booklet(printing: Printing, tell: Tell) -> bytes:
    season = process_season(printing.demonstration, printing.asked_at)
    return sheets.booklet(sheets.leaves(season), tell)


def _cards(printing: Printing, tell: Tell) -> bytes:
    season = fronts(printing.demonstration, printing.asked_at)
    return sheets.all_cards(sheets.leaves(season), tell)
