"""Drawings for the organiser's day."""

from heritage.gatherings.selectors import GatheringLine
from heritage.kits.charts import clock_hours, light_window
from heritage.kits.drawing import Drawing


def light_drawing(line: GatheringLine) -> Drawing:
    """Draw one gathering's hours against its evening's light."""
    row, light = line.gathering, line.light
    zone = row.demonstration.zone
    sunset, dusk, stop = (
        clock_hours(moment, light.day) if moment else None
        for moment in (light.sunset, light.dusk, light.stop)
    )
    return light_window(
        starts=clock_hours(row.starts_at.astimezone(zone), light.day),
        ends=clock_hours(row.ends_at.astimezone(zone), light.day),
        sunset=sunset,
        dusk=dusk,
        stop=stop,
    )
