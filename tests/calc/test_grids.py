"""Grid references against Ordnance Survey's worked example and PROJ."""

import pytest

from heritage.calc.grids import (
    BRITISH,
    IRISH,
    lat_lon,
    on_the_map,
    read_reference,
    straight,
)

# "A guide to coordinate systems in Great Britain", Ordnance Survey, annexes B and C:
# the water tower at Caister, from the grid to the map's latitude and longitude, and
# from there to the straight frame.
CAISTER = (651_409.903, 313_177.270)
CAISTER_LAT = 52 + 39 / 60 + 27.2531 / 3600
CAISTER_LON = 1 + 43 / 60 + 4.5177 / 3600


def test_the_surveys_worked_example_to_its_last_printed_figure():
    lat, lon = on_the_map(*CAISTER, BRITISH)
    assert lat == pytest.approx(CAISTER_LAT, abs=0.00005 / 3600)
    assert lon == pytest.approx(CAISTER_LON, abs=0.00005 / 3600)
    found = straight(CAISTER_LAT, CAISTER_LON, 24.7, BRITISH.on)
    assert found == pytest.approx((3874938.850, 116218.624, 5047168.207), abs=0.001)


# pyproj 3.7.2, EPSG:27700 and EPSG:29903 to EPSG:4326, counted once.
PROJ = [
    (BRITISH, CAISTER, (52.65797859857984, 1.7160519903750366)),
    (BRITISH, (512_350, 145_650), (51.199029379491634, -0.39337332309949036)),
    (BRITISH, (216_650, 771_250), (56.796556477844284, -5.003930350632952)),
    (IRISH, (315_904, 234_671), (53.34979602277805, -6.26024851811554)),
    (IRISH, (283_250, 368_450), (54.557523067393454, -6.713979299421691)),
    (IRISH, (76_500, 96_500), (52.10710565299504, -9.803288054096758)),
]


@pytest.mark.parametrize(("grid", "point", "expected"), PROJ)
def test_on_the_world_it_is_where_proj_has_it_to_a_tenth_of_a_metre(
    grid, point, expected
):
    assert lat_lon(*point, grid) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("words", "middle"),
    [
        ("TQ 123 456", (512_350, 145_650)),
        ("tq123456", (512_350, 145_650)),
        ("NN 166 712", (216_650, 771_250)),
        ("SV 0 0", (5_000, 5_000)),
        ("O 159 346", (315_950, 234_650)),
        ("H 1234 5678", (212_345, 356_785)),
    ],
)
def test_a_reference_is_the_middle_of_its_square(words, middle):
    read = read_reference(words)
    assert (read.east_m, read.north_m) == middle


@pytest.mark.parametrize("words", ["Carrow", "TQ 12 345", "AA 12 34", "I 12 34", ""])
def test_what_is_no_reference_is_none(words):
    assert read_reference(words) is None
