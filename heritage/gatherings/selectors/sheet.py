"""The evening's sheet, ready to be printed."""

from dataclasses import dataclass

from heritage.gatherings.models import Gathering, Station
from heritage.gatherings.selectors.filling import Filling
from heritage.gatherings.selectors.light import Light, light_of, light_warnings
from heritage.gatherings.selectors.stations import shown_name
from heritage.safety.models import BriefingVersion


@dataclass(frozen=True, slots=True)
class SheetStation:
    """A station's part of the sheet: names, places left, briefing with its version."""

    station: Station
    names: list[str]
    blank_rows: int
    briefing: str

    @property
    def filling(self) -> Filling:
        """How full the station is, in figures and words."""
        places, fewest = self.station.places, self.station.fewest
        return Filling(places, fewest, held=len(self.names))


@dataclass(frozen=True, slots=True)
class SignInSheet:
    """Everything on an evening's sign-in and tally sheet."""

    gathering: Gathering
    light: Light
    warnings: list[str]
    stations: list[SheetStation]

    @property
    def has_machine_or_water(self) -> bool:
        return any(one.station.work.stops_by_sunset for one in self.stations)


def sign_in_sheet(gathering: Gathering) -> SignInSheet:
    """Gather an evening's sheet: three queries."""
    stations = list(gathering.stations.select_related("briefing").in_order())
    names: dict[int, list[str]] = {row.pk: [] for row in stations}
    for entry in gathering.sign_ups.held().select_related("volunteer"):
        names[entry.station_id].append(shown_name(entry.volunteer))
    asked = [row.briefing_id for row in stations if row.briefing_id]
    newest = BriefingVersion.objects.current().filter(briefing__in=asked)
    numbers = dict(newest.values_list("briefing_id", "number"))
    light = light_of(gathering)
    return SignInSheet(
        gathering,
        light,
        light_warnings(light, gathering, stations),
        [_part(row, sorted(names[row.pk]), numbers) for row in stations],
    )


def _part(station: Station, names: list[str], numbers: dict[int, int]) -> SheetStation:
    briefing = ""
    if station.briefing:
        number = numbers.get(station.briefing.pk)
        version = f"version {number}" if number else "not published yet"
        briefing = f"{station.briefing.title}, {version}"
    return SheetStation(station, names, max(0, station.places - len(names)), briefing)
