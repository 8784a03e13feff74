"""The light of an evening, drawn."""

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import Light
from heritage.kits.charts import clock_hours, light_window
from heritage.kits.drawing import Drawing, to_svg


def light_drawing(gathering: Gathering, light: Light) -> Drawing:
    """Draw the times asked against sunset, dusk and the time to stop."""
    zone = gathering.demonstration.zone

    def hours(name: str) -> float | None:
        moment = getattr(light, name)
        if moment is None:
            return None
        # Whole minutes, as the words beside it say them.
        minute = moment.replace(second=0, microsecond=0)
        return clock_hours(minute, light.day)

    return light_window(
        starts=clock_hours(gathering.starts_at.astimezone(zone), light.day),
        ends=clock_hours(gathering.ends_at.astimezone(zone), light.day),
        sunset=hours("sunset"),
        dusk=hours("dusk"),
        stop=hours("stop"),
        title=_("The light that evening"),
    )


def light_svg(gathering: Gathering, light: Light) -> SafeString:
    """Return the drawing as markup for a page; the kit escapes every word."""
    drawing = to_svg(light_drawing(gathering, light), prefix="light")
    return mark_safe(drawing)  # noqa: S308
