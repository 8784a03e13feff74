"""How much of the field is done, plot by plot, against what the ground may give."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from django.db.models import F, OuterRef, Subquery, Sum
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc import stand
from heritage.calc.stand import Sample, Stand
from heritage.season.models import Demonstration, Plot
from heritage.tally.models import Entry

BY_AREA = _("by its area alone: an estimate, nothing measured")
BY_COUNT = _("as the organiser counted or expects it")
BY_PIECES = _("from ground of this plot that was measured when it was cleared")
BY_NEIGHBOURS = _("from ground cleared and measured on the other plots")


@dataclass(frozen=True, slots=True)
class PlotProgress:
    """How much of one plot is done, and where its figure comes from."""

    name: str
    area_m2: float
    beets: int
    stand: Stand
    basis: str | Promise

    @property
    def likely_percent(self) -> int:
        return percent(self.beets, self.stand.likely)

    @property
    def low_percent(self) -> int:
        return percent(self.beets, self.stand.high)

    @property
    def high_percent(self) -> int:
        return percent(self.beets, self.stand.low)


@dataclass(frozen=True, slots=True)
class FieldProgress:
    """How much of the field is done, against what the ground may give."""

    beets: int
    stand: Stand
    beets_per_stook: int
    plots: list[PlotProgress] = field(default_factory=list)

    @property
    def has_stand(self) -> bool:
        return self.stand.likely > 0

    @property
    def stooks(self) -> int:
        return self.beets // self.beets_per_stook

    @property
    def beets_over(self) -> int:
        return self.beets % self.beets_per_stook

    @property
    def area_m2(self) -> float:
        return sum(plot.area_m2 for plot in self.plots)

    def percent(self, expected: int) -> int:
        return percent(self.beets, expected)

    @property
    def likely_percent(self) -> int:
        return self.percent(self.stand.likely)

    @property
    def low_percent(self) -> int:
        """The share if the ground gives the most that it may."""
        return self.percent(self.stand.high)

    @property
    def high_percent(self) -> int:
        """The share if the ground gives the least that it may."""
        return self.percent(self.stand.low)


def percent(beets: int, expected: int) -> int:
    """Return the share, never above the whole."""
    return max(0, min(100, round(100 * beets / expected))) if expected else 0


def field_progress(demonstration: Demonstration) -> FieldProgress:
    """Say how much of the field is done: two queries."""
    plots, samples = _plots_and_samples(demonstration)
    counted = Entry.objects.of(demonstration).summed_by_plot()
    everywhere = [sample for own in samples.values() for sample in own]
    lines = [
        _plot_progress(plot, counted.get(plot.pk, 0), samples[plot.pk], everywhere)
        for plot in plots
    ]
    return FieldProgress(
        beets=sum(counted.values()),
        stand=stand.total_stand([line.stand for line in lines]),
        beets_per_stook=demonstration.beets_per_stook,
        plots=lines,
    )


def _plots_and_samples(
    demonstration: Demonstration,
) -> tuple[list[Plot], dict[int, list[Sample]]]:
    """Return the plots in order, and the measured pieces of each: one query."""
    gave = (
        Entry.objects.filter(
            gathering=OuterRef("pulled_areas__gathering"), plot=OuterRef("pk")
        )
        .order_by()
        .values("plot")
        .annotate(gave=Sum("beets"))
        .values("gave")
    )
    # Each plot once for every measure of it, or once without.
    rows: Iterable[Any] = (
        demonstration.plots.all()
        .annotate(
            measured=F("pulled_areas__area_m2"),
            evening=F("pulled_areas__gathering"),
            gave=Subquery(gave),
        )
        .order_by("name", "pk", "pulled_areas__entered_at", "pulled_areas__pk")
    )
    plots: dict[int, Plot] = {}
    newest: dict[tuple[int, int], Sample | None] = {}
    for row in rows:
        plots.setdefault(row.pk, row)
        gives = row.measured and row.gave and row.gave > 0
        sample = Sample(row.gave, float(row.measured)) if gives else None
        newest[row.pk, row.evening] = sample
    samples: dict[int, list[Sample]] = {pk: [] for pk in plots}
    for (pk, _evening), sample in newest.items():
        if sample:
            samples[pk].append(sample)
    return list(plots.values()), samples


def _plot_progress(
    plot: Plot, beets: int, own: list[Sample], everywhere: list[Sample]
) -> PlotProgress:
    found, basis = _stand_of(plot, max(0, beets), own, everywhere)
    return PlotProgress(plot.name, float(plot.area_m2), beets, found, basis)


def _stand_of(
    plot: Plot, counted: int, own: list[Sample], everywhere: list[Sample]
) -> tuple[Stand, str | Promise]:
    """Prefer what was measured here, then a count, then the plots beside."""
    area = plot.area_m2
    if own:
        return stand.measured_stand(area, own, counted=counted), BY_PIECES
    if plot.expected_beets:
        return stand.counted_stand(max(plot.expected_beets, counted)), BY_COUNT
    if everywhere:
        beside = stand.measured_stand(
            area, everywhere, counted=counted, of_this_ground=False
        )
        return beside, BY_NEIGHBOURS
    guess = stand.expected_stand(area, beet_kg=plot.demonstration.beet_kg.likely)
    low, likely, high = (
        max(counted, end) for end in (guess.low, guess.likely, guess.high)
    )
    return Stand(low, likely, high), BY_AREA
