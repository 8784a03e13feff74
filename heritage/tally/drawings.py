"""Drawings of the tally."""

from collections.abc import Sequence

from django.utils.safestring import SafeString, mark_safe

from heritage.kits.charts import counts as charts
from heritage.kits.charts import forecasts as charts_forecasts
from heritage.kits.drawing.svg import to_svg
from heritage.tally.forecast.selectors import Finish
from heritage.tally.selectors import EveningLine


def evenings_drawing(evenings: Sequence[EveningLine]) -> SafeString:
    """Draw each evening's beets as a bar."""
    rows = [
        (f"{line.day:%a} {line.day.day} {line.day:%b}", line.beets) for line in evenings
    ]
    drawing = charts.bars(rows, unit="beets", title="Beets pulled on each evening")
    return mark_safe(to_svg(drawing, prefix="evenings"))  # noqa: S308


def chance_drawing(finish: Finish) -> SafeString:
    """Draw the chance that all is pulled by the end of each evening."""
    rows = [(need.plan.day, need.chance) for need in finish.needs]
    drawing = charts_forecasts.chance_by_day(
        rows, title="Chance that the field is done"
    )
    return mark_safe(to_svg(drawing, prefix="chance"))  # noqa: S308
