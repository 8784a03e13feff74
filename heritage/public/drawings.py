"""Drawings for visitors."""

from datetime import date

from heritage.kits.charts import progress_bar
from heritage.kits.drawing import Drawing
from heritage.season.drawings import season_drawing
from heritage.season.selectors import Season
from heritage.tally.selectors import FieldProgress


def field_drawing(progress: FieldProgress) -> Drawing | None:
    """Draw the field so far in beets, or nothing where no plot is measured."""
    if not progress.has_stand:
        return None
    return progress_bar(
        progress.beets,
        progress.stand.likely,
        low=progress.stand.low,
        high=progress.stand.high,
        unit="beets",
    )


def season_strip_drawing(page: Season, today: date) -> Drawing | None:
    """Draw the stages that have dates, or nothing where none has."""
    return season_drawing(page.stages, today) if page.has_dates else None
