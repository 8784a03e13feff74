"""Drawings of the season."""

from collections.abc import Mapping, Sequence
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.kits.charts.season import SeasonWords, StageBar, season_strip
from heritage.kits.drawing.marks import Drawing
from heritage.season.models import Stage
from heritage.season.selectors import StageLine, planned_span

# The first, the likeliest and the last day.
Forecast = tuple[date, date, date]


def season_drawing(
    lines: Sequence[StageLine],
    today: date,
    forecasts: Mapping[Stage, Forecast] | None = None,
) -> Drawing:
    """Draw the stages that have a date, or a forecast, against the calendar."""
    known = forecasts or {}
    bars = [
        _bar(line, today, known.get(line.stage))
        for line in lines
        if line.state or line.stage in known
    ]
    return season_strip(bars, words=season_words(), today=today)


def _bar(line: StageLine, today: date, forecast: Forecast | None) -> StageBar:
    first, likely, last = forecast or (None, None, None)
    return StageBar(
        name=str(line.stage.label),
        planned=planned_span(line.record) if line.record else None,
        forecast=(first, last) if first and last else None,
        likely=likely,
        done=line.done_span(today),
    )


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
        day_said=lambda day: date_format(day, "j M"),
        month_said=lambda day: date_format(day, "M"),
    )
