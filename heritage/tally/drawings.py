"""Drawings of the tally."""

from collections import Counter
from collections.abc import Sequence

from django.utils.formats import date_format
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from heritage.kits.charts.counts import BarWords, bars
from heritage.kits.charts.field import Patch, field_plan
from heritage.kits.charts.forecasts import ChanceWords, chance_by_day
from heritage.kits.drawing.svg import to_svg
from heritage.tally.forecast.selectors import Finish
from heritage.tally.selectors import EveningLine, FieldProgress


def evenings_drawing(evenings: Sequence[EveningLine]) -> SafeString:
    """Draw each evening's beets as a bar."""
    days = Counter(line.day for line in evenings)
    rows = [(_called(line, days[line.day]), line.beets) for line in evenings]
    drawing = bars(rows, words=evenings_words())
    return mark_safe(to_svg(drawing, prefix="evenings"))  # noqa: S308


def _called(line: EveningLine, that_day: int) -> str:
    """Return an evening's day, and its name where the day had another."""
    day = date_format(line.day, "D j M")
    return day if that_day == 1 else f"{day}, {line.gathering.title}"


def evenings_words() -> BarWords:
    """Return what the evenings' bars say."""
    return BarWords(
        title=_("Beets pulled on each evening"),
        unit=_("beets"),
        told=_("Beets. {rows}."),
        none=_("Nothing is tallied yet."),
    )


def chance_drawing(finish: Finish) -> SafeString:
    """Draw the chance that all is pulled by the end of each evening."""
    rows = [(need.plan.day, need.chance) for need in finish.needs]
    drawing = chance_by_day(rows, words=chance_words())
    return mark_safe(to_svg(drawing, prefix="chance"))  # noqa: S308


def chance_words() -> ChanceWords:
    """Return what the chances of having finished say."""
    return ChanceWords(
        title=_("Chance that the field is done"),
        axis=_("by the end of"),
        told=_("{first} by {first_day}, {last} by {last_day}."),
        even=_("An even chance by {day}."),
        likely=_("Nine in ten by {day}."),
        never_even=_("An even chance is not reached in these days."),
    )


def plan_drawing(progress: FieldProgress) -> SafeString:
    """Draw the field as a plan that empties, frayed where it is only guessed."""
    patches = [
        Patch(plot.area_m2, plot.low_percent / 100, plot.high_percent / 100)
        for plot in progress.plots
    ]
    told = "; ".join(f"{plot.name}: {plot.pulled_words}" for plot in progress.plots)
    drawing = field_plan(patches, title=_("The field"), told=told)
    return mark_safe(to_svg(drawing, prefix="field"))  # noqa: S308
