"""The light of an evening and the places of a station, drawn."""

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from heritage.gatherings.ground.selectors import Filling, Light
from heritage.gatherings.models import Gathering, Station
from heritage.kits.charts.evening import (
    EveningHours,
    LightWords,
    clock_hours,
    light_window,
)
from heritage.kits.drawing.marks import Anchor, Drawing, Line, Mark, Rect, Text
from heritage.kits.drawing.svg import to_svg
from heritage.kits.drawing.tones import Role


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

    evening = EveningHours(
        starts=clock_hours(gathering.starts_at.astimezone(zone), light.day),
        ends=clock_hours(gathering.ends_at.astimezone(zone), light.day),
        sunset=hours("sunset"),
        dusk=hours("dusk"),
        stop=hours("stop"),
    )
    return light_window(evening, light_words())


def light_words() -> LightWords:
    """Return what the drawing of an evening's light says."""
    return LightWords(
        title=_("The light that evening"),
        asked=_("Asked {start}–{end}"),  # noqa: RUF001
        asked_told=_("Planned from {start} to {end}."),
        stop=_("Stop"),
        sunset=_("Sunset"),
        dusk=_("Dusk"),
        told=_("{name} at {at}."),
        no_sunset=_("The sun does not set."),
        no_dusk=_("It does not grow fully dark."),
        axis=_("hour of the day, local time"),
    )


def light_svg(gathering: Gathering, light: Light) -> SafeString:
    """Return the drawing as markup for a page; the kit escapes every word."""
    drawing = to_svg(light_drawing(gathering, light), prefix="light")
    return mark_safe(drawing)  # noqa: S308


# The strip of a station's places: one box of the width for all, in units.
STRIP, LEFT, TOP, HIGH = 320, 4, 4, 18


def places_drawing(title: str, filling: Filling) -> Drawing:
    """Draw a station's places: held, unanswered, free, waiting; and the fewest.

    Held is solid, unanswered hatched, free empty, and who waits stands beyond the
    places in a box of dots, so that no colour is needed to tell them apart.
    """
    most = max(filling.places, filling.held) + filling.waiting
    unit = (STRIP - 2 * LEFT) / max(1, most)
    sure = filling.held - filling.unanswered
    marks: list[Mark] = [
        _box(0, sure, unit, "crop"),
        _box(sure, filling.unanswered, unit, "band"),
    ]
    if filling.waiting:
        beyond = max(filling.places, filling.held)
        marks.append(_box(beyond, filling.waiting, unit, "dusk"))
    marks.append(Rect(LEFT, TOP, filling.places * unit, HIGH, "ink"))
    if filling.fewest:
        at = LEFT + filling.fewest * unit
        anchor: Anchor = "end" if at > STRIP / 2 else "start"
        words = _("needs %d") % filling.fewest
        marks += [
            Line(at, 0, at, TOP + HIGH + 14, "ink", 2.5),
            Text(at + (-5 if anchor == "end" else 5), 36, words, "ink", 13, anchor),
        ]
    high = 40 if filling.fewest else TOP + HIGH + 4
    return Drawing(STRIP, high, tuple(marks), title, filling.words.capitalize() + ".")


def _box(start: int, count: int, unit: float, role: Role) -> Rect:
    return Rect(LEFT + start * unit, TOP, count * unit, HIGH, role, filled=True)


def places_svg(station: Station, filling: Filling) -> SafeString:
    """Return a station's strip as markup for a page; the kit escapes every word."""
    drawing = places_drawing(_("Places at %s") % station, filling)
    return mark_safe(to_svg(drawing, prefix=f"places-{station.pk}"))  # noqa: S308
