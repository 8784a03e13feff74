"""One estimate of a ret: what is known beside it, what moved it, what tests allow."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import groupby, pairwise
from math import ceil

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc import retting
from heritage.calc.reasons import Reason
from heritage.common.words import in_words
from heritage.dam.models import (
    Check,
    Finding,
    Lies,
    OnStem,
    Outcome,
    Reading,
    Reckoning,
    Ret,
)
from heritage.dam.words import LIFT_REASONS
from heritage.growth.models import WarmDay
from heritage.season.models import Demonstration

DAY, HALF_DAY = timedelta(days=1), timedelta(hours=12)
# Further ahead no air is looked up.
DAYS_AHEAD = 60
# More readings than so many make no estimate better.
MOST_READINGS = 2000
# How far the water tends above the air, by how the dam lies: our own judgement.
OFFSETS_C = {Lies.SUNNY: 1.5, Lies.SHADED: 0.0, Lies.SPRING: -2.0}
# What moves the likely day by less is said to leave it where it was, and the range
# alike: below that nobody would notice.
LEAST_DAYS, LEAST_WIDTH = 0.05, 0.05
LEAST_CHANCE = 0.01
# Findings of one kind stand from the greenest to the ripest.
ORDER = list(Finding)


def zone_of(ret: Ret, moment: datetime) -> datetime:
    """Return a moment by the clock of the place."""
    return moment.astimezone(ret.dam.demonstration.zone)


@dataclass(frozen=True, slots=True)
class Beside:
    """What is known beside a ret's own book.

    The organiser's settings, the air forecast by day, and what past rets of each dam
    taught.
    """

    reckoning: Reckoning
    forecast: Mapping[date, float] = field(default_factory=dict)
    past: Mapping[int, Sequence[retting.PastRet]] = field(default_factory=dict)

    @property
    def costs(self) -> retting.RetCosts:
        """The organiser's own weights."""
        row = self.reckoning
        each = row.visit, row.day_late, row.day_early
        return retting.RetCosts(*map(float, each))

    def air(self, ret: Ret, now: datetime) -> tuple[list[float], int]:
        """Return the mean air of the days ahead, and how many of them are forecast."""
        air: list[float] = []
        forecast = 0
        for ahead in range(DAYS_AHEAD):
            day = zone_of(ret, now + ahead * DAY + HALF_DAY).date()
            mean = self.forecast.get(day)
            forecast += mean is not None and forecast == ahead
            mean = self._of_month(day) if mean is None else mean
            if mean is None:
                break
            air.append(mean)
        return air, forecast

    def _of_month(self, day: date) -> float | None:
        months: list[float | None] = self.reckoning.month_c
        return months[day.month - 1] if months else None


def beside(demonstration: Demonstration, now: datetime) -> Beside:
    """Gather what is known beside the rets of a demonstration: three queries."""
    settings = Reckoning.objects.of(demonstration).first()
    today = now.astimezone(demonstration.zone).date()
    days = WarmDay.objects.of(demonstration).since(today)
    past: dict[int, list[retting.PastRet]] = {}
    for row in Outcome.objects.of(demonstration).told().select_related("ret"):
        known = retting.PastRet(row.log_factor or 0.0, row.log_factor_sd or 1.0)
        past.setdefault(row.ret.dam_id, []).append(known)
    return Beside(
        reckoning=settings or Reckoning(demonstration=demonstration),
        forecast={row.day: float(row.tmin_c + row.tmax_c) / 2 for row in days},
        past=past,
    )


@dataclass(frozen=True, slots=True)
class Course:
    """The water of one ret: read so far, and expected.

    ``corrected`` says that all was read in the evening, and the day's swing taken out.
    """

    log: tuple[retting.Reading, ...]
    started: datetime
    ahead: tuple[retting.Reading, ...]
    water: retting.WaterAhead
    forecast_days: int
    corrected: bool

    def at(self, *moments: datetime) -> list[float]:
        """Return the progress at some moments, by the warmth alone."""
        found = retting.reached(self.log, moments, self.ahead, started=self.started)
        return [float(each) for each in found]

    def since(self, moment: datetime, now: datetime) -> tuple[list[float], list[float]]:
        """Return the water of each day from a moment on, and how far it may be off.

        What was read is known; what is ahead is not.
        """
        behind = max(0, ceil((now - moment) / DAY))
        days = [moment + day * DAY for day in range(behind + 1)]
        reached = self.at(*days)
        gained = [later - one for one, later in pairwise(reached)]
        known = [retting.warmth_of(max(each, 1e-6)) for each in gained]
        means, sds = list(self.water.mean_c), list(self.water.sd_c)
        return [*known, *means], [*[0.0] * len(known), *sds]


def course_of(
    ret: Ret, readings: Sequence[Reading], known: Beside, now: datetime
) -> Course:
    """Join what was read of a ret's water to what is expected of it."""
    log = [
        retting.Reading(zone_of(ret, row.at), float(row.temp_c))
        for row in _thinned(readings)
    ]
    corrected = retting.evenings_only([one.at for one in log])
    if corrected:
        log = retting.without_swing(log)
    lag = timedelta(hours=float(ret.lag_h))
    log, started = retting.after_lag(log, zone_of(ret, ret.began_at), lag)
    air, forecast_days = known.air(ret, now)
    if ret.lifted_at:
        air = []
    water = retting.water_ahead(
        retting.recent_mean(log),
        air,
        depth_m=float(ret.water_depth_m),
        offset_c=OFFSETS_C[Lies(known.reckoning.lies)],
    )
    ahead = [
        retting.Reading(zone_of(ret, now + (day + 1) * DAY), mean)
        for day, mean in enumerate(water.mean_c[: water.air_days])
    ]
    return Course(tuple(log), started, tuple(ahead), water, forecast_days, corrected)


def _thinned(readings: Sequence[Reading]) -> Sequence[Reading]:
    """Leave out most of what a logger read every few seconds; the last one stays.

    Water doesn't change between two that are kept: two thousand are one every ten
    minutes of a ret of two weeks.
    """
    step = len(readings) // MOST_READINGS
    return readings[::-step][::-1] if step > 1 else readings


@dataclass(frozen=True, slots=True)
class Look:
    """Lines of the test book that are one look: one kind, moment and hand."""

    lines: tuple[Check, ...]

    @property
    def first(self) -> Check:
        return self.lines[0]

    @property
    def stems(self) -> int:
        return sum(line.stems for line in self.lines)

    @property
    def free(self) -> int:
        """How many stems gave up their wood, torn fibre or not."""
        return sum(
            line.stems
            for line in self.lines
            if line.found in (Finding.FREE, Finding.TEARS)
        )

    @property
    def mostly(self) -> Finding:
        """What most stems were found to be; torn fibre counts as free."""
        found = max(self.lines, key=lambda line: line.stems).found
        return Finding.FREE if found == Finding.TEARS else found

    @property
    def is_at_middle(self) -> bool:
        return all(line.place == OnStem.MIDDLE for line in self.lines)

    @property
    def says_free(self) -> bool:
        """Whether enough stems slipped, at mid-stalk, to think of lifting."""
        needed = retting.FREE_SHARE * self.stems - 1e-9
        return self.first.is_test and self.is_at_middle and self.free >= needed

    @property
    def words(self) -> str:
        """What was found, by how many stems and where."""
        found = [_line_words(line, self.stems) for line in self.lines]
        return "; ".join(found)

    @property
    def notes(self) -> str:
        return " ".join(dict.fromkeys(one.note for one in self.lines if one.note))

    @property
    def hand(self) -> str:
        """Who tested, by the book."""
        return self.first.tester or str(self.first.entered_by)

    @property
    def written_by(self) -> int | None:
        """The account that wrote down all of it; none where two did."""
        accounts = {line.entered_by_id for line in self.lines}
        return accounts.pop() if len(accounts) == 1 else None


def _line_words(line: Check, stems: int) -> str:
    words = str(line.get_finding_display())
    if line.found.kind in retting.TESTS and stems > 1:
        figures = {"so": line.stems, "of": stems, "words": words}
        words = _("%(so)d of %(of)d: %(words)s") % figures
    if line.found.kind in retting.OF_A_PLACE and line.place != OnStem.MIDDLE:
        words = f"{words}, {line.get_place_display()}"
    return words


def looks(book: Iterable[Check]) -> list[Look]:
    """Gather the lines of a book, in any order, into looks, the earliest first.

    What was struck at once is a look of its own.
    """

    def of_one(line: Check) -> tuple[datetime, str, str, str]:
        return line.at, str(line.found.kind), line.who, str(line.struck_at or "")

    def ripening(line: Check) -> tuple[tuple[datetime, str, str, str], int]:
        return of_one(line), ORDER.index(line.found)

    book = sorted(book, key=ripening)
    return [Look(tuple(lines)) for _key, lines in groupby(book, of_one)]


def look_with(check: Check) -> Look | None:
    """Return the look that a line is of, or nothing if it was struck."""
    lines = Check.objects.in_ret(check.ret).standing().at_moment(check.at)
    return next((look for look in looks(lines) if check in look.lines), None)


def signs_of_water(book: Iterable[Check]) -> Iterator[Finding]:
    """Say, look by look, what tells how the water works and whether it is over.

    A few free stems among many that hold are no sign that it is.
    """
    for look in looks(book):
        kind = look.first.found.kind
        if look.says_free:
            yield Finding.FREE
        elif kind == retting.SignKind.CORE:
            yield look.mostly if look.mostly != Finding.FREE else Finding.LOOSENING
        elif kind in (retting.SignKind.BUBBLES, retting.SignKind.BUNDLE):
            yield look.mostly


def last_core(book: Iterable[Check]) -> Look | None:
    """Return the last look at which the wood was drawn, if there was one."""
    cores = [look for look in looks(book) if look.first.is_test]
    return cores[-1] if cores else None


@dataclass(frozen=True, slots=True)
class Step:
    """One look, and the days and the width by which it moved the estimate."""

    at: datetime
    found: str
    days: float
    width: float = 1.0

    @property
    def words(self) -> str:
        """By how much, and which way, the likely day moved; and the range."""
        return f"{_moved_words(self.days)}{_width_words(self.width)}"


def _moved_words(days: float) -> str:
    if abs(days) < LEAST_DAYS:
        return _("the likely day stays")
    if days > 0:
        return _("likely %.1f days later") % days
    return _("likely %.1f days sooner") % -days


def _width_words(width: float) -> str:
    if abs(1 - width) < LEAST_WIDTH:
        return ""
    percent = round(100 * abs(1 - width))
    if width < 1:
        return _(", the range %d %% narrower") % percent
    return _(", the range %d %% wider") % percent


@dataclass(frozen=True, slots=True)
class Learned:
    """What is known of one ret; ``progress`` is that of the warmth alone."""

    factor: retting.Factor
    progress: float
    temp_c: float
    steps: tuple[Step, ...]
    verdict: retting.Verdict
    course: Course
    costs: retting.RetCosts
    place: str
    rets: int
    alone_sd: float

    @property
    def chance(self) -> float:
        """The chance that a test finds it ready by now."""
        return self.factor.below(self.progress)

    @property
    def chance_words(self) -> str:
        """The chance in percent; what is not certain never looks so."""
        if self.chance < LEAST_CHANCE:
            return _("under 1 %")
        if self.chance > 1 - LEAST_CHANCE:
            return _("over 99 %")
        return _("about %d %%") % round(100 * self.chance)

    @property
    def likely(self) -> float:
        """How far it likely is, as a share of its own length."""
        return self.progress / self.factor.quantile(0.5)

    @property
    def percents(self) -> tuple[int, int]:
        """The least and the most it may be along, for four batches in five."""
        band = self.factor.band
        least, most = self.progress / band.high, self.progress / band.low
        return min(100, round(100 * least)), min(100, round(100 * most))

    @property
    def days_ahead(self) -> retting.Ready:
        """In how many days tests may find it ready."""
        water = self.course.water
        return retting.ready(self.factor, self.progress, water.mean_c, water.sd_c)

    @property
    def reasons(self) -> list[str]:
        """What speaks for lifting and against it, in words."""
        return [
            in_words(_in_percent(one), LIFT_REASONS) for one in self.verdict.reasons
        ]

    @property
    def past_words(self) -> str:
        """What past rets of the dam did to the likely day and its range."""
        if not self.rets:
            return ""
        start = retting.Factor(self.factor.mean, self.factor.sd)
        days = (start.quantile(0.5) - 1) / retting.rate(self.temp_c)
        moved = _moved_words(days) + _width_words(start.sd / self.alone_sd)
        words = ngettext(
            "The last ret of this dam: %(moved)s.",
            "The last %(rets)d rets of this dam: %(moved)s.",
            self.rets,
        )
        return words % {"rets": self.rets, "moved": moved}

    @property
    def outlook_words(self) -> str:
        """From what the water ahead is reckoned, if the air of any day is known."""
        days, months = self.course.forecast_days, self.course.water.air_days
        if not months:
            return ""
        of_months = _("the monthly means of %s") % self.place
        if not days:
            return _("The water ahead is worked out from %s.") % of_months
        words = ngettext(
            "The water ahead is worked out from the forecast for %d day",
            "The water ahead is worked out from the forecast for %d days",
            days,
        )
        after = _(", then from %s.") % of_months if months > days else "."
        return words % days + after


def learned(
    ret: Ret,
    book: Sequence[Check],
    course: Course,
    known: Beside,
    *,
    mean_c: float,
    until: datetime,
) -> Learned:
    """Put all that is known of a ret by a moment into one estimate."""
    past = known.past.get(ret.dam_id, ()) if ret.lifted_at is None else ()
    reached = course.at(until, *(line.at for line in book))
    lines = [
        (line, progress)
        for line, progress in zip(book, reached[1:], strict=True)
        if progress > 0
    ]
    start = retting.prior(mean_c=mean_c, past=past)
    factor = retting.learn(start, [sign_of(*each) for each in lines])
    temp_c = retting.recent_mean(course.log)
    return Learned(
        factor=factor,
        progress=reached[0],
        temp_c=temp_c,
        steps=tuple(_steps(factor, lines, retting.rate(temp_c))),
        verdict=retting.may_lift(factor, reached[0], factor.signs, costs=known.costs),
        course=course,
        costs=known.costs,
        place=known.reckoning.place,
        rets=len(past),
        alone_sd=retting.prior(mean_c=mean_c).sd,
    )


def _steps(
    factor: retting.Factor, lines: Sequence[tuple[Check, float]], per_day: float
) -> Iterator[Step]:
    found: dict[tuple[str, float, str], list[Check]] = {}
    for line, reached in lines:
        found.setdefault(_look_of(sign_of(line, reached)), []).append(line)
    for one in factor.moved():
        look = Look(tuple(found[_look_of(one.look[0])]))
        days = (one.after.likely - one.before.likely) / per_day
        yield Step(look.first.at, look.words, days, one.width)


def sign_of(line: Check, progress: float) -> retting.Sign:
    """Return what a line of the book is to the sums."""
    return retting.Sign(
        line.found.kind, line.found.category, progress, line.stems, line.place, line.who
    )


def _look_of(sign: retting.Sign) -> tuple[str, float, str]:
    return str(sign.kind), sign.progress, sign.tester


def _in_percent(
    reason: Reason[retting.LiftReason],
) -> Reason[retting.LiftReason]:
    """Return a reason with its chances in percent, none of them told as certain."""
    chances = {"not_ready", "past"}
    figures = {
        name: min(99.0, max(1.0, 100 * figure)) if name in chances else figure
        for name, figure in reason.figures.items()
    }
    return Reason(reason.code, figures)


def litres_per_kg(ret: Ret) -> float:
    """Return the litres of water for each kilogram of dry flax in a ret."""
    return 1000 * ret.dam.basin.volume(float(ret.water_depth_m)) / ret.dry_kg


def doubt(ret: Ret, look: Sequence[Check]) -> str:
    """Say how a new look contradicts what was found before, or nothing.

    Where the water has not been read, there is nothing to hold it against.
    """
    at = look[0].at
    readings = list(Reading.objects.in_ret(ret).counting().in_order())
    if not readings:
        return ""
    known = beside(ret.dam.demonstration, at)
    course = course_of(ret, readings, known, at)
    book = list(Check.objects.in_ret(ret).standing().newest_first())[::-1]
    told = retting.forecast(course.log, course.ahead, started=course.started)
    before = learned(ret, book, course, known, mean_c=told.mean_c, until=at)
    signs = [sign_of(line, before.progress) for line in look if before.progress > 0]
    chance = before.factor.fits(signs)
    if chance >= retting.ASKED_ABOUT:
        return ""
    same = [one for one in looks(book) if one.first.found.kind == look[0].found.kind]
    return _doubt_words(same[-1] if same else None, Look(tuple(look)), chance)


def _doubt_words(earlier: Look | None, look: Look, chance: float) -> str:
    figures = {"now": look.words, "times": max(20, round(1 / max(chance, 0.001)))}
    if earlier is None:
        words = _(
            "By the warmth of the water only about one ret in %(times)d would show "
            "this by now (%(now)s). Please check; if it's right, tick below."
        )
        return words % figures
    day = date_format(timezone.localtime(earlier.first.at), "l H:i")
    figures |= {"day": day, "then": earlier.words}
    words = _(
        "That doesn't fit what was found before. %(day)s: %(then)s. Now: %(now)s. "
        "Please check; if it's right, tick below. Both are kept and weighed."
    )
    return words % figures


def taught(ret: Ret, verdict: str) -> retting.PastRet | None:
    """Return what a lifted ret says of the next in its dam, or nothing."""
    readings = list(Reading.objects.in_ret(ret).counting().in_order())
    if not readings or ret.lifted_at is None:
        return None
    course = course_of(ret, readings, Beside(Reckoning()), ret.lifted_at)
    book = list(Check.objects.in_ret(ret).standing().newest_first())
    at_lift, *reached = course.at(ret.lifted_at, *(line.at for line in book))
    signs = [
        sign_of(line, progress)
        for line, progress in zip(book, reached, strict=True)
        if progress > 0
    ]
    if verdict and at_lift > 0:
        signs.append(retting.Sign(retting.SignKind.VERDICT, verdict, at_lift))
    return retting.past_ret(signs)
