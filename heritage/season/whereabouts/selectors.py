"""What place somebody means: a town, a grid reference, or latitude and longitude.

The gazetteer says which time zone a place keeps and whose rules apply there. Near a
border it doesn't say whose rules: the rules keep young people from some work, so the
organiser chooses them.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from django.utils.translation import gettext as _

from heritage.calc import grids
from heritage.kits import gazetteer
from heritage.kits.gazetteer import Town
from heritage.season.models import Jurisdiction

MOST_TO_CHOOSE = 8
HOME = ("GB", "IE", "IM", "JE", "GG")
# How near a town may lie for a place to be called after it, and towns under other
# rules for the rules to be asked, since small towns are not all known. Our own.
NEAR_KM = 25
NORTHERN_IRELAND = "Northern Ireland"
FIGURES = re.compile(
    r"([+-]?\d{1,3}(?:\.\d+)?)\s*°?\s*([NS]?)[\s,;]+([+-]?\d{1,3}(?:\.\d+)?)\s*°?\s*([EW]?)"
)


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """A place that was meant, as it is shown back; ``rules`` is empty in doubt."""

    name: str
    detail: str
    latitude: Decimal
    longitude: Decimal
    time_zone: str
    rules: str
    is_town: bool = True

    @property
    def words(self) -> str:
        """The place with what it lies in, to tell it from others of its name."""
        words = f"{self.name}, {self.detail}" if self.detail else self.name
        return words if self.is_town else _("Near %s") % words

    @property
    def rules_label(self) -> str:
        """Whose rules apply, in words; nothing in doubt."""
        return str(Jurisdiction(self.rules).label) if self.rules else ""


# A page asks for the same place several times while it is being typed.
@lru_cache(maxsize=64)
def places_meant(words: str) -> tuple[Whereabouts, ...]:
    """Return every place that may be meant, none if none is known.

    Of towns that share a name those in these islands go before all others.
    """
    words = " ".join(words.split())
    point = _figures(words) or _from_grid(words)
    if point is not None:
        return (_at_point(*point),)
    towns = gazetteer.named(words)
    at_home = [town for town in towns if town.country in HOME]
    return tuple(_of_town(town) for town in (at_home or towns)[:MOST_TO_CHOOSE])


def _figures(words: str) -> tuple[float, float] | None:
    match = FIGURES.fullmatch(words.strip().upper())
    if match is None:
        return None
    north, south, east, west = match[1], match[2] == "S", match[3], match[4] == "W"
    lat = -float(north) if south else float(north)
    lon = -float(east) if west else float(east)
    return (lat, lon) if abs(lat) <= 90 and abs(lon) <= 180 else None


def _from_grid(words: str) -> tuple[float, float] | None:
    reference = grids.read_reference(words)
    if reference is None:
        return None
    return grids.lat_lon(reference.east_m, reference.north_m, reference.grid)


def _at_point(latitude: float, longitude: float) -> Whereabouts:
    around = gazetteer.near(latitude, longitude, NEAR_KM)
    # At sea or in a desert the nearest town is far away, and so are its rules.
    nearest = around[0] if around else None
    country = nearest.country if nearest else ""
    return Whereabouts(
        name=nearest.name if nearest else _("the field"),
        detail=_region(nearest) if nearest else "",
        latitude=_degrees(latitude),
        longitude=_degrees(longitude),
        time_zone=gazetteer.time_zone(country, latitude, longitude),
        rules=_rules_at(latitude, longitude, nearest),
        is_town=nearest is None,
    )


def _of_town(town: Town) -> Whereabouts:
    return Whereabouts(
        name=town.name,
        detail=_region(town),
        latitude=_degrees(town.latitude),
        longitude=_degrees(town.longitude),
        time_zone=gazetteer.time_zone(town.country, town.latitude, town.longitude),
        rules=_rules_at(town.latitude, town.longitude, town),
    )


def _rules_at(latitude: float, longitude: float, nearest: Town | None) -> str:
    """Return whose rules apply, or nothing where a border is near or no town is."""
    if nearest is None:
        return ""
    around = gazetteer.near(latitude, longitude, NEAR_KM)
    rules = {_rules_of(town) for town in (nearest, *around)}
    return rules.pop() if len(rules) == 1 else ""


def _rules_of(town: Town) -> str:
    if town.country == "GB":
        northern = town.region == NORTHERN_IRELAND
        return Jurisdiction.NORTHERN_IRELAND if northern else Jurisdiction.GREAT_BRITAIN
    return Jurisdiction.IRELAND if town.country == "IE" else Jurisdiction.ELSEWHERE


def _region(town: Town) -> str:
    """Say what a town lies in, as people there would: a county, a region, a country."""
    if town.country == "IE":
        return town.county or town.region
    parts = [town.county, town.region] if town.country == "GB" else [town.region]
    if town.country not in HOME:
        parts.append(town.country)
    return ", ".join(dict.fromkeys(part for part in parts if part))


def _degrees(value: float) -> Decimal:
    return Decimal(str(round(value, 5)))
