"""The window for pulling, and what it was made of, drawn."""

from django.utils.translation import gettext as _

from heritage.growth.selectors import PlotGrowth
from heritage.kits.charts.season import SeasonWords, StageBar, season_strip
from heritage.kits.drawing.marks import Drawing


def window_drawing(growth: PlotGrowth) -> Drawing | None:
    """Draw each anchor's window and, below them, all of them weighed together."""
    estimate = growth.estimate
    if estimate is None:
        return None
    bars = [
        StageBar(one.words, planned=(one.first, one.last), likely=one.best)
        for one in growth.sources
    ]
    window = (estimate.first, estimate.last)
    whole = StageBar(_("when to pull"), forecast=window, likely=estimate.best)
    return season_strip([*bars, whole], words=window_words(growth), today=growth.today)


def window_words(growth: PlotGrowth) -> SeasonWords:
    """Return what the drawing says."""
    return SeasonWords(
        title=_("When to pull: %s") % growth.plot.name,
        planned=_("by each sign"),
        done=_("done"),
        forecast=_("all together"),
        likeliest=_("likeliest"),
        no_date=_("no date yet"),
        today=_("Today, {day}"),
        told_today=_("Today is {day}."),
    )
