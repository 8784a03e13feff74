"""The album is put together beside everything else."""

from datetime import datetime

from django_tasks import task

from heritage.common import clock
from heritage.pictures.printed import selectors, sheets
from heritage.pictures.printed.sheets import Print
from heritage.printing.models import Printing
from heritage.printing.services import Order, Tell, write
from heritage.season.models import Demonstration

ALBUM, LARGE, A3 = "album", "-large", "-a3"


def album(
    demonstration: Demonstration, now: datetime, *, large: bool, a3: bool
) -> Order:
    """Order the season's pictures by stage: one query."""
    page = selectors.album(demonstration)
    today = now.astimezone(demonstration.zone).date()
    home = demonstration.name, demonstration.crop, demonstration.year
    told = [selectors.told_of(one) for one in page.pictures]
    return Order(
        demonstration,
        name=f"{ALBUM}{large * LARGE}{a3 * A3}",
        title=sheets.album_title(),
        # How many there are is known when they are drawn.
        pages=0,
        made_from=[home, today, told, page.left_out],
        make=make_album,
    )


@task()
def make_album(key: int) -> None:
    """Print an album that was asked for."""
    write(key=key, content=_album, tell_time=clock.now)


def _album(printing: Printing, tell: Tell) -> bytes:
    home, name = printing.demonstration, printing.name
    today = printing.asked_at.astimezone(home.zone).date()
    how = Print(today, large_print=LARGE in name, a3=A3 in name)
    return sheets.album(selectors.album(home), how)
