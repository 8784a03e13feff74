"""How the crop stands, plot by plot, and when to look whether it is fit to pull."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc._band import Band
from heritage.calc.crop import (
    Bands,
    CropSigns,
    DayHeat,
    FlaxStage,
    PullAnchor,
    PullEstimate,
    PullWarning,
    SeenShare,
    SowingFacts,
    bands_wanted,
    plants_per_m2,
    seeds_sown,
    sowing_notes,
    turned_share,
    usual_rate,
    usual_seeds,
    when_to_pull,
)
from heritage.calc.stand import Stand
from heritage.common.questions import Question
from heritage.common.words import in_words
from heritage.growth.models import (
    Flower,
    Observation,
    Pulled,
    Sowing,
    WarmDay,
    Weeds,
    leads_any,
    pulled_of,
)
from heritage.growth.words import ANCHOR_WORDS, PULL_WORDS, SOWING_WORDS
from heritage.people.models import User
from heritage.season.models import Demonstration, Plot, Stage, StageRecord
from heritage.season.selectors import Followed, plot_line

# The pictures that were taken of some observations, by observation: rows above.
pictures_of: Question[[Iterable[Observation]], Mapping[int, Sequence[Any]]] = Question(
    "Nobody keeps pictures of what was seen."
)

# How long before the window bands are to be ready: they are tied dry. Our own choice.
BANDS_BEFORE = timedelta(days=7)
# An observation of lodging that is older says nothing of tonight. Our own choice.
LODGED_FOR = timedelta(days=14)
SHOWN = 3
REMARKS = {PullWarning.WARMTH_HELD, PullWarning.WARMTH_BROKEN}
STAGE_FLOWERS: dict[int, Flower] = {
    FlaxStage.FLOWER_START: Flower.START,
    FlaxStage.FLOWER_FULL: Flower.FULL,
    FlaxStage.FLOWER_END: Flower.END,
}
STAGE_HEIGHTS = range(FlaxStage.TALL_5_CM, FlaxStage.TALL_80_CM + 1)


def may_write(user: User, demonstration: Demonstration) -> bool:
    """Tell whether somebody organises here, or leads an evening."""
    organises = Demonstration.objects.managed_by(user).contains(demonstration)
    return organises or leads_any(user, demonstration)


@dataclass(frozen=True, slots=True)
class SeenLine:
    """One observation, each thing that it says in words."""

    row: Observation
    says: tuple[str, ...]
    pictures: tuple[Any, ...] = ()

    @property
    def words(self) -> str:
        """All of it; the note is a sentence of its own, and ends without a stop."""
        seen = "; ".join(self.says)
        # The line that it ends has a full stop of its own.
        note = self.row.note.rstrip(".")
        return f"{seen}. {capfirst(note)}" if seen and note else seen or note


@dataclass(frozen=True, slots=True)
class SourceLine:
    """What one anchor says, and how much it counts."""

    words: str
    first: date
    best: date
    last: date
    percent: int

    @property
    def span(self) -> str:
        return span_words(self.first, self.last)


@dataclass(frozen=True, slots=True)
class PlotGrowth:
    """A plot: how it was sown, what was seen last, and when to pull."""

    plot: Plot
    sowing: Sowing | None
    seen: tuple[SeenLine, ...]
    estimate: PullEstimate | None
    stand: Stand
    notes: tuple[str, ...]
    today: date
    pulled: Pulled | None = None

    @property
    def when(self) -> str:
        """When to pull, in one sentence; what was pulled, once that has begun."""
        if self.pulled:
            return _beets_words([self.pulled], self.plot.demonstration)
        return when_words(self.estimate, self.today)

    @property
    def sources(self) -> tuple[SourceLine, ...]:
        """What the window was made of."""
        return tuple(
            SourceLine(
                str(ANCHOR_WORDS[one.anchor]),
                one.first,
                one.best,
                one.last,
                round(100 * one.weight),
            )
            for one in (self.estimate.anchors if self.estimate else ())
        )

    @property
    def contradictions(self) -> list[str]:
        """What does not fit together, or is past: to be seen at once."""
        if self.estimate is None:
            return []
        found = [one for one in self.estimate.warnings if one.code not in REMARKS]
        words = [in_words(one, PULL_WORDS) for one in found]
        # Two that contradict each other are enough to say so.
        for one in self.estimate.disagreements[:1]:
            words.append(_apart(one.earlier, one.later, one.days))
        return words

    @property
    def remarks(self) -> list[str]:
        """What else has to be said of how sure the window is."""
        told = self.estimate.warnings if self.estimate else ()
        return [in_words(one, PULL_WORDS) for one in told if one.code in REMARKS]

    @property
    def sown_words(self) -> str:
        return sown_words(self.plot, self.sowing)


@dataclass(frozen=True, slots=True)
class Window:
    """From when to when the crop of a demonstration, or a plot, is likely ready.

    Of several plots from the first that opens to the last that ends; ``best`` is the
    first plot's. ``seen_on`` is the last day that anybody looked.
    """

    first: date
    best: date
    last: date
    seen_on: date | None = None

    @property
    def words(self) -> str:
        return span_words(self.first, self.last)

    @property
    def days(self) -> tuple[date, date, date]:
        """The first, the likeliest and the last day."""
        return self.first, self.best, self.last


@dataclass(frozen=True, slots=True)
class GrowingPage:
    """Every plot, and the temperatures there are."""

    plots: tuple[PlotGrowth, ...]
    warm_days: int
    warm_until: date | None
    # That the crop is being pulled, or was; nothing before.
    pulled: str = ""
    # Whether all of it is: nothing is to be looked for any more.
    is_over: bool = False

    @property
    def first_ready(self) -> PlotGrowth | None:
        """The plot that is likely ready before the others."""
        known = [one for one in self.plots if one.estimate]
        return min(known, key=_opens, default=None)

    @property
    def window(self) -> Window | None:
        """When the crop is likely ready."""
        return self.window_of([one.plot.name for one in self.plots])

    def window_of(self, names: Collection[str]) -> Window | None:
        """Return when the crop of some plots is likely ready."""
        plots = [one for one in self.plots if one.plot.name in names]
        looked = [one.seen[0].row.seen_on for one in plots if one.seen]
        return _window([one.estimate for one in plots if one.estimate], looked)

    @property
    def asks_sowing(self) -> PlotGrowth | None:
        """The first plot, while nothing says when any of them may be ready."""
        if self.pulled or self.window or not self.plots:
            return None
        return self.plots[0]

    @property
    def least(self) -> int:
        """The fewest beets that there may be."""
        return sum(one.stand.low for one in self.plots)

    @property
    def most(self) -> int:
        """The most beets that there may be."""
        return sum(one.stand.high for one in self.plots)

    @property
    def bands(self) -> Bands:
        """Bands for all plots together."""
        return bands_wanted(sum(one.stand.likely for one in self.plots))

    @property
    def bands_by(self) -> date | None:
        """When the first of them are to be ready."""
        return self.window.first - BANDS_BEFORE if self.window else None

    @property
    def lead(self) -> str:
        """How things stand, in one sentence; of several plots the first to be ready."""
        if self.pulled:
            return self.pulled
        first = self.first_ready
        if first is None or self.window is None:
            return _("Say when a plot was sown, to see when it may be ready to pull.")
        if len(self.plots) == 1:
            return first.when
        words = _(
            "Likely ready to pull between %(first)s and %(last)s, %(plot)s first."
        )
        return words % {
            "first": day_words(self.window.first),
            "last": day_words(self.window.last),
            "plot": first.plot,
        }


@dataclass(frozen=True, slots=True)
class SowingPage:
    """A plot's sowing beside what print advises."""

    plot: Plot
    sowing: Sowing | None
    notes: tuple[str, ...]
    seeds_m2: int | None
    usual_kg_ha: Band
    usual_kg: Band
    usual_seeds: Band
    stand: Stand
    # What it has given, once it is pulled.
    pulled: Pulled | None = None


def growing_page(demonstration: Demonstration, now: datetime) -> GrowingPage:
    """Return how the crop stands on every plot: five queries."""
    today = now.astimezone(demonstration.zone).date()
    books = _books(demonstration)
    daily, pulled = books.daily, pulled_of(demonstration)
    return GrowingPage(
        tuple(_growth(one, books, today, pulled.get(one.pk)) for one in books.plots),
        len(daily),
        daily[-1].day if daily else None,
        _pulled_words(books.pulling) or _beets_words(pulled.values(), demonstration),
        is_over=bool(books.pulling and books.pulling.finished_on),
    )


def stages_seen(demonstration: Demonstration) -> dict[Stage, Followed]:
    """Say from when to when the crop was seen to flower: two queries.

    It goes on until it was seen to be over on every plot that flowered, or a plot is
    being pulled.
    """
    pulled, spans = pulled_of(demonstration), []
    for plot, days in _flowered(demonstration).items():
        is_over = Flower.END in days or plot in pulled
        spans.append((min(days.values()), max(days.values()) if is_over else None))
    if not spans:
        return {}
    ends = [last for _first, last in spans if last]
    last = max(ends) if len(ends) == len(spans) else None
    return {Stage.FLOWERING: Followed(min(first for first, _last in spans), last)}


def _flowered(demonstration: Demonstration) -> dict[int, dict[Flower, date]]:
    """Return the first day on which each phase of flowering was seen, by plot."""
    found: dict[int, dict[Flower, date]] = {}
    for row in Observation.objects.of(demonstration).in_order():
        if flower := _flower(row):
            found.setdefault(row.plot_id, {}).setdefault(flower, row.seen_on)
    return found


def _pulled_words(record: StageRecord | None) -> str:
    """Say that the crop is being pulled, or was, as the season board says."""
    if record and record.finished_on:
        return _("Pulled by %s.") % day_words(record.finished_on)
    if record and record.started_on:
        return _("Pulling began on %s.") % day_words(record.started_on)
    return ""


def _beets_words(pulled: Collection[Pulled], where: Demonstration) -> str:
    """Say how much was pulled, and when last."""
    beets = sum(one.beets for one in pulled)
    if not beets:
        return ""
    last = max(one.last for one in pulled).astimezone(where.zone).date()
    words = ngettext(
        "%(beets)d beet is pulled, on %(last)s.",
        "%(beets)d beets are pulled, the last on %(last)s.",
        beets,
    )
    return words % {"beets": beets, "last": day_words(last)}


def pulling_window(
    demonstration: Demonstration, plot: Plot | None = None
) -> Window | None:
    """Return when the crop, or one plot's, is likely ready: four queries."""
    books = _books(demonstration)
    plots = [one for one in books.plots if plot is None or one == plot]
    looked = [seen[0].seen_on for one in plots if (seen := books.seen.get(one.pk))]
    told = [books.estimate(one) for one in plots]
    return _window([one for one in told if one], looked)


def _window(told: Sequence[PullEstimate], looked: Iterable[date]) -> Window | None:
    if not told:
        return None
    return Window(
        min(one.first for one in told),
        min(told, key=lambda one: one.first).best,
        max(one.last for one in told),
        max(looked, default=None),
    )


def outside_window(window: Window | None, day: date) -> str:
    """Say that a day lies outside the window for pulling; nothing where it does not."""
    if window is None or window.first <= day <= window.last:
        return ""
    words = (
        _("%(day)s is before the crop is likely ready to pull (%(window)s).")
        if day < window.first
        else _("%(day)s is after the crop is likely ready to pull (%(window)s).")
    )
    return words % {"day": day_words(day), "window": window.words}


def lodged_percent(plot: Plot | None, where: Demonstration, day: date) -> int | None:
    """Return how much lay flat when somebody last looked: one query."""
    rows = Observation.objects.of(where).filter(lodged__isnull=False)
    rows = rows.filter(seen_on__lte=day, seen_on__gt=day - LODGED_FOR)
    last = (rows.filter(plot=plot) if plot else rows).newest_first().first()
    return last.lodged if last else None


def signs_of(
    plot: Plot,
    seen: Sequence[Observation],
    daily: Sequence[DayHeat] = (),
    board: StageRecord | None = None,
) -> CropSigns:
    """Gather what is known of a plot: the first day of each phase, the last look.

    ``seen`` is newest first; ``board`` is what the season board says of flowering,
    which counts where nobody saw the plot itself begin or end.
    """
    flowers: dict[Flower, date] = {}
    for row in seen:
        if flower := _flower(row):
            flowers[flower] = min(row.seen_on, flowers.get(flower, row.seen_on))
    began, ended = (board.started_on, board.finished_on) if board else (None, None)
    bolls = next(((row, row.bolls) for row in seen if row.bolls), None)
    return CropSigns(
        sown_on=plot.sown_on,
        flower_start=flowers.get(Flower.START, began),
        flower_full=flowers.get(Flower.FULL),
        flower_end=flowers.get(Flower.END, ended),
        stems=_share(seen, "stems_yellow"),
        leaves=_share(seen, "leaves_fallen"),
        bolls=SeenShare(bolls[0].seen_on, turned_share(*bolls[1])) if bolls else None,
        daily=daily,
    )


def _flower(row: Observation) -> Flower | None:
    if row.flower:
        return None if row.flower == Flower.NONE else Flower(row.flower)
    return STAGE_FLOWERS.get(row.bbch) if row.bbch else None


def _share(seen: Sequence[Observation], name: str) -> SeenShare | None:
    for row in seen:
        if (percent := getattr(row, name)) is not None:
            return SeenShare(row.seen_on, percent / 100)
    return None


@dataclass(frozen=True, slots=True)
class _Books:
    """All that is written down of a growing crop."""

    plots: list[Plot]
    seen: dict[int, list[Observation]]
    daily: list[DayHeat]
    # What the season board says.
    flowering: StageRecord | None
    pulling: StageRecord | None

    def estimate(self, plot: Plot) -> PullEstimate | None:
        """Weigh what is known of a plot."""
        seen = self.seen.get(plot.pk, [])
        return when_to_pull(signs_of(plot, seen, self.daily, self.flowering))


def _books(demonstration: Demonstration) -> _Books:
    plots = Plot.objects.of(demonstration).in_order()
    seen: dict[int, list[Observation]] = {}
    for row in Observation.objects.of(demonstration).newest_first():
        seen.setdefault(row.plot_id, []).append(row)
    return _Books(
        list(plots.select_related("demonstration", "how_sown")),
        seen,
        [row.heat for row in WarmDay.objects.of(demonstration).in_order()],
        *StageRecord.objects.of(demonstration).of_the_crop(),
    )


def _growth(
    plot: Plot, books: _Books, today: date, pulled: Pulled | None
) -> PlotGrowth:
    sowing, seen = sowing_of(plot), books.seen.get(plot.pk, [])
    return PlotGrowth(
        plot=plot,
        sowing=sowing,
        seen=tuple(seen_line(row) for row in seen[:SHOWN]),
        estimate=books.estimate(plot),
        stand=plot_line(plot).stand,
        notes=note_words(plot, sowing),
        today=today,
        pulled=pulled,
    )


def _opens(one: PlotGrowth) -> date:
    return one.estimate.first if one.estimate else date.max


def sowing_of(plot: Plot) -> Sowing | None:
    """Return a plot's sowing, if it is written down."""
    return getattr(plot, "how_sown", None)


def sowing_page(plot: Plot) -> SowingPage:
    """Return a plot's sowing beside what print advises."""
    sowing = sowing_of(plot)
    weight = sowing.thousand_seed_g if sowing else None
    rate = usual_rate(weight)
    return SowingPage(
        plot=plot,
        sowing=sowing,
        notes=note_words(plot, sowing),
        seeds_m2=_seeds(sowing),
        usual_kg_ha=rate,
        usual_kg=rate.scaled(float(plot.area_m2) / 10_000),
        usual_seeds=usual_seeds(),
        stand=plot_line(plot).stand,
        pulled=pulled_of(plot.demonstration).get(plot.pk),
    )


def _seeds(sowing: Sowing | None) -> int | None:
    """Return the seeds a square metre, where rate and weight are known."""
    if sowing is None or sowing.kg_per_ha is None or sowing.thousand_seed_g is None:
        return None
    return round(seeds_sown(sowing.kg_per_ha, sowing.thousand_seed_g))


def note_words(plot: Plot, sowing: Sowing | None) -> tuple[str, ...]:
    """Say what is unusual about a sowing."""
    known = sowing or Sowing()
    facts = SowingFacts(
        sown_on=plot.sown_on,
        seeds_m2=_seeds(sowing),
        thousand_seed_g=_number(known.thousand_seed_g),
        depth_cm=_number(known.depth_cm),
        row_cm=_number(known.row_cm),
        years_since_flax=known.years_since_flax,
        northern=plot.demonstration.latitude > 0,
    )
    return tuple(in_words(note, SOWING_WORDS) for note in sowing_notes(facts))


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def sown_words(plot: Plot, sowing: Sowing | None) -> str:
    """Say when and how a plot was sown, as far as it is known."""
    if plot.sown_on is None:
        return _("The day of sowing isn't known yet.")
    parts = [_("Sown on %s") % day_words(plot.sown_on)]
    if sowing and sowing.variety:
        parts.append(sowing.variety)
    if sowing and sowing.kg_per_ha:
        rate = f"{sowing.kg_per_ha:f}".removesuffix(".0")
        parts.append(_("%s kg of seed a hectare") % rate)
    if sowing and sowing.way:
        parts.append(sowing.get_way_display())
    return ", ".join(parts) + "."


def seen_lines(rows: Sequence[Observation]) -> list[SeenLine]:
    """Say what some observations say, with the pictures of them: one query."""
    pictures = pictures_of(rows)
    return [
        SeenLine(row, tuple(_says(row)), tuple(pictures.get(row.pk, ())))
        for row in rows
    ]


def seen_line(row: Observation) -> SeenLine:
    """Say each thing that an observation says."""
    return SeenLine(row, tuple(_says(row)))


def _says(row: Observation) -> Iterable[str]:
    if row.flower:
        yield row.get_flower_display()
    if row.bbch is not None and not _says_it_already(row):
        yield row.get_bbch_display()
    if row.height_cm is not None:
        yield _("%d cm tall") % row.height_cm
    if row.frame_m2 and row.counts:
        yield stand_words(row)
    if row.stems_yellow is not None:
        yield _("stems yellow %d %% of the way up") % row.stems_yellow
    if row.leaves_fallen is not None:
        yield _("leaves off %d %% of the way up") % row.leaves_fallen
    if row.bolls:
        words = _("bolls: %(green)d green, %(yellow)d yellow, %(brown)d brown")
        yield words % dict(zip(("green", "yellow", "brown"), row.bolls, strict=True))
    if row.lodged is not None:
        yield _("%d %% lying flat") % row.lodged if row.lodged else _("all upright")
    if row.weeds:
        yield _("weeds: %s") % Weeds(row.weeds).label


def _says_it_already(row: Observation) -> bool:
    """Whether the flower or the height that was seen says as much as the stage."""
    if row.bbch in STAGE_FLOWERS:
        return STAGE_FLOWERS[row.bbch] == row.flower
    return row.bbch in STAGE_HEIGHTS and row.height_cm is not None


def stand_words(row: Observation) -> str:
    """Say how thick the crop stood, with its range."""
    stand = plants_per_m2(row.counts, float(row.frame_m2 or 0))
    words = _("about %(likely)d plants a square metre (%(low)d to %(high)d)")
    return words % {
        "likely": round(stand.likely, -1),
        "low": round(stand.low, -1),
        "high": round(stand.high, -1),
    }


def when_words(estimate: PullEstimate | None, today: date) -> str:
    """Say when to pull, in one sentence."""
    if estimate is None:
        return _("No estimate yet: say when it was sown, or that it's in flower.")
    figures = {
        "first": day_words(estimate.first),
        "best": day_words(estimate.best),
        "last": day_words(estimate.last),
    }
    if today > estimate.last:
        words = _(
            "It was likely ready by %(last)s. Look at stems and bolls today: they say "
            "whether it's still fit to pull."
        )
    elif today >= estimate.best:
        words = _(
            "It may be ready now: likely about %(best)s, between %(first)s and "
            "%(last)s. Look at the stems every few days."
        )
    elif today >= estimate.first:
        words = _(
            "Nearly ready: likely about %(best)s, between %(first)s and %(last)s. Look "
            "at the stems every few days."
        )
    else:
        words = _(
            "Likely ready to pull about %(best)s, between %(first)s and %(last)s."
        )
    return words % figures


def _apart(earlier: PullAnchor, later: PullAnchor, days: int) -> str:
    words = ngettext(
        "By “%(earlier)s” it would be ready a day or more before “%(later)s” says so. "
        "Go and look: the crop decides.",
        "By “%(earlier)s” it would be ready %(days)d days or more before “%(later)s” "
        "says so. Go and look: the crop decides.",
        days,
    )
    names = {"earlier": ANCHOR_WORDS[earlier], "later": ANCHOR_WORDS[later]}
    return words % {**names, "days": days}


def day_words(day: date) -> str:
    """Say a day without its year."""
    return date_format(day, "j F")


def span_words(first: date, last: date) -> str:
    """Say from when to when."""
    return _("%(first)s to %(last)s") % {
        "first": day_words(first),
        "last": day_words(last),
    }
