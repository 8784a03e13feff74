"""Weather against printed charts and examples, and through four real years."""

import math
from itertools import pairwise

import numpy as np
import pytest

from heritage.calc.weather import (
    Conditions,
    apparent_temperature,
    beaufort,
    call,
    canopy_water,
    daylight_hours,
    drying_hours,
    extraterrestrial_radiation,
    felt_in_wind,
    heat_index,
    net_radiation_daily,
    rain_class,
    reference_evapotranspiration_daily,
    reference_evapotranspiration_hourly,
    saturation_vapour_pressure,
    solar_radiation,
    wet_canopy_evaporation,
    wind_at_2m,
    wind_chill,
)
from tests.outside.open_data import seattle_days

# Environment Canada, Wind Chill Calculation Chart (archive-it, February 2006): wind in
# km/h, then the wind chill at +5, 0, -5 ... -50 °C.
WIND_CHILL = """
5 4 -2 -7 -13 -19 -24 -30 -36 -41 -47 -53 -58
10 3 -3 -9 -15 -21 -27 -33 -39 -45 -51 -57 -63
15 2 -4 -11 -17 -23 -29 -35 -41 -48 -54 -60 -66
20 1 -5 -12 -18 -24 -30 -37 -43 -49 -56 -62 -68
25 1 -6 -12 -19 -25 -32 -38 -44 -51 -57 -64 -70
30 0 -6 -13 -20 -26 -33 -39 -46 -52 -59 -65 -72
35 0 -7 -14 -20 -27 -33 -40 -47 -53 -60 -66 -73
40 -1 -7 -14 -21 -27 -34 -41 -48 -54 -61 -68 -74
45 -1 -8 -15 -21 -28 -35 -42 -48 -55 -62 -69 -75
50 -1 -8 -15 -22 -29 -35 -42 -49 -56 -63 -69 -76
55 -2 -8 -15 -22 -29 -36 -43 -50 -57 -63 -70 -77
60 -2 -9 -16 -23 -30 -36 -43 -50 -57 -64 -71 -78
65 -2 -9 -16 -23 -30 -37 -44 -51 -58 -65 -72 -79
70 -2 -9 -16 -23 -30 -37 -44 -51 -58 -65 -72 -80
75 -3 -10 -17 -24 -31 -38 -45 -52 -59 -66 -73 -80
80 -3 -10 -17 -24 -31 -38 -45 -52 -60 -67 -74 -81
"""


@pytest.mark.parametrize("row", WIND_CHILL.split("\n")[1:-1])
def test_the_whole_wind_chill_chart(row):
    """All 192 cells, halves rounded up."""
    wind, *printed = map(int, row.split())
    reckoned = [
        math.floor(felt_in_wind(temp, wind) + 0.5) for temp in range(5, -51, -5)
    ]
    assert reckoned == printed
    assert [wind_chill(temp, wind) for temp in range(5, -51, -5)] == [
        pytest.approx(felt_in_wind(temp, wind)) for temp in range(5, -51, -5)
    ]


def test_heat_index_of_a_hot_day():
    """90 °F and 60 %: Rothfusz's regression, US Weather Prediction Center."""
    assert heat_index(90, 60) == pytest.approx(99.68, abs=0.01)


@pytest.mark.parametrize(
    ("temp_f", "rh", "printed"),
    [
        (80, 40, 80),
        (86, 90, 105),
        (84, 90, 98),
        (88, 70, 100),
        (90, 60, 100),
        (96, 50, 108),
        (100, 40, 109),
        (104, 55, 137),
        (110, 40, 136),
    ],
)
def test_heat_index_chart(temp_f, rh, printed):
    """Cells of the US National Weather Service's chart, from memory.

    The chart leaves out the adjustment for damp air, which is at most a degree here.
    """
    assert heat_index(temp_f, rh) == pytest.approx(printed, abs=1.1)


def test_heat_index_adjustments():
    """As the same page states them, at a point where each is easy to reckon.

    At 95 °F and 5 %: (13 - 5)/4 times the root of 17/17 comes off, 2 °F. At 82 °F and
    95 %: (95 - 85)/10 times (87 - 82)/5 goes on, 1 °F.
    """

    def regression(t, r):
        powers_t, powers_r = [1, t, t * t], [1, r, r * r]
        table = [
            [-42.379, 10.14333127, -5.481717e-2],
            [2.04901523, -0.22475541, 8.5282e-4],
            [-6.83783e-3, 1.22874e-3, -1.99e-6],
        ]
        return float(np.array(powers_t) @ np.array(table) @ np.array(powers_r))

    assert heat_index(95, 5) == pytest.approx(regression(95, 5) - 2, abs=1e-6)
    assert heat_index(82, 95) == pytest.approx(regression(82, 95) + 1, abs=1e-6)
    assert heat_index(95, 50) == pytest.approx(regression(95, 50), abs=1e-6)


def test_apparent_temperature():
    """The Bureau's formula by hand: 25 °C, 50 %, 2 m/s.

    Saturation 6.105 exp(17.27 * 25 / 262.7) = 31.58 hPa, half of it 15.79, so
    25 + 5.21 - 1.40 - 4.00 = 24.81.
    """
    assert apparent_temperature(25, 50, 2) == pytest.approx(24.81, abs=0.01)


# Rounded tables of wwsc.org.uk and six others, miles an hour and kilometres an hour.
BEAUFORT = [
    (3, (8, 12), (12, 19)),
    (4, (13, 18), (20, 28)),
    (5, (19, 24), (29, 38)),
    (6, (25, 31), (39, 49)),
    (7, (32, 38), (50, 61)),
]


@pytest.mark.parametrize(("force", "mph", "kmh"), BEAUFORT)
def test_beaufort_tables(force, mph, kmh):
    """The tables are rounded, so each end may be half a unit within."""
    for (low, high), unit in ((mph, 0.44704), (kmh, 1 / 3.6)):
        assert beaufort((low + 0.4) * unit) == force
        assert beaufort((high - 0.4) * unit) == force


def test_beaufort_formula():
    """V = 0.836 B^1.5 m/s: 0.84, 2.36, 4.34 ... 18.92 for forces 1 to 8."""
    for force in range(1, 13):
        assert beaufort(0.836 * force**1.5) == force


@pytest.mark.parametrize(
    ("rate", "rain", "shower"),
    [(0.5, "slight", "slight"), (3, "moderate", "moderate"), (60, "heavy", "violent")],
)
def test_rain_classes(rate, rain, shower):
    """The Met Office's, by The Independent, 5 January 1998."""
    assert rain_class(rate) == rain
    assert rain_class(rate, shower=True) == shower


# --- FAO Irrigation and Drainage Paper 56


def test_fao_example_17_bangkok_in_april():
    """Ra 38.06, N 12.31, Rs 22.65, Rn 14.33, ETo 5.72."""
    place = {"latitude": 13 + 44 / 60, "day_of_year": 105}
    assert extraterrestrial_radiation(**place) == pytest.approx(38.06, abs=0.01)
    assert daylight_hours(**place) == pytest.approx(12.31, abs=0.01)
    solar = solar_radiation(8.5, **place)
    assert solar == pytest.approx(22.65, abs=0.01)
    air = {"tmax_c": 34.8, "tmin_c": 25.6, "vapour_kpa": 2.85}
    net = net_radiation_daily(solar, **air, **place, altitude_m=2)
    assert net == pytest.approx(14.33, abs=0.01)
    eto = reference_evapotranspiration_daily(
        **air, wind_ms=2, net_radiation_mj=net, soil_heat_mj=0.14, altitude_m=2
    )
    assert eto == pytest.approx(5.72, abs=0.01)


def test_fao_example_18_uccle_on_6_july():
    """Ra 41.09, N 16.1, Rs 22.07, ea 1.409, Rn 13.28, ETo 3.88 (printed 3.9)."""
    place = {"latitude": 50.8, "day_of_year": 187}
    assert extraterrestrial_radiation(**place) == pytest.approx(41.09, abs=0.01)
    assert daylight_hours(**place) == pytest.approx(16.1, abs=0.05)
    solar = solar_radiation(9.25, **place)
    assert solar == pytest.approx(22.07, abs=0.01)
    vapour = (
        saturation_vapour_pressure(12.3) * 0.84
        + saturation_vapour_pressure(21.5) * 0.63
    ) / 2
    assert vapour == pytest.approx(1.409, abs=0.001)
    air = {"tmax_c": 21.5, "tmin_c": 12.3, "vapour_kpa": vapour}
    net = net_radiation_daily(solar, **air, **place, altitude_m=100)
    assert net == pytest.approx(13.28, abs=0.01)
    wind = wind_at_2m(10 / 3.6, 10)
    assert wind == pytest.approx(2.078, abs=0.001)
    eto = reference_evapotranspiration_daily(
        **air, wind_ms=wind, net_radiation_mj=net, altitude_m=100
    )
    assert eto == pytest.approx(3.88, abs=0.01)


@pytest.mark.parametrize(
    ("temp", "rh", "wind", "net", "soil", "printed"),
    [
        (28, 90, 1.9, -0.100, -0.050, 0.00),
        (38, 52, 3.3, 1.749, 0.175, 0.63),
    ],
)
def test_fao_example_19_an_hour_in_senegal(temp, rh, wind, net, soil, printed):
    """N'Diaye, 1 October, from 2 to 3 at night and in the afternoon (from memory)."""
    eto = reference_evapotranspiration_hourly(
        temp_c=temp,
        rh=rh,
        wind_ms=wind,
        net_radiation_mj=net,
        soil_heat_mj=soil,
        altitude_m=8,
    )
    assert round(eto, 2) == printed


def test_fao_examples_8_9_10_and_14():
    """Ra 32.2 and N 11.7 at 20° S on 3 September; Rio's Rs 14.5; 3.2 m/s is 2.4.

    From memory.
    """
    assert extraterrestrial_radiation(-20, 246) == pytest.approx(32.2, abs=0.05)
    assert daylight_hours(-20, 246) == pytest.approx(11.7, abs=0.05)
    assert solar_radiation(7.1, -22.9, 135) == pytest.approx(14.5, abs=0.05)
    assert wind_at_2m(3.2, 10) == pytest.approx(2.4, abs=0.05)


@pytest.mark.parametrize(
    ("temp", "rh", "wind", "net", "rate"),
    [(16, 75, 3, 0.30, 0.142), (14, 90, 1.5, 0.05, 0.024)],
)
def test_a_wet_crop_dries_as_reckoned_before(temp, rh, wind, net, rate):
    """Two evenings reckoned apart from this code, at 50 m."""
    found = wet_canopy_evaporation(
        temp_c=temp, rh=rh, wind_ms=wind, net_radiation_mj=net, altitude_m=50
    )
    assert found == pytest.approx(rate, abs=0.001)


def test_half_a_millimetre_dries_in_three_hours_and_a_half():
    """Same reckoning."""
    assert drying_hours(0.5, 0.142) == pytest.approx(3.5, abs=0.05)


# --- four real years


def daily_drying(day):
    """Reckon a day's drying at Seattle, half of the possible sun shining."""
    place = {"latitude": 47.4, "day_of_year": day.day.timetuple().tm_yday}
    solar = solar_radiation(daylight_hours(**place) / 2, **place)
    # At night the air cools about to its dew point (FAO-56, eq. 48).
    air = {
        "tmax_c": day.tmax_c,
        "tmin_c": day.tmin_c,
        "vapour_kpa": saturation_vapour_pressure(day.tmin_c),
    }
    return reference_evapotranspiration_daily(
        **air,
        wind_ms=wind_at_2m(day.wind_ms, 10),
        net_radiation_mj=net_radiation_daily(solar, **air, **place, altitude_m=130),
        altitude_m=130,
    )


@pytest.fixture(scope="module")
def seattle():
    return seattle_days()


def test_four_years_of_drying_are_of_the_right_size(seattle):
    """Reference evaporation there is some 650 to 900 mm a year (from memory)."""
    by_month = {month: [] for month in range(1, 13)}
    for day in seattle:
        by_month[day.day.month].append(daily_drying(day))
    means = {month: np.mean(values) for month, values in by_month.items()}
    assert 3.5 < means[7] < 6
    assert 0 < means[12] < 1.2
    assert 600 < sum(map(sum, by_month.values())) / 4 < 1000


def test_four_years_of_water_on_a_crop(seattle):
    """Nothing is made or lost: what falls dries, drips or stands there at the end."""
    rain = np.array([day.rain_mm for day in seattle])
    drying = np.array([daily_drying(day) for day in seattle])
    water = canopy_water(rain, drying, capacity_mm=0.8)
    before = np.concatenate([[0.0], water[:-1]])
    assert ((water >= 0) & (water <= 0.8)).all()
    # It changes by rain less drying, unless it has run dry or over.
    within = (water > 0) & (water < 0.8)
    assert within.sum() > 50
    assert water[within] == pytest.approx((before + rain - drying)[within])
    assert (water[rain > drying + 0.8] == 0.8).all()
    dry_july, dry_january = (
        np.mean(
            [w == 0 for w, d in zip(water, seattle, strict=True) if d.day.month == m]
        )
        for m in (7, 1)
    )
    assert dry_july > 0.8 > 0.5 > dry_january


def test_four_years_of_calls(seattle):
    """No wet or stormy day is ever a go, every call has its reasons, and July is best.

    A day's rain is spread over its 24 hours, for want of an hourly reading.
    """
    share = {month: [] for month in range(1, 13)}
    for day in seattle:
        found = call(
            Conditions(
                rain_mm_per_h=day.rain_mm / 24,
                wind_ms=day.wind_ms,
                temp_c=day.tmax_c,
                minutes_since_thunder=600,
                light_hours=2,
                canopy_wet_mm=min(0.8, day.rain_mm),
            )
        )
        assert found.reasons
        if day.rain_mm >= 2.4 or day.wind_ms >= 10.8:
            assert found.verdict != "go"
        if day.rain_mm >= 12:
            assert found.verdict == "off"
        share[day.day.month].append(found.verdict == "go")
    best = max(share, key=lambda month: np.mean(share[month]))
    assert best == 7
    assert np.mean(share[12]) < 0.4 < 0.7 < np.mean(share[7])


def test_the_days_follow_one_another(seattle):
    """The file has no gap, so that its weather can be read as a chain."""
    assert len(seattle) == 1461
    assert {(b.day - a.day).days for a, b in pairwise(seattle)} == {1}
