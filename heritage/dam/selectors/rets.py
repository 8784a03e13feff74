"""How a ret stands, and its page."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from django.utils.translation import gettext as _

from heritage.calc import dam as sums
from heritage.calc import retting
from heritage.dam.models import Check, Finding, Reading, Ret

STALE_AFTER = timedelta(hours=30)
CURVE_STEP = timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class RetState:
    """How a ret stands: when to test it, never when to lift it.

    ``measured`` is the progress at the last reading, ``progress`` what to expect of
    it by now; both are None until the water has been read. ``next_test`` is due once
    it is not after the moment the state was asked for. ``last_check`` is the last time
    the wood was drawn; ``seen`` is the phase that was seen, if any was.
    """

    ret: Ret
    day: int
    measured: float | None
    progress: float | None
    sigma: float | None
    first_test: datetime | None
    early: datetime | None
    likely: datetime | None
    late: datetime | None
    test_every: timedelta | None
    next_test: datetime | None
    is_test_due: bool
    last_reading: Reading | None
    last_check: Check | None
    seen: sums.Phase | None
    warnings: tuple[str, ...]

    @property
    def percent(self) -> int | None:
        """Progress to be expected by now, in whole percent."""
        return None if self.progress is None else round(100 * self.progress)

    @property
    def percents(self) -> tuple[int, int] | None:
        """The least and the most it may be along, for four batches in five."""
        if self.progress is None or self.sigma is None:
            return None
        model = retting.RetModel(sigma=self.sigma)
        least, most = self.progress / model.late, self.progress / model.early
        return min(100, round(100 * least)), min(100, round(100 * most))

    @property
    def hours_between_tests(self) -> int | None:
        """The longest time to leave between two tests, in whole hours."""
        every = self.test_every
        return None if every is None else int(every / timedelta(hours=1))

    @property
    def drew_free(self) -> bool:
        """Whether the wood drew out free at the last test."""
        return bool(self.last_check and self.last_check.finding == Finding.FREE)


@dataclass(frozen=True, slots=True)
class RetPage:
    """All that is known of one ret; ``struck`` are the readings that do not count."""

    state: RetState
    readings: tuple[Reading, ...]
    struck: tuple[Reading, ...]
    checks: tuple[Check, ...]
    curve: retting.RetCurve | None
    asked_at: datetime


def ret_page(ret: Ret, now: datetime) -> RetPage:
    """Gather one ret's readings, tests and forecast."""
    rows = Reading.objects.in_ret(ret).in_order()
    found = tuple(rows.select_related("correction__entered_by", "entered_by"))
    readings = tuple(row for row in found if row.struck_at is None)
    struck = tuple(row for row in found if row.struck_at)
    checks = tuple(
        Check.objects.in_ret(ret).newest_first().select_related("entered_by")
    )
    course = None
    if readings:
        course = retting.curve(
            _log(ret, readings), started=_start(ret), step=CURVE_STEP
        )
    state = ret_state(ret, readings, checks, now)
    return RetPage(state, readings, struck, checks, course, now)


def ret_state(
    ret: Ret, readings: Sequence[Reading], checks: Sequence[Check], now: datetime
) -> RetState:
    """Say how a ret stands, from its readings in order and its newest check first."""
    until = ret.lifted_at or now
    last_check = next((check for check in checks if check.is_test), None)
    seen = sums.phase_seen(check.finding for check in reversed(checks))
    if not readings:
        return _unread(ret, last_check, seen, until)
    log = _log(ret, readings)
    told = retting.forecast(log, started=_start(ret))
    next_test = told.first_test
    if last_check:
        next_test = max(next_test, last_check.at + told.test_every)
    stale = _stale(readings[-1], told, until) if ret.lifted_at is None else ()
    return RetState(
        ret=ret,
        day=_day(ret, until),
        measured=told.progress,
        progress=_progress_at(until, retting.curve(log, started=_start(ret))),
        sigma=told.sigma,
        first_test=told.first_test,
        early=told.early,
        likely=told.likely,
        late=told.late,
        test_every=told.test_every,
        next_test=None if ret.lifted_at else next_test,
        is_test_due=ret.lifted_at is None and next_test <= now,
        last_reading=readings[-1],
        last_check=last_check,
        seen=seen,
        warnings=(*stale, *told.warnings),
    )


def _unread(
    ret: Ret, last_check: Check | None, seen: sums.Phase | None, until: datetime
) -> RetState:
    """Say how a ret stands whose water nobody has read yet."""
    return RetState(
        ret=ret,
        day=_day(ret, until),
        measured=None,
        progress=None,
        sigma=None,
        first_test=None,
        early=None,
        likely=None,
        late=None,
        test_every=None,
        next_test=None,
        is_test_due=False,
        last_reading=None,
        last_check=last_check,
        seen=seen,
        warnings=(
            _("The water has not been read yet: without a reading no day can be told."),
        ),
    )


def _zone_of(ret: Ret, moment: datetime) -> datetime:
    return moment.astimezone(ret.dam.demonstration.zone)


def _start(ret: Ret) -> datetime:
    """Return the beginning in local time: the forecast's days come back in it."""
    return _zone_of(ret, ret.began_at)


def _log(ret: Ret, readings: Sequence[Reading]) -> list[retting.Reading]:
    return [
        retting.Reading(_zone_of(ret, reading.at), float(reading.temp_c))
        for reading in readings
    ]


def _day(ret: Ret, until: datetime) -> int:
    """Return which day of the ret it is, by the calendar; the first is day 1."""
    days = _zone_of(ret, until).date() - _zone_of(ret, ret.began_at).date()
    return max(days.days, 0) + 1


def _progress_at(moment: datetime, course: retting.RetCurve) -> float:
    stamps = [time.timestamp() for time in course.times]
    return float(np.interp(moment.timestamp(), stamps, course.progress))


def _stale(last: Reading, told: retting.RetForecast, now: datetime) -> tuple[str, ...]:
    """Say what the passing of time has done to a log that nobody carried on."""
    said = []
    if told.likely and told.progress < 1 and now >= told.likely:
        said.append(
            _(
                "The likely day has come by the last reading's reckoning. A day too "
                "long weakens the fibre: test now."
            )
        )
    if now - last.at > STALE_AFTER:
        hours = int((now - last.at) / timedelta(hours=1))
        said.append(
            _("The last reading is %d hours old: read the water again.") % hours
        )
    return tuple(said)
