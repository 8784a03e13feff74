"""All for a hall and for a school is put together beside everything else."""

from datetime import datetime

from django_tasks import task

from heritage.common import clock
from heritage.printing.models import Printing
from heritage.printing.services import Order, Tell, write
from heritage.public.process.selectors import process_season
from heritage.public.shelf import sheets
from heritage.public.shelf.selectors import for_hall, for_school, title_for
from heritage.season.models import Demonstration

HALL, SCHOOL, HELPERS, LARGE = "hall", "school", "-helpers", "-large"


def hall(demonstration: Demonstration, now: datetime) -> Order:
    """Order all that hangs in a hall."""
    return _order(demonstration, now, HALL)


def school(
    demonstration: Demonstration, now: datetime, *, for_helpers: bool, large: bool
) -> Order:
    """Order all for a school; helpers take a permission to sign along."""
    who, how = for_helpers * HELPERS, large * LARGE
    return _order(demonstration, now, f"{SCHOOL}{who}{how}")


def _order(demonstration: Demonstration, now: datetime, name: str) -> Order:
    parts = _parts(demonstration, now, name)
    return Order(
        demonstration,
        name=name,
        title=_title(name),
        pages=sum(part.pages for part in parts),
        made_from=[part.says for part in parts],
        make=make_pack,
    )


@task()
def make_pack(key: int) -> None:
    """Print all that was asked for together."""
    write(key=key, content=_content, tell_time=clock.now)


def _content(printing: Printing, tell: Tell) -> bytes:
    home = printing.demonstration
    return sheets.in_turn(
        _parts(home, printing.asked_at, printing.name),
        title=_title(printing.name),
        owner=home.name,
        tell=tell,
    )


def _parts(demonstration: Demonstration, now: datetime, name: str) -> list[sheets.Part]:
    season = process_season(demonstration, now)
    if name == HALL:
        return list(sheets.hall(season))
    large, for_helpers = LARGE in name, HELPERS in name
    return list(sheets.school(season, for_helpers=for_helpers, large=large))


def _title(name: str) -> str:
    return title_for(for_hall() if name == HALL else for_school())
