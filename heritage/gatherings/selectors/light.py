"""The light of a gathering: how much there is, and what its times ask of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.calc.daylight import sun_times, working_window
from heritage.gatherings.models import Gathering, Station
from heritage.season.models import Demonstration

# A start in the small hours belongs to the evening before it.
SMALL_HOURS = 3
MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Light:
    """An evening's light, in the demonstration's own time."""

    day: date
    sunset: datetime | None
    dusk: datetime | None
    first: datetime | None
    stop: datetime | None
    why: str

    @property
    def is_there(self) -> bool:
        """Whether the day has any light to work by."""
        return self.first is not None

    @property
    def words(self) -> str:
        """The light in one line."""
        if not self.is_there:
            return _("no daylight to work by")
        if self.stop is None:
            return _("light all night")
        if self.sunset is None:
            return _("stop at %s") % f"{self.stop:%H:%M}"
        return _("sunset %(sunset)s, stop at %(stop)s") % {
            "sunset": f"{self.sunset:%H:%M}",
            "stop": f"{self.stop:%H:%M}",
        }

    def hours_left(self, start: datetime, end: datetime) -> float:
        """Return how many hours of a span have light."""
        if self.first is None:
            return 0.0
        latest = min(end, self.stop) if self.stop else end
        lit = latest - max(start, self.first)
        return max(0.0, lit / timedelta(hours=1))


def evening_of(starts_at: datetime, demonstration: Demonstration) -> date:
    """Return the local day whose evening a gathering belongs to."""
    local = starts_at.astimezone(demonstration.zone)
    back = timedelta(days=1 if local.hour < SMALL_HOURS else 0)
    return (local - back).date()


def light_of_day(demonstration: Demonstration, day: date) -> Light:
    """Work out the light of one day where the demonstration is."""
    place = (float(demonstration.latitude), float(demonstration.longitude))
    skyline = float(demonstration.skyline_deg)
    zone = demonstration.zone
    sun = sun_times(day, *place, timezone=zone, skyline_deg=skyline)
    window = working_window(
        day,
        *place,
        timezone=zone,
        margin=demonstration.stop_margin_min * MINUTE,
        skyline_deg=skyline,
    )
    if window is None:
        return Light(day, sun.sunset, sun.dusk, None, None, _("there is no daylight"))
    stop = window.end if sun.dusk else None
    return Light(day, sun.sunset, sun.dusk, window.start, stop, window.why_it_ends)


def light_of(gathering: Gathering) -> Light:
    """Work out the light of a gathering's evening."""
    demonstration = gathering.demonstration
    return light_of_day(demonstration, evening_of(gathering.starts_at, demonstration))


def light_warnings(
    light: Light, gathering: Gathering, stations: Iterable[Station]
) -> list[str]:
    """Say in plain words where the times asked run out of light."""
    if light.first is None:
        return [_("There is no daylight to work by on that day.")]
    zone = gathering.demonstration.zone
    ends, said = gathering.ends_at, []
    if gathering.starts_at < light.first:
        said.append(
            _("It begins before there is light enough, at %s.") % f"{light.first:%H:%M}"
        )
    if light.stop and ends > light.stop:
        said.append(
            _("These times run past the light. Stop at %(stop)s, %(why)s.")
            % {"stop": f"{light.stop:%H:%M}", "why": light.why}
        )
    early = [station.title for station in stations if station.work.stops_by_sunset]
    if early and light.sunset and ends > light.sunset:
        said.append(
            _(
                "Stop by sunset, %(sunset)s: %(stations)s. Nobody works a machine or "
                "at the water in the dusk."
            )
            % {
                "sunset": f"{light.sunset.astimezone(zone):%H:%M}",
                "stations": ", ".join(early),
            }
        )
    return said


def when(gathering: Gathering, starts: datetime, ends: datetime) -> str:
    """Write a span in the demonstration's own time."""
    zone = gathering.demonstration.zone
    start, end = starts.astimezone(zone), ends.astimezone(zone)
    return _("%(day)s, %(start)s to %(end)s") % {
        "day": date_format(start, "l j F Y"),
        "start": f"{start:%H:%M}",
        "end": f"{end:%H:%M}",
    }


def was(gathering: Gathering) -> str:
    """Say when and where a gathering that has moved was first to be, or nothing."""
    place, first = gathering.moved_from_place, gathering.moved_from
    start = first and first.astimezone(gathering.demonstration.zone)
    said = {
        "place": place,
        "day": start and date_format(start, "l j F Y"),
        "start": start and f"{start:%H:%M}",
    }
    if start and place:
        words = _("It was to be on %(day)s at %(start)s, at %(place)s.")
    elif start:
        words = _("It was to be on %(day)s at %(start)s.")
    elif place:
        words = _("It was to meet at %(place)s.")
    else:
        return ""
    return words % said
