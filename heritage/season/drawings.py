"""Drawings of the season."""

from collections.abc import Sequence
from datetime import date

from heritage.kits.charts.season import StageBar, season_strip
from heritage.kits.drawing.marks import Drawing
from heritage.season.selectors import StageLine, done_span, planned_span


def season_drawing(lines: Sequence[StageLine], today: date) -> Drawing:
    """Draw the stages that have a date against the calendar."""
    bars = [
        StageBar(
            name=str(line.stage.label),
            planned=planned_span(line.record),
            done=done_span(line.record, today),
        )
        for line in lines
        if line.record and line.state
    ]
    return season_strip(bars, today=today)
