"""Drawings of the season."""

from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext as _

from heritage.kits.charts.season import SeasonWords, StageBar, season_strip
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
    return season_strip(bars, words=season_words(), today=today)


def season_words() -> SeasonWords:
    """Return what the season's strip says."""
    return SeasonWords(
        title=_("The season"),
        planned=_("planned"),
        done=_("done"),
        forecast=_("forecast"),
        likeliest=_("likeliest"),
        no_date=_("no date yet"),
        today=_("Today, {day}"),
        told_today=_("Today is {day}."),
    )
