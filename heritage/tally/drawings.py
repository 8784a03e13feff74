"""Drawings of the tally."""

from collections.abc import Sequence

from django.utils.safestring import SafeString, mark_safe

from heritage.kits import charts
from heritage.kits.drawing import to_svg
from heritage.tally.selectors import EveningLine, Finish


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
    drawing = charts.chance_by_day(rows, title="Chance that the field is done")
    return mark_safe(to_svg(drawing, prefix="chance"))  # noqa: S308
