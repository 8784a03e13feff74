"""How the season's forecasts fared against what happened, and against a calendar."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import groupby

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.calc.dam import Band
from heritage.calc.fibre import Step
from heritage.calc.scores import crps, fared, is_inside
from heritage.dam.models import Foretells, Foretold, Outcome, Ret
from heritage.fibre.selectors import account_page
from heritage.gatherings.ground.selectors import evening_of
from heritage.season.models import Demonstration, Plot, Stage, StageRecord
from heritage.tally.models import Entry

DAY = timedelta(days=1)
# A calendar's pulling, in days from the sowing: McSorley 1989 and others. Its ret: the
# Flax Society's 8 to 14 days, as reprinted in 1846. Its fibre: Hodges, 702 of 7,770 lb.
PULLING_DAYS, RET_DAYS = Band(90, 100, 125), Band(8, 11, 14)
FIBRE_SHARE = 702 / 7770
# Less than so much still to come, and the fibre is all weighed: of what was weighed.
ALL_WEIGHED = 0.02


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """One forecast, as it was first said, beside what happened.

    ``score`` and ``calendar`` are in ``unit``, less is better; both are means over all
    the days on which it was said.
    """

    title: str
    said: str
    low: str
    likely: str
    high: str
    happened: str
    inside: bool
    times: int
    times_inside: int
    score: float
    calendar: float | None
    unit: str
    note: str = ""

    @property
    def beats_calendar(self) -> bool:
        """Whether it came nearer than a calendar would have."""
        return self.calendar is not None and self.score < self.calendar


@dataclass(frozen=True, slots=True)
class ScoresPage:
    """Every forecast that can be scored, and how the ranges fared over all."""

    lines: tuple[ScoreLine, ...]
    waiting: int

    @property
    def told(self) -> int:
        return sum(line.times for line in self.lines)

    @property
    def inside(self) -> int:
        return sum(line.times_inside for line in self.lines)

    @property
    def lead(self) -> str:
        """How the ranges fared, in one sentence."""
        if not self.lines:
            return _("Nothing that was forecast has happened yet.")
        words = _(
            "What happened lay inside the range %(inside)d of the %(told)d times that "
            "one was given; about %(right)d would be right."
        )
        right = round(0.8 * self.told)
        return words % {"inside": self.inside, "told": self.told, "right": right}


def scores_page(demonstration: Demonstration) -> ScoresPage:
    """Score what was foretold and has happened."""
    rows = Foretold.objects.of(demonstration).in_order().select_related("ret__dam")
    lines, waiting = [], 0
    for (what, ret), group in groupby(rows, key=lambda row: (row.what, row.ret)):
        happened = _happened(demonstration, what, ret)
        if happened is None:
            waiting += 1
            continue
        calendar = _calendar(demonstration, what, ret)
        lines.append(_dated(demonstration, list(group), happened, calendar))
    fibre = _fibre(demonstration)
    return ScoresPage((*lines, *([fibre] if fibre else [])), waiting)


def _happened(
    demonstration: Demonstration, what: str, ret: Ret | None
) -> datetime | None:
    """Return when it happened, or nothing while it has not."""
    if ret:
        return ret.lifted_at
    sums = Entry.objects.of(demonstration).beets_by_start()
    finished = StageRecord.objects.of(demonstration).filter(
        stage=Stage.PULLING, finished_on__isnull=False
    )
    if not sums or not finished.exists():
        return None
    return sums[-1][0] if what == Foretells.FINISH else _half_pulled(sums)


def _half_pulled(sums: Sequence[tuple[datetime, int]]) -> datetime:
    """Return the evening by which half the beets were pulled."""
    half, pulled = sum(beets for _at, beets in sums) / 2, 0
    for at, beets in sums:
        pulled += beets
        if pulled >= half:
            return at
    return sums[-1][0]


def _calendar(
    demonstration: Demonstration, what: str, ret: Ret | None
) -> tuple[datetime, Band] | None:
    """Return what a calendar alone would have said: from when, and so many days."""
    if ret:
        return ret.began_at, RET_DAYS
    if what == Foretells.PULLING:
        sown = [plot.sown_on for plot in Plot.objects.of(demonstration) if plot.sown_on]
        return (_noon(demonstration, min(sown)), PULLING_DAYS) if sown else None
    planned = StageRecord.objects.of(demonstration).filter(stage=Stage.PULLING).first()
    if planned is None or planned.planned_to is None:
        return None
    return _noon(demonstration, planned.planned_to), Band(0, 0, 0)


def _noon(demonstration: Demonstration, day: date) -> datetime:
    return datetime.combine(day, time(12), demonstration.zone)


def _dated(
    demonstration: Demonstration,
    rows: Sequence[Foretold],
    happened: datetime,
    calendar: tuple[datetime, Band] | None,
) -> ScoreLine:
    """Score a forecast of a day, over every day on which it was said."""
    first = rows[0]
    on_time = [
        row for row in rows if row.said_on <= evening_of(happened, demonstration)
    ]
    told = [(_days(row, happened), 0.0) for row in on_time or rows]
    result = fared(told)
    low, likely, high = (
        _day(demonstration, at) for at in (first.early, first.likely, first.late)
    )
    return ScoreLine(
        title=_title(first),
        said=_("said %s") % date_format(first.said_on, "j M"),
        low=low,
        likely=likely,
        high=high,
        happened=_day(demonstration, happened),
        inside=is_inside(*told[0]),
        times=result.told,
        times_inside=result.inside,
        score=result.crps,
        calendar=_score_of(calendar, happened),
        unit=_("days"),
        note=_judged(first.ret),
    )


def _days(row: Foretold, happened: datetime) -> Band:
    """Return what was said, in days from what happened."""
    return Band(*((at - happened) / DAY for at in (row.early, row.likely, row.late)))


def _score_of(
    calendar: tuple[datetime, Band] | None, happened: datetime
) -> float | None:
    if calendar is None:
        return None
    start, days = calendar
    return crps(days, (happened - start) / DAY)


def _title(row: Foretold) -> str:
    if row.ret is None:
        return str(row.get_what_display())
    words = _("when the flax of %(day)s is ready in %(dam)s")
    return words % {
        "day": date_format(row.ret.began_at, "j M"),
        "dam": row.ret.dam.name,
    }


def _judged(ret: Ret | None) -> str:
    """Say how a ret came out: the lifting stands for the day it was ready."""
    outcome = Outcome.objects.filter(ret=ret).first() if ret else None
    return str(outcome.get_verdict_display()) if outcome and outcome.verdict else ""


def _day(demonstration: Demonstration, moment: datetime) -> str:
    return date_format(moment.astimezone(demonstration.zone), "j M")


def _fibre(demonstration: Demonstration) -> ScoreLine | None:
    """Score the fibre that was expected of the crop, once it is all scutched."""
    page = account_page(demonstration)
    step = next(one for one in page.steps if one.step == Step.SCUTCHED)
    kg = step.measured_kg
    if not kg or step.to_come.likely > ALL_WEIGHED * kg:
        return None
    straight = page.pulled * page.beet_kg.likely * FIBRE_SHARE
    inside = is_inside(step.before, kg)
    low, likely, high = (
        f"{each:.1f} kg"
        for each in (step.before.low, step.before.likely, step.before.high)
    )
    return ScoreLine(
        title=_("the scutched fibre of the crop"),
        said=_("before the first was weighed"),
        low=low,
        likely=likely,
        high=high,
        happened=f"{kg:.1f} kg",
        inside=inside,
        times=1,
        times_inside=int(inside),
        score=crps(step.before, kg),
        calendar=abs(straight - kg),
        unit=_("kg"),
    )
