"""Grid references of Great Britain and of Ireland, as latitude and longitude.

The formulas are those of "A guide to coordinate systems in Great Britain" (Ordnance
Survey): from the grid to the map's own ellipsoid (annexe C), to a straight frame in
metres (annexe B), moved by seven parameters, and back. Its one set of parameters is
good to about 5 m in Great Britain, Ireland's own (Ordnance Survey Ireland) to about
1 m: nearer than a reference of six figures says.
"""

import re
from dataclasses import dataclass
from math import atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan
from typing import Final

# The squares of 500 and of 100 km are lettered from the north-west, without an I.
LETTERS: Final = "ABCDEFGHJKLMNOPQRSTUVWXYZ"
REFERENCE: Final = re.compile(r"([A-HJ-Z]{1,2})\s*((?:\d\s*){2,10})")
SQUARE_M: Final = 100_000


@dataclass(frozen=True, slots=True)
class Ellipsoid:
    """The shape that a map is drawn on, by its half axes in metres."""

    a: float
    b: float

    @property
    def e2(self) -> float:
        """Return the square of its eccentricity.

        Returns
        -------
        float
            Nought for a ball. [-]
        """
        return 1 - (self.b / self.a) ** 2


@dataclass(frozen=True, slots=True)
class Grid:
    """One country's grid: its ellipsoid, its true origin, and its shift to WGS 84.

    Attributes
    ----------
    scale : float
        Scale on the central meridian. [-]
    lat_deg, lon_deg : float
        True origin. [°]
    east_m, north_m : float
        The grid's figures at the true origin. [m]
    shift_m : tuple of float
        Three shifts. [m]
    turn_s : tuple of float
        Three turns. [seconds of arc]
    grow_ppm : float
        Change of scale. [parts in a million]
    """

    on: Ellipsoid
    scale: float
    lat_deg: float
    lon_deg: float
    east_m: float
    north_m: float
    shift_m: tuple[float, float, float]
    turn_s: tuple[float, float, float]
    grow_ppm: float


WGS84: Final = Ellipsoid(6_378_137.0, 6_356_752.314_245)
BRITISH: Final = Grid(
    on=Ellipsoid(6_377_563.396, 6_356_256.909),
    scale=0.999_601_2717,
    lat_deg=49.0,
    lon_deg=-2.0,
    east_m=400_000,
    north_m=-100_000,
    shift_m=(446.448, -125.157, 542.060),
    turn_s=(0.1502, 0.2470, 0.8421),
    grow_ppm=-20.4894,
)
IRISH: Final = Grid(
    on=Ellipsoid(6_377_340.189, 6_356_034.447),
    scale=1.000_035,
    lat_deg=53.5,
    lon_deg=-8.0,
    east_m=200_000,
    north_m=250_000,
    shift_m=(482.530, -130.596, 564.557),
    turn_s=(-1.042, -0.214, -0.631),
    grow_ppm=8.150,
)


@dataclass(frozen=True, slots=True)
class Reference:
    """The middle of the square that a grid reference names.

    Attributes
    ----------
    grid : Grid
        Great Britain's or Ireland's.
    east_m, north_m : float
        On that grid. [m]
    """

    grid: Grid
    east_m: float
    north_m: float


def read_reference(text: str) -> Reference | None:
    """Read a grid reference: two letters in Great Britain, one in Ireland.

    Parameters
    ----------
    text : str
        For example ``TQ 123 456`` or ``H1234``, with two to ten figures.

    Returns
    -------
    Reference or None
        None if it is no grid reference.
    """
    match = REFERENCE.fullmatch(text.strip().upper())
    if match is None:
        return None
    letters, figures = match[1], re.sub(r"\s", "", match[2])
    if len(figures) % 2:
        return None
    half = len(figures) // 2
    corner = _british_corner(letters) if len(letters) == 2 else _irish_corner(letters)
    if corner is None:
        return None
    grid = BRITISH if len(letters) == 2 else IRISH
    size = SQUARE_M / 10**half
    east, north = int(figures[:half]), int(figures[half:])
    return Reference(
        grid, corner[0] + (east + 0.5) * size, corner[1] + (north + 0.5) * size
    )


def lat_lon(east_m: float, north_m: float, grid: Grid) -> tuple[float, float]:
    """Give latitude and longitude, as a phone and a world map have them.

    Parameters
    ----------
    east_m, north_m : float
        On the grid. [m]
    grid : Grid
        Which grid.

    Returns
    -------
    tuple of float
        Latitude and longitude on WGS 84. [°]
    """
    lat, lon = on_the_map(east_m, north_m, grid)
    return _to_degrees(_moved(straight(lat, lon, 0.0, grid.on), grid), WGS84)


def on_the_map(east_m: float, north_m: float, grid: Grid) -> tuple[float, float]:
    """Give latitude and longitude on the map's own ellipsoid (annexe C.2).

    Parameters
    ----------
    east_m, north_m : float
        On the grid. [m]
    grid : Grid
        Which grid.

    Returns
    -------
    tuple of float
        Latitude and longitude. [°]
    """
    a, e2 = grid.on.a * grid.scale, grid.on.e2
    lat = _foot(north_m, grid)
    nu = a / sqrt(1 - e2 * sin(lat) ** 2)
    rho = a * (1 - e2) * (1 - e2 * sin(lat) ** 2) ** -1.5
    eta2 = nu / rho - 1
    t, sec, d = tan(lat), 1 / cos(lat), east_m - grid.east_m
    vii = t / (2 * rho * nu)
    viii = t / (24 * rho * nu**3) * (5 + 3 * t**2 + eta2 - 9 * t**2 * eta2)
    ix = t / (720 * rho * nu**5) * (61 + 90 * t**2 + 45 * t**4)
    x = sec / nu
    xi = sec / (6 * nu**3) * (nu / rho + 2 * t**2)
    xii = sec / (120 * nu**5) * (5 + 28 * t**2 + 24 * t**4)
    xiia = sec / (5040 * nu**7) * (61 + 662 * t**2 + 1320 * t**4 + 720 * t**6)
    north = lat - vii * d**2 + viii * d**4 - ix * d**6
    east = x * d - xi * d**3 + xii * d**5 - xiia * d**7
    return degrees(north), grid.lon_deg + degrees(east)


def straight(
    lat_deg: float, lon_deg: float, height_m: float, on: Ellipsoid
) -> tuple[float, float, float]:
    """Give a point in the straight frame (annexe B.1).

    Parameters
    ----------
    lat_deg, lon_deg : float
        Where it is. [°]
    height_m : float
        How high it is above the ellipsoid. [m]
    on : Ellipsoid
        Which ellipsoid.

    Returns
    -------
    tuple of float
        Its three measures. [m]
    """
    lat, lon = radians(lat_deg), radians(lon_deg)
    nu = on.a / sqrt(1 - on.e2 * sin(lat) ** 2)
    out = (nu + height_m) * cos(lat)
    return (
        out * cos(lon),
        out * sin(lon),
        ((1 - on.e2) * nu + height_m) * sin(lat),
    )


def _british_corner(letters: str) -> tuple[int, int] | None:
    """Return the south-west corner of a square of 100 km, if it is on the grid."""
    first, second = (LETTERS.index(letter) for letter in letters)
    # The 500 km squares are counted from the one that holds the grid's corner, S.
    east = (first % 5 - 2) * 5 + second % 5
    north = (3 - first // 5) * 5 + 4 - second // 5
    if not (0 <= east < 7 and 0 <= north < 13):
        return None
    return east * SQUARE_M, north * SQUARE_M


def _irish_corner(letter: str) -> tuple[int, int]:
    """Return the south-west corner of one of the 25 squares."""
    at = LETTERS.index(letter)
    return at % 5 * SQUARE_M, (4 - at // 5) * SQUARE_M


def _foot(north_m: float, grid: Grid) -> float:
    """Return the latitude whose arc of the meridian is as long, in radians."""
    a = grid.on.a * grid.scale
    lat0 = radians(grid.lat_deg)
    lat, rest = lat0, north_m - grid.north_m
    # Each step leaves some three thousandths of what was left before it.
    while abs(rest) >= 1e-5:
        lat += rest / a
        rest = north_m - grid.north_m - _arc(lat, lat0, grid)
    return lat


def _arc(lat: float, lat0: float, grid: Grid) -> float:
    """Return the length of the meridian from the true origin (annexe C), in metres."""
    n = (grid.on.a - grid.on.b) / (grid.on.a + grid.on.b)
    less, more = lat - lat0, lat + lat0
    return (
        grid.on.b
        * grid.scale
        * (
            (1 + n + 1.25 * n**2 + 1.25 * n**3) * less
            - (3 * n + 3 * n**2 + 21 / 8 * n**3) * sin(less) * cos(more)
            + (15 / 8 * (n**2 + n**3)) * sin(2 * less) * cos(2 * more)
            - 35 / 24 * n**3 * sin(3 * less) * cos(3 * more)
        )
    )


def _moved(point: tuple[float, float, float], grid: Grid) -> tuple[float, float, float]:
    """Move a point from the map's frame to that of WGS 84 (annexe B.6)."""
    x, y, z = point
    rx, ry, rz = (radians(turn / 3600) for turn in grid.turn_s)
    tx, ty, tz = grid.shift_m
    s = 1 + grid.grow_ppm * 1e-6
    return (
        tx + s * x - rz * y + ry * z,
        ty + rz * x + s * y - rx * z,
        tz - ry * x + rx * y + s * z,
    )


def _to_degrees(
    point: tuple[float, float, float], on: Ellipsoid
) -> tuple[float, float]:
    """Give latitude and longitude of a point in the straight frame (annexe B.2)."""
    x, y, z = point
    out = hypot(x, y)
    lat = atan(z / (out * (1 - on.e2)))
    for _ in range(6):
        nu = on.a / sqrt(1 - on.e2 * sin(lat) ** 2)
        lat = atan2(z + on.e2 * nu * sin(lat), out)
    return degrees(lat), degrees(atan2(y, x))
