"""Drawings for visitors, ready to be set in a page."""

from datetime import date

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from heritage.kits.charts.counts import ProgressWords, progress_bar
from heritage.kits.drawing.marks import Drawing
from heritage.kits.drawing.svg import to_svg
from heritage.season.drawings import season_drawing
from heritage.season.selectors import Season
from heritage.tally.selectors import FieldProgress


def field_svg(progress: FieldProgress) -> SafeString:
    """Draw the field so far in beets, or nothing where no plot is measured."""
    if not progress.has_stand:
        return SafeString()
    drawing = progress_bar(
        progress.beets,
        progress.stand.likely,
        low=progress.stand.low,
        high=progress.stand.high,
        words=field_words(),
    )
    return _svg(drawing, "field")


def field_words() -> ProgressWords:
    """Return what the field so far says."""
    return ProgressWords(
        title=_("The field so far"),
        unit=_("beets"),
        done=_("{count} beets pulled"),
        whole=_("about {count} beets"),
        whole_in_range=_("about {count} beets ({range})"),
        below=_("The whole field: {whole}"),
        told=_("{done} of {whole} in the whole field."),
    )


def season_svg(page: Season, today: date) -> SafeString:
    """Draw the stages that have dates, or nothing where none has."""
    if not page.has_dates:
        return SafeString()
    return _svg(season_drawing(page.stages, today), "season")


def _svg(drawing: Drawing, prefix: str) -> SafeString:
    # The kit escapes every word that it sets in the drawing.
    return mark_safe(to_svg(drawing, prefix=prefix))  # noqa: S308
