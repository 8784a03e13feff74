"""The dams and what is in each; one ret, how it stands, and its page."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from django.db.models import Prefetch
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from heritage.calc import dam as sums
from heritage.calc import retting
from heritage.dam.learning.selectors import (
    Beside,
    Learned,
    Look,
    beside,
    course_of,
    last_core,
    learned,
    looks,
    signs_of_water,
    zone_of,
)
from heritage.dam.models import Check, Dam, Reading, Ret, Straw, Water
from heritage.dam.readings.selectors import STRUCK_SHOWN
from heritage.dam.words import PHASE_WORDS, RET_WARNINGS, UNREAD
from heritage.dam.works.selectors import Supply, supply_of
from heritage.gatherings.ground.selectors import light_of_day
from heritage.season.models import Demonstration

STALE_AFTER = timedelta(hours=30)
CURVE_STEP = timedelta(hours=3)
# Work at the water ends at sunset: a test begins half an hour before it at the
# latest, by our own rule.
A_TEST_TAKES = timedelta(minutes=30)


@dataclass(frozen=True, slots=True)
class RetState:
    """How a ret stands: when to test it, never when to lift it.

    ``measured`` is the progress at the last reading by the warmth alone, ``progress``
    how far it likely is by now; both are None until the water has been read.
    ``next_test`` is due once it is not after the moment the state was asked for.
    ``last_core`` is the last time the wood was drawn; ``seen`` is the phase that was
    seen, if any was. ``learned`` is the one estimate that the rest goes by.
    """

    ret: Ret
    day: int
    last_core: Look | None
    seen: sums.Phase | None
    warnings: tuple[str, ...]
    measured: float | None = None
    progress: float | None = None
    first_test: datetime | None = None
    early: datetime | None = None
    likely: datetime | None = None
    late: datetime | None = None
    test_every: timedelta | None = None
    next_test: datetime | None = None
    is_test_due: bool = False
    last_reading: Reading | None = None
    learned: Learned | None = None

    @property
    def percent(self) -> int | None:
        """How far it likely is by now, in whole percent, the whole at the most."""
        return None if self.progress is None else min(100, round(100 * self.progress))

    @property
    def percents(self) -> tuple[int, int] | None:
        """The least and the most it may be along, for four batches in five."""
        return self.learned.percents if self.learned else None

    @property
    def hours_between_tests(self) -> int | None:
        """The longest time to leave between two tests, in whole hours."""
        every = self.test_every
        return None if every is None else every // timedelta(hours=1)

    @property
    def hours_once_quiet(self) -> int:
        """The longest time between tests once the bubbles have stopped or it sinks."""
        return retting.LONGEST_ONCE_QUIET // timedelta(hours=1)

    @property
    def tests_may_come_closer(self) -> bool:
        """Whether the tests would come closer once the bubbles stop or it sinks."""
        hours = self.hours_between_tests
        return hours is not None and hours > self.hours_once_quiet

    @property
    def drew_free(self) -> bool:
        """Whether enough wood drew out free at the last test."""
        return bool(self.last_core and self.last_core.says_free)


@dataclass(frozen=True, slots=True)
class RetPage:
    """All that is known of one ret.

    ``readings`` are those it is reckoned by, ``struck`` the last that do not count;
    so ``checks`` and ``struck_checks``.
    """

    state: RetState
    readings: tuple[Reading, ...]
    struck: tuple[Reading, ...]
    checks: tuple[Check, ...]
    struck_checks: tuple[Check, ...]
    curve: retting.RetCurve | None
    asked_at: datetime

    @property
    def looks(self) -> list[Look]:
        """The test book, the newest first."""
        return looks(self.checks)[::-1]

    @property
    def struck_looks(self) -> list[Look]:
        """The tests that do not count, the newest first."""
        return looks(self.struck_checks)[::-1]


def ret_page(ret: Ret, now: datetime) -> RetPage:
    """Gather one ret's readings, tests and forecast."""
    rows = Reading.objects.in_ret(ret)
    readings = tuple(rows.counting().in_order())
    struck = tuple(rows.struck()[:STRUCK_SHOWN])
    book = Check.objects.in_ret(ret).newest_first().select_related("entered_by")
    checks = tuple(line for line in book if not line.struck_at)
    struck_checks = tuple(line for line in book if line.struck_at)
    known = beside(ret.dam.demonstration, now)
    state, course = ret_state(ret, readings, checks, known, now), None
    if state.learned:
        course = retting.curve(
            state.learned.course.log,
            state.learned.course.ahead,
            started=state.learned.course.started,
            step=CURVE_STEP,
            factor=state.learned.factor,
        )
    return RetPage(state, readings, struck, checks, struck_checks, course, now)


def ret_state(
    ret: Ret,
    readings: Sequence[Reading],
    checks: Sequence[Check],
    known: Beside,
    now: datetime,
) -> RetState:
    """Say how a ret stands, from its readings in order and its newest check first."""
    book = checks[::-1]
    state = RetState(
        ret=ret,
        day=_day(ret, ret.lifted_at or now),
        last_core=last_core(book),
        seen=sums.phase_seen(signs_of_water(book)),
        warnings=() if ret.lifted_at else (str(UNREAD),),
    )
    return _reckoned(state, readings, book, known, now) if readings else state


def _reckoned(
    state: RetState,
    readings: Sequence[Reading],
    book: Sequence[Check],
    known: Beside,
    now: datetime,
) -> RetState:
    """Add what all that is known comes to: how far it is, and when to test."""
    ret, until = state.ret, state.ret.lifted_at or now
    course = course_of(ret, readings, known, until)
    alone = retting.forecast(course.log, course.ahead, started=course.started)
    taught = learned(ret, book, course, known, mean_c=alone.mean_c, until=until)
    told = retting.forecast(
        course.log,
        course.ahead,
        started=course.started,
        died_down=sums.has_died_down(signs_of_water(book)),
        factor=taught.factor,
    )
    state = replace(
        state,
        measured=told.progress,
        progress=taught.likely,
        early=told.early,
        likely=told.likely,
        late=told.late,
        test_every=told.test_every,
        last_reading=readings[-1],
        learned=taught,
    )
    if ret.lifted_at is None:
        state = _with_days_ahead(state, taught, now)
    state = _with_next_test(state, taught, book, now)
    # They say what to do next: nothing is left to do once the flax is out.
    warnings = () if ret.lifted_at else _warnings(state, taught, told, now)
    return replace(state, warnings=warnings)


def _with_days_ahead(state: RetState, taught: Learned, now: datetime) -> RetState:
    """Say from when to when tests may find it ready, in water that may stray."""
    told = taught.days_ahead
    early, likely, late = (
        _ahead(state.ret, now, days) for days in (told.early, told.likely, told.late)
    )
    return replace(state, early=early, likely=likely, late=late)


def _with_next_test(
    state: RetState, taught: Learned, book: Sequence[Check], now: datetime
) -> RetState:
    """Say when the next test is due: by the chance that it is ready, and the costs."""
    tests = [line.at for line in book if line.found.kind in retting.TESTS]
    ret, until = state.ret, state.ret.lifted_at or now
    since = max(tests, default=taught.course.started)
    means, sds = taught.course.since(since, until)
    reached = taught.course.at(since)[0]
    hours = retting.next_test(taught.factor, reached, means, sds, costs=taught.costs)
    wait, every = timedelta(hours=hours), state.test_every or timedelta(0)
    if tests:
        # Whole hours, rounded down: the interval printed is the one reckoned with.
        wait = every = _whole_hours(min(wait, every))
    due = since + wait
    is_due = due <= now and _by_daylight(ret, now, after=now) == now
    next_test = zone_of(
        ret, due if is_due else _by_daylight(ret, max(due, now), after=max(since, now))
    )
    going = ret.lifted_at is None
    return replace(
        state,
        first_test=zone_of(ret, min(tests)) if tests else next_test,
        test_every=_whole_hours(every),
        next_test=next_test if going else None,
        is_test_due=going and is_due,
    )


def _by_daylight(ret: Ret, at: datetime, *, after: datetime) -> datetime:
    """Return the last light to test by until a moment; if that is gone by, the next.

    Too late costs more than too early, and nobody is at the water in the dark.
    """
    here = ret.dam.demonstration
    day = at.astimezone(here.zone).date()
    for back in (0, 1):
        light = light_of_day(here, day - timedelta(days=back))
        dark = light.sunset or light.stop
        if light.first is None or dark is None:
            return at
        last = min(at, dark - A_TEST_TAKES)
        if last >= light.first and (last > after or last == at):
            return last
    morning = light_of_day(here, day)
    if morning.first and morning.first >= at:
        return morning.first
    return light_of_day(here, day + timedelta(days=1)).first or at


def _whole_hours(wait: timedelta) -> timedelta:
    return wait - wait % timedelta(hours=1)


def _ahead(ret: Ret, now: datetime, days: float | None) -> datetime | None:
    return None if days is None else zone_of(ret, now + timedelta(days=days))


def _day(ret: Ret, until: datetime) -> int:
    """Return which day of the ret it is, by the calendar; the first is day 1."""
    days = zone_of(ret, until).date() - zone_of(ret, ret.began_at).date()
    return max(days.days, 0) + 1


def _warnings(
    state: RetState, taught: Learned, told: retting.RetForecast, now: datetime
) -> tuple[str, ...]:
    """Say what time has done to a log that nobody carried on, then what it lacks."""
    stale, codes = [], {one.code for one in told.warnings}
    is_past = retting.RetWarning.PAST_LIKELY in codes
    if told.likely and not is_past and now >= told.likely:
        stale.append(
            _(
                "The likely day has come by the last reading's reckoning. A day too "
                "long weakens the fibre: test now."
            )
        )
    last = state.last_reading
    if last and now - last.at > STALE_AFTER:
        hours = int((now - last.at) / timedelta(hours=1))
        stale.append(
            _("The last reading is %d hours old: read the water again.") % hours
        )
    # The hours between tests that the page prints, and no others.
    hours_printed = {"test_every": state.hours_between_tests}
    said = [
        str(RET_WARNINGS[one.code]) % {**one.figures, **hours_printed}
        for one in told.warnings
    ]
    ahead = [taught.outlook_words] if taught.outlook_words else []
    return (*stale, *said, *ahead)


PHASES = (sums.Phase.DRY, sums.Phase.GREEN, sums.Phase.GASSING, sums.Phase.END)


@dataclass(frozen=True, slots=True)
class DamState:
    """A dam, what its water is and, if there is flax in it, how its ret stands."""

    dam: Dam
    water: Water
    ret: RetState | None

    @property
    def is_clean(self) -> bool:
        """Whether a ret may begin in it."""
        return self.water == Water.CLEAN

    @property
    def in_short(self) -> str:
        """How it stands, in one sentence."""
        return in_short(self.dam, self.ret, is_clean=self.is_clean)


def in_short(dam: Dam, ret: RetState | None, *, is_clean: bool) -> str:
    """Say what a dam waits for: a test, clean water or flax."""
    if ret and ret.is_test_due:
        words = _("%(dam)s: test the flax now.")
    elif ret and ret.next_test:
        words = _("%(dam)s: the next test is on %(when)s.")
    elif ret:
        words = _("%(dam)s: read the water to see likely dates.")
    else:
        ready, waits = _("%(dam)s can be filled."), _("%(dam)s waits for clean water.")
        words = ready if is_clean else waits
    at = ret.next_test if ret else None
    when = (
        date_format(localtime(at, dam.demonstration.zone), "l j F, H:i") if at else ""
    )
    return words % {"dam": dam.name, "when": when}


@dataclass(frozen=True, slots=True)
class StoneRow:
    """The stone that may be wanted in one phase: an estimate, never confirmed."""

    phase: sums.Phase
    words: str
    ballast: sums.Ballast
    stones_low: int
    stones_likely: int
    stones_high: int

    @property
    def is_lightened(self) -> bool:
        """Whether the likely weight is none at all: the stones come off."""
        return self.ballast.likely_kg == 0


@dataclass(frozen=True, slots=True)
class StonePlan:
    """The stones for now: by what was seen, or for every phase it may be in."""

    ballast: sums.Ballast
    low: int
    likely: int
    high: int
    seen: sums.Phase | None
    end_percent: int | None

    @property
    def is_over(self) -> bool:
        """Whether it was seen that the working is over."""
        return self.seen is sums.Phase.END


@dataclass(frozen=True, slots=True)
class DamPage:
    """All that is known of one dam."""

    dam: Dam
    volume_m3: float
    supply: Supply
    capacity: sums.Capacity
    is_deep: bool
    stones: tuple[StoneRow, ...]
    stones_for_kg: float
    plan: StonePlan | None
    going: RetState | None
    past: tuple[Ret, ...]
    last_water: Ret | None

    @property
    def in_short(self) -> str:
        """How it stands, in one sentence."""
        return in_short(self.dam, self.going, is_clean=self.is_clean)

    @property
    def water(self) -> Water:
        """What its water is now."""
        return self.last_water.water if self.last_water else Water.CLEAN

    @property
    def is_clean(self) -> bool:
        """Whether a ret may begin in it."""
        return self.water == Water.CLEAN


def dam_states(demonstration: Demonstration, now: datetime) -> tuple[DamState, ...]:
    """Say what is in each dam of a demonstration."""
    dams = Dam.objects.of(demonstration).by_name().select_related("demonstration")
    going = Prefetch(
        "rets",
        queryset=Ret.objects.with_its_water().prefetch_related(
            Prefetch("readings", Reading.objects.counting().in_order(), to_attr="log"),
            Prefetch("checks", Check.objects.standing().newest_first(), to_attr="book"),
        ),
        to_attr="filled",
    )
    rows = list(dams.prefetch_related(going))
    # With nothing under water, nothing beside it is looked up.
    is_going = any(ret.lifted_at is None for dam in rows for ret in _filled(dam))
    known = beside(demonstration, now) if is_going else None
    return tuple(_state(dam, known, now) for dam in rows)


def _filled(dam: Dam) -> list[Ret]:
    """Return the ret whose water is in a dam: the prefetch above put it there."""
    return getattr(dam, "filled", [])


def _state(dam: Dam, known: Beside | None, now: datetime) -> DamState:
    for ret in _filled(dam):
        ret.dam = dam
        if known is None or ret.lifted_at:
            return DamState(dam, ret.water, None)
        # The prefetches above put these lists on the row.
        log, book = getattr(ret, "log", ()), getattr(ret, "book", ())
        return DamState(dam, ret.water, ret_state(ret, log, book, known, now))
    return DamState(dam, Water.CLEAN, None)


def dam_page(dam: Dam, now: datetime) -> DamPage:
    """Reckon what a dam holds, and gather what is and was in it."""
    rets = tuple(
        Ret.objects.in_dam(dam).newest_first().select_related("dam__demonstration")
    )
    going = next((ret for ret in rets if ret.lifted_at is None), None)
    basin, depth = dam.basin, float(dam.depth_m)
    capacity = sums.capacity(basin, beet_kg=dam.demonstration.beet_kg)
    state = _going_state(going, now) if going else None
    dry_kg = going.dry_kg if going else capacity.dry_kg
    supply = supply_of(dam)
    return DamPage(
        dam=dam,
        volume_m3=supply.volume_m3,
        supply=supply,
        capacity=capacity,
        is_deep=depth > sums.DEEPEST_M,
        stones=tuple(_stone_row(dam, dry_kg, phase) for phase in PHASES),
        stones_for_kg=dry_kg,
        plan=_stone_plan(dam, state) if state else None,
        going=state,
        past=tuple(ret for ret in rets if ret.lifted_at),
        last_water=next((ret for ret in rets if ret.clean_at is None), None),
    )


def _going_state(ret: Ret, now: datetime) -> RetState:
    readings = tuple(Reading.objects.in_ret(ret).counting().in_order())
    checks = tuple(Check.objects.in_ret(ret).standing().newest_first())
    known = beside(ret.dam.demonstration, now)
    return ret_state(ret, readings, checks, known, now)


def _stone_row(dam: Dam, dry_kg: float, phase: sums.Phase) -> StoneRow:
    weight = sums.ballast(dry_kg, phase, stone_density=float(dam.stone_density))
    return StoneRow(phase, str(PHASE_WORDS[phase]), weight, *_counts(dam, weight))


def _counts(dam: Dam, weight: sums.Ballast) -> tuple[int, int, int]:
    low, likely, high = (
        sums.stones(kg, float(dam.stone_kg))
        for kg in (weight.low_kg, weight.likely_kg, weight.high_kg)
    )
    return low, likely, high


def stone_plan(ret: Ret, now: datetime) -> StonePlan | None:
    """Say what should hold a ret under now, by what was seen and the whole range."""
    return _stone_plan(ret.dam, _going_state(ret, now))


def _stone_plan(dam: Dam, state: RetState) -> StonePlan | None:
    """Say what holds the flax under now; nothing while nobody has read or looked."""
    density, dry_kg = float(dam.stone_density), state.ret.dry_kg
    if state.seen:
        weight = sums.ballast(dry_kg, state.seen, stone_density=density)
        return StonePlan(weight, *_counts(dam, weight), state.seen, None)
    if state.learned is None:
        return None
    dry = state.ret.straw == Straw.DRY if state.ret.straw else None
    told = state.learned
    chances = retting.phase_chances(told.factor, told.progress, dry=dry)
    weight = sums.ballast_by_curve(dry_kg, chances, stone_density=density)
    ended = round(100 * chances[sums.Phase.END])
    return StonePlan(weight, *_counts(dam, weight), None, ended)
