"""The field as a plan, for Today."""

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from heritage.kits.charts.field import Patch, field_plan
from heritage.kits.drawing.svg import to_svg
from heritage.tally.selectors import FieldProgress


def plan_svg(progress: FieldProgress) -> SafeString:
    """Draw what is pulled of each plot, frayed where it is only guessed."""
    if not progress.has_stand:
        return SafeString()
    patches = [
        Patch(plot.area_m2, plot.low_percent / 100, plot.high_percent / 100)
        for plot in progress.plots
    ]
    words = _("%(plot)s: %(low)d to %(high)d %% pulled")
    told = "; ".join(
        words % {"plot": plot.name, "low": plot.low_percent, "high": plot.high_percent}
        for plot in progress.plots
    )
    drawn = to_svg(field_plan(patches, title=_("The field"), told=told), prefix="field")
    # The kit escapes every word that it sets in the drawing.
    return mark_safe(drawn)  # noqa: S308
