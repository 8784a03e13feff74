"""The place, its light, its plots and its stages, as pages show them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.calc import measures, stand
from heritage.calc.daylight import SunTimes, sun_times
from heritage.season.models import Demonstration, Plot, Stage, StageRecord
from heritage.season.words import stage_day

# What is seen to begin and perhaps not to end, so that somebody's word ends it.
SAID_TO_END = (Stage.FLOWERING, Stage.PULLING)


@dataclass(frozen=True, slots=True)
class LightThere:
    """The light of one day at a place, to be shown back at once."""

    day: date
    sun: SunTimes

    @property
    def sunset(self) -> datetime | None:
        return self.sun.sunset

    @property
    def dusk(self) -> datetime | None:
        return self.sun.dusk


@dataclass(frozen=True, slots=True)
class PlotLine:
    """A plot with its area in old measure and the beets it may give."""

    plot: Plot
    acres_roods_perches: str
    stand: stand.Stand


@dataclass(frozen=True, slots=True)
class Followed:
    """From when to when a stage was seen to be done; without an end it goes on."""

    first: date
    last: date | None


@dataclass(frozen=True, slots=True)
class StageLine:
    """A stage with what is planned and done of it.

    ``followed`` is what those above who follow the crop saw; it goes before what
    somebody wrote down, but somebody's word ends what is only not seen to end.
    """

    stage: Stage
    record: StageRecord | None
    followed: Followed | None = None

    @property
    def state(self) -> str:
        """One of ``planned``, ``going``, ``done``, or nothing."""
        if self.done:
            return "done" if self.done.last else "going"
        return "planned" if self.record and self.record.planned_from else ""

    @property
    def done(self) -> Followed | None:
        """From when to when it was done, as far as it was."""
        record = self.record
        written = None
        if record and record.started_on:
            written = Followed(record.started_on, record.finished_on)
        if self.followed is None:
            return written
        if written is None or self.stage not in SAID_TO_END:
            return self.followed
        first = self.followed.first
        if self.stage == Stage.FLOWERING:
            first = min(first, written.first)
        return Followed(first, written.last or self.followed.last)

    @property
    def planned_words(self) -> str:
        """From when to when it is planned; nothing if it is not."""
        span = planned_span(self.record) if self.record else None
        return _days_words(*span) if span else ""

    @property
    def done_words(self) -> str:
        """From when to when it was done; nothing if it was not."""
        if self.done is None:
            return ""
        if self.done.last:
            return _days_words(self.done.first, self.done.last)
        return _("%s, going on") % _day_words(self.done.first)

    def done_span(self, today: date) -> tuple[date, date] | None:
        """Return the days it has taken so far, up to today while it goes on."""
        if self.done is None or self.done.first > today:
            return None
        return self.done.first, self.done.last or max(today, self.done.first)


@dataclass(frozen=True, slots=True)
class Season:
    """A demonstration's plots and stages."""

    plots: list[PlotLine]
    stages: list[StageLine]

    @property
    def area_m2(self) -> Decimal:
        """The plots' area together."""
        return sum((line.plot.area_m2 for line in self.plots), Decimal())

    @property
    def has_dates(self) -> bool:
        return any(line.state for line in self.stages)

    @property
    def done(self) -> list[StageLine]:
        """The stages that are over."""
        return [one for one in self.stages if one.state == "done"]

    @property
    def going(self) -> list[str]:
        """The names of the stages that go on."""
        return [str(one.stage.label) for one in self.stages if one.state == "going"]


@dataclass(frozen=True, slots=True)
class Knot:
    """A stage on the thread.

    ``begins`` and ``ends`` mark a stretch of where we are, ``is_first`` the first one.
    """

    line: StageLine
    number: int
    begins: bool = False
    ends: bool = False
    is_first: bool = False

    @property
    def stage(self) -> Stage:
        return self.line.stage

    @property
    def state(self) -> str:
        return self.line.state

    @property
    def mark(self) -> str:
        """Its state, and where a stretch of where we are begins and ends."""
        parts = [self.state or "ahead"]
        parts += ["begins"] * self.begins + ["ends"] * self.ends
        return " ".join(parts)

    @property
    def when(self) -> str:
        """When it was, or is to be, in two or three words."""
        done, record = self.line.done, self.line.record
        return stage_day(
            self.state,
            done.first if done else None,
            done.last if done else None,
            record.planned_from if record else None,
        )


def thread(page: Season) -> list[Knot]:
    """Tie a season's stages on a thread, and mark the stretches that go on."""
    going = [False, *(line.state == "going" for line in page.stages), False]
    first = going.index(True) if True in going else 0
    return [
        Knot(
            line,
            number,
            begins=going[number] and not going[number - 1],
            ends=going[number] and not going[number + 1],
            is_first=number == first,
        )
        for number, line in enumerate(page.stages, 1)
    ]


def light_there(
    *,
    latitude: Decimal,
    longitude: Decimal,
    time_zone: str,
    skyline_deg: Decimal,
    now: datetime,
) -> LightThere:
    """Work out today's light at a place that may not be kept yet, over its skyline."""
    day = now.astimezone(ZoneInfo(time_zone)).date()
    sun = sun_times(
        day,
        float(latitude),
        float(longitude),
        timezone=time_zone,
        skyline_deg=float(skyline_deg),
    )
    return LightThere(day, sun)


def season(
    demonstration: Demonstration, followed: Mapping[Stage, Followed] | None = None
) -> Season:
    """Return the plots and the stages of a season: two queries."""
    plots = list(demonstration.plots.in_order())
    records = {record.stage: record for record in StageRecord.objects.of(demonstration)}
    written = records.get(Stage.SOWING)
    seen = dict(followed or {})
    if (sown := _sown(plots)) and not (written and written.started_on):
        seen[Stage.SOWING] = sown
    return Season(
        plots=[plot_line(plot) for plot in plots],
        stages=[
            StageLine(stage, records.get(stage.value), seen.get(stage))
            for stage in Stage
        ],
    )


def _sown(plots: Sequence[Plot]) -> Followed | None:
    """Say when the plots were sown; it goes on while one of them is not."""
    days = [plot.sown_on for plot in plots if plot.sown_on]
    if not days:
        return None
    return Followed(min(days), max(days) if len(days) == len(plots) else None)


def plot_line(plot: Plot) -> PlotLine:
    """Describe a plot by the old measure and by what it may give."""
    expected = (
        stand.counted_stand(plot.expected_beets)
        if plot.expected_beets
        else stand.expected_stand(
            plot.area_m2, beet_kg=plot.demonstration.beet_kg.likely
        )
    )
    return PlotLine(plot, measures.write_area(plot.area_m2), expected)


def planned_span(record: StageRecord) -> tuple[date, date] | None:
    """Return the days a stage is planned for, a single day twice."""
    if record.planned_from is None:
        return None
    return record.planned_from, record.planned_to or record.planned_from


def _days_words(first: date, last: date) -> str:
    if first == last:
        return _day_words(first)
    return _("%(first)s to %(last)s") % {
        "first": _day_words(first),
        "last": _day_words(last),
    }


def _day_words(day: date) -> str:
    return date_format(day, "j M")
