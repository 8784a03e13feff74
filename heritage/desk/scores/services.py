"""What is forecast today, kept once a day: afterwards it is scored."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, time

from django.db import transaction

from heritage.common.rows import lock
from heritage.dam.models import Foretells, Foretold
from heritage.dam.selectors import dam_states
from heritage.gatherings.ground.selectors import evening_of
from heritage.growth.selectors import pulling_window
from heritage.season.models import Demonstration
from heritage.tally.forecast.selectors import WhatIf, forecast_page
from heritage.tally.models import Entry
from heritage.tally.pace.selectors import plans

# Of the chances: one in ten before, as likely as not, one in ten after.
SHARES = (0.1, 0.5, 0.9)


def note_all(now: datetime) -> int:
    """Keep today's forecasts of every demonstration of the year that has none yet."""
    return sum(
        note_forecasts(demonstration=one, now=now)
        for one in Demonstration.objects.filter(year=now.year)
    )


@transaction.atomic
def note_forecasts(*, demonstration: Demonstration, now: datetime) -> int:
    """Keep what is forecast today, unless that was done: the day's first word stands.

    What has happened is forecast no more.
    """
    lock(demonstration)
    today = evening_of(now, demonstration)
    if Foretold.objects.of(demonstration).on(today).exists():
        return 0
    of_rets = _of_rets(demonstration, now, today)
    return _keep([*_of_field(demonstration, now, today), *of_rets])


@transaction.atomic
def note_rets(*, demonstration: Demonstration, now: datetime) -> int:
    """Keep what is forecast of the rets alone, unless that was done today."""
    lock(demonstration)
    today = evening_of(now, demonstration)
    told = Foretold.objects.of(demonstration).on(today)
    done = set(told.values_list("ret", flat=True))
    rows = _of_rets(demonstration, now, today)
    return _keep([row for row in rows if row.ret_id not in done])


def _keep(rows: Sequence[Foretold]) -> int:
    for row in rows:
        row.full_clean(validate_unique=False)
        row.save()
    return len(rows)


def _of_field(
    demonstration: Demonstration, now: datetime, today: date
) -> Iterator[Foretold]:
    """Say when the crop is fit to pull; once pulling has begun, when it is done."""
    if not Entry.objects.of(demonstration).exists():
        window = pulling_window(demonstration)
        if window and window.last >= today:
            days = window.first, window.best, window.last
            yield _row(demonstration, Foretells.PULLING, today, days)
        return
    ahead = plans(demonstration, now)
    if not ahead:
        return
    page = forecast_page(demonstration, now=now, plans=ahead, asked=WhatIf())
    told = [page.before.likely.day_at(share) for share in SHARES]
    finish = [day for day in told if day]
    if page.left.high > 0 and len(finish) == len(SHARES):
        yield _row(demonstration, Foretells.FINISH, today, finish)


def _row(
    demonstration: Demonstration, what: Foretells, today: date, days: Iterable[date]
) -> Foretold:
    early, likely, late = (
        datetime.combine(day, time(12), demonstration.zone) for day in days
    )
    return Foretold(
        demonstration=demonstration,
        what=what,
        said_on=today,
        early=early,
        likely=likely,
        late=late,
    )


def _of_rets(
    demonstration: Demonstration, now: datetime, today: date
) -> Iterator[Foretold]:
    for state in dam_states(demonstration, now):
        ret = state.ret
        if ret and ret.early and ret.likely and ret.late:
            yield Foretold(
                demonstration=demonstration,
                what=Foretells.RET,
                ret=ret.ret,
                said_on=today,
                early=ret.early,
                likely=ret.likely,
                late=ret.late,
            )
