"""Names and felt temperatures, wet crops, and the lightning rule."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.weather import (
    Flash,
    apparent_temperature,
    beaufort,
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
    thunder_hold,
    wet_canopy_evaporation,
    wind_at_2m,
    wind_chill,
)
from tests.calc.strategies import (
    humidities,
    latitudes,
    temperatures_c,
    winds_ms,
)

SEVEN = datetime(2026, 8, 15, 19, tzinfo=UTC)
year_days = st.integers(1, 366)
steps_mm = st.lists(
    st.tuples(st.floats(0, 5), st.floats(-0.1, 0.5)), min_size=1, max_size=40
)


def minutes(count):
    return timedelta(minutes=count)


# --- names


@pytest.mark.parametrize(
    ("rate", "rain", "shower"),
    [
        (0, "none", "none"),
        (0.5, "slight", "slight"),
        (0.51, "moderate", "slight"),
        (2, "moderate", "moderate"),
        (4, "moderate", "moderate"),
        (4.1, "heavy", "moderate"),
        (10.1, "heavy", "heavy"),
        (50.1, "heavy", "violent"),
    ],
)
def test_rain_and_showers_have_their_own_names(rate, rain, shower):
    assert rain_class(rate) == rain
    assert rain_class(rate, shower=True) == shower


@given(winds_ms, winds_ms)
def test_more_wind_is_never_a_lower_force(one, other):
    low, high = sorted((one, other))
    assert 0 <= beaufort(low) <= beaufort(high) <= 12


# --- felt temperatures


winds_kmh = st.floats(0, 150)


@given(st.floats(-50, 28), winds_kmh, winds_kmh)
def test_more_wind_never_feels_warmer(temp, one, other):
    """But for a hundredth of a degree where the line for calm air meets the chart's."""
    low, high = sorted((one, other))
    assert felt_in_wind(temp, high) <= felt_in_wind(temp, low) + 0.01


@given(temperatures_c, winds_kmh)
def test_nothing_feels_warmer_than_the_air_or_jumps(temp, wind):
    """A hundredth of a degree or of a kilometre never changes it by a tenth."""
    felt = felt_in_wind(temp, wind)
    assert felt <= temp
    assert felt < felt_in_wind(temp + 0.01, wind) < felt + 0.02
    assert abs(felt_in_wind(temp, wind + 0.01) - felt) < 0.1


@pytest.mark.parametrize(("temp", "wind"), [(10.1, 20), (0, 4.8), (0, 0)])
def test_wind_chill_says_where_it_does_not_apply(temp, wind):
    assert wind_chill(temp, wind) is None


@given(temperatures_c, humidities, winds_ms, winds_ms)
def test_more_wind_never_feels_warmer_in_the_shade_either(temp, rh, one, other):
    low, high = sorted((one, other))
    assert apparent_temperature(temp, rh, high) <= apparent_temperature(temp, rh, low)


def test_in_calm_or_warm_air_it_feels_as_it_is():
    assert felt_in_wind(-20, 0) == -20
    assert felt_in_wind(25, 30) == 25


def test_at_forty_fahrenheit_heat_is_not_felt():
    assert heat_index(40, 90) == 40


@given(st.floats(-20, 88), st.floats(0, 0.5), humidities)
def test_warmer_air_feels_warmer_and_nothing_jumps(temp, more, rh):
    """Half a degree of air is at most three felt, at any seam of the formulas."""
    low, high = heat_index(temp, rh), heat_index(temp + more, rh)
    assert low - 0.2 <= high <= low + 6 * more + 1e-9


@pytest.mark.parametrize(("temp", "rh"), [(113, 90), (140, 100), (104, 60)])
def test_heat_beyond_the_chart_is_refused_by_name(temp, rh):
    with pytest.raises(ValueError, match=r"^temp_f and rh must lie on the chart"):
        heat_index(temp, rh)


# --- wet crops


@given(steps_mm)
def test_water_on_the_crop_stays_between_nothing_and_what_it_holds(steps):
    rain, drying = zip(*steps, strict=True)
    water = canopy_water(rain, drying, capacity_mm=0.8)
    assert water.min() >= 0
    assert water.max() <= 0.8


@given(steps_mm, st.floats(0, 0.8), st.floats(0, 1))
def test_more_rain_never_leaves_it_drier(steps, start, more):
    rain, drying = (np.array(part) for part in zip(*steps, strict=True))
    dry = canopy_water(rain, drying, start_mm=start)
    wet = canopy_water(rain + more, drying, start_mm=start)
    assert (wet >= dry).all()


@given(steps_mm, steps_mm)
def test_two_spells_are_the_first_and_then_the_second(one, two):
    def follow(steps, start=0.0):
        return canopy_water(*zip(*steps, strict=True), start_mm=start)

    first = follow(one)
    assert follow(one + two).tolist() == [*first, *follow(two, first[-1])]


def test_what_it_cannot_hold_drips_off():
    water = canopy_water([0.3, 2.0, 0, 0], [0, 0, 0.3, 0.9], capacity_mm=0.8)
    assert water.tolist() == pytest.approx([0.3, 0.8, 0.5, 0])


def test_it_begins_no_wetter_than_it_can_hold():
    assert canopy_water([0], [0], capacity_mm=0.5, start_mm=3) == [0.5]


@pytest.mark.parametrize(
    ("water", "rate", "hours"),
    [(0.5, 0.25, 2), (0.5, 0, None), (0.5, -0.1, None), (0, -0.1, 0)],
)
def test_how_long_a_wet_crop_takes_to_dry(water, rate, hours):
    assert drying_hours(water, rate) == hours


WET = {"temp_c": 16, "rh": 75, "wind_ms": 3, "net_radiation_mj": 0.3, "altitude_m": 50}


@given(humidities, humidities)
def test_damper_air_never_dries_faster(one, other):
    low, high = sorted((one, other))
    dried = [wet_canopy_evaporation(**WET | {"rh": rh}) for rh in (low, high)]
    assert dried[0] >= dried[1]


@given(temperatures_c, humidities, winds_ms, st.floats(0, 3))
def test_water_on_the_leaves_dries_faster_than_the_leaves_give_it(temp, rh, wind, net):
    air = {"temp_c": temp, "rh": rh, "wind_ms": wind, "net_radiation_mj": net}
    grass = reference_evapotranspiration_hourly(**air, altitude_m=50)
    assert wet_canopy_evaporation(**air, altitude_m=50) >= grass


@given(latitudes, year_days)
def test_the_sun_gives_something_or_nothing_and_never_less(latitude, day):
    assert extraterrestrial_radiation(latitude, day) >= 0
    assert 0 <= daylight_hours(latitude, day) <= 24.0000001


@given(latitudes, year_days, st.floats(0, 24), st.floats(0, 24))
def test_more_sunshine_is_never_less_heat(latitude, day, one, other):
    low, high = sorted((one, other))
    assert solar_radiation(low, latitude, day) <= solar_radiation(high, latitude, day)


def test_in_the_polar_night_the_method_says_that_it_does_not_apply():
    polar = {"latitude": 80, "day_of_year": 355, "altitude_m": 0}
    net = net_radiation_daily(0, tmax_c=-10, tmin_c=-20, vapour_kpa=0.1, **polar)
    assert net is None
    assert solar_radiation(0, 80, 355) == 0


@given(st.floats(0, 30), st.floats(0, 30))
def test_more_sun_on_the_ground_keeps_more(one, other):
    low, high = sorted((one, other))
    summer = {"latitude": 54.6, "day_of_year": 200, "altitude_m": 50}
    air = {"tmax_c": 20, "tmin_c": 10, "vapour_kpa": 1.2}
    kept = [net_radiation_daily(sun, **air, **summer) for sun in (low, high)]
    assert kept[0] <= kept[1]


def test_dry_heat_is_felt_less_and_damp_heat_more():
    """The two adjustments at 85 °F: 12 % takes off, 95 % puts on."""
    assert heat_index(85, 12.9) < heat_index(85, 13.1)
    assert heat_index(85, 90) - heat_index(85, 85) > 2 * (
        heat_index(85, 85) - heat_index(85, 84)
    )


@given(temperatures_c, temperatures_c)
def test_warmer_air_holds_more_vapour(one, other):
    low, high = sorted((one, other))
    assert saturation_vapour_pressure(low) <= saturation_vapour_pressure(high)


# --- lightning


def test_without_a_near_flash_there_is_nothing_to_wait_for():
    assert thunder_hold([]) is None
    assert thunder_hold([Flash(SEVEN, 31)]) is None


def test_work_begins_half_an_hour_after_the_last_thunder():
    assert thunder_hold([(SEVEN, 30)]) == SEVEN + timedelta(seconds=30) + minutes(30)


def test_in_shelter_a_far_thunder_starts_the_wait_afresh():
    flashes = [Flash(SEVEN, 10), Flash(SEVEN + minutes(20), 60)]
    assert thunder_hold(flashes) == SEVEN + minutes(51)


def test_once_the_wait_is_over_a_far_thunder_is_only_far():
    flashes = [Flash(SEVEN, 0), Flash(SEVEN + minutes(40), 60)]
    assert thunder_hold(flashes) == SEVEN + minutes(30)


def test_a_flash_that_nobody_timed_counts_as_near():
    assert thunder_hold([SEVEN]) == thunder_hold([Flash(SEVEN)]) == SEVEN + minutes(30)


def test_the_rules_two_thirties_are_settings():
    assert thunder_hold([Flash(SEVEN, 40)], near_s=45, wait=minutes(45)) == (
        SEVEN + timedelta(seconds=40) + minutes(45)
    )


flashes = st.lists(
    st.builds(
        Flash,
        st.integers(0, 300).map(lambda n: SEVEN + minutes(n)),
        st.none() | st.floats(0, 90),
    ),
    max_size=12,
)


@given(flashes, st.randoms())
def test_the_order_of_the_list_does_not_matter(seen, random):
    assert thunder_hold(random.sample(seen, len(seen))) == thunder_hold(seen)


@given(flashes, flashes)
def test_one_flash_more_never_ends_the_wait_sooner(seen, more):
    before = thunder_hold(seen)
    assert before is None or thunder_hold(seen + more) >= before


@given(flashes)
def test_no_wait_ends_within_half_an_hour_of_its_near_flash(seen):
    resume_at = thunder_hold(seen)
    for flash in seen:
        if flash.bang_s is None or flash.bang_s <= 30:
            assert resume_at >= flash.at + minutes(30)


# --- what cannot be

REFUSED = [
    (lambda x: rain_class(x), "mm_per_h", -1),
    (lambda x: beaufort(x), "speed_ms", -1),
    (lambda x: felt_in_wind(x, 20), "temp_c", 70),
    (lambda x: felt_in_wind(0, x), "wind_kmh", -1),
    (lambda x: wind_chill(x, 20), "temp_c", 70),
    (lambda x: wind_chill(0, x), "wind_kmh", -1),
    (lambda x: apparent_temperature(x, 50, 1), "temp_c", -100),
    (lambda x: apparent_temperature(20, x, 1), "rh", -1),
    (lambda x: apparent_temperature(20, 50, x), "wind_ms", -1),
    (lambda x: heat_index(x, 50), "temp_f", 150),
    (lambda x: heat_index(90, x), "rh", 101),
    (lambda x: wind_at_2m(x, 10), "wind_ms", -1),
    (lambda x: wind_at_2m(3, x), "height_m", 0.4),
    (lambda x: extraterrestrial_radiation(x, 1), "latitude", 91),
    (lambda x: extraterrestrial_radiation(50, x), "day_of_year", 367),
    (lambda x: solar_radiation(x, 50, 1), "sunshine_h", -1),
    (lambda x: canopy_water([x], [0]), "rain_mm", -1),
    (lambda x: canopy_water([0], [x]), "evaporation_mm", float("-inf")),
    (lambda x: canopy_water([0], [0], capacity_mm=x), "capacity_mm", 0),
    (lambda x: canopy_water([0], [0], start_mm=x), "start_mm", -1),
    (lambda x: drying_hours(x, 1), "water_mm", -1),
    (lambda x: drying_hours(1, x), "evaporation_mm_per_h", float("inf")),
    (lambda x: thunder_hold([Flash(SEVEN, x)]), "bang_s", -1),
    (lambda x: thunder_hold([SEVEN], near_s=x), "near_s", 0),
]


@pytest.mark.parametrize(("function", "name", "wrong"), REFUSED)
def test_what_cannot_be_is_refused_by_name(function, name, wrong):
    for value in (wrong, float("nan")):
        with pytest.raises(ValueError, match=f"^{name} must"):
            function(value)


DAY = {
    "tmax_c": 20,
    "tmin_c": 10,
    "vapour_kpa": 1.2,
    "wind_ms": 2,
    "net_radiation_mj": 10,
    "soil_heat_mj": 0,
    "altitude_m": 50,
}
NET = {
    "solar_mj": 20,
    "tmax_c": 20,
    "tmin_c": 10,
    "vapour_kpa": 1.2,
    "latitude": 54,
    "day_of_year": 200,
    "altitude_m": 50,
}


@pytest.mark.parametrize("name", DAY)
def test_a_days_evaporation_refuses_by_name(name):
    with pytest.raises(ValueError, match=f"^{name} must be a finite number"):
        reference_evapotranspiration_daily(**DAY | {name: float("nan")})


@pytest.mark.parametrize("name", NET)
def test_net_radiation_refuses_by_name(name):
    with pytest.raises(ValueError, match=f"^{name} must be a finite number"):
        net_radiation_daily(**NET | {name: float("inf")})


@pytest.mark.parametrize("name", WET)
@pytest.mark.parametrize(
    "function", [wet_canopy_evaporation, reference_evapotranspiration_hourly]
)
def test_an_hours_evaporation_refuses_by_name(function, name):
    with pytest.raises(ValueError, match=f"^{name} must be a finite number"):
        function(**WET | {name: float("nan")})


def test_no_field_lies_above_the_mountains():
    with pytest.raises(ValueError, match="altitude_m must lie from -500 to 9000"):
        wet_canopy_evaporation(**WET | {"altitude_m": 50_000})


def test_rain_and_drying_go_step_by_step():
    with pytest.raises(ValueError, match="must be of one length"):
        canopy_water([1, 2], [1])
    with pytest.raises(ValueError, match="rain_mm must be one row of numbers"):
        canopy_water([[1]], [1])


def test_a_flash_needs_a_time_that_everybody_understands():
    with pytest.raises(ValueError, match="flashes must have aware times"):
        thunder_hold([SEVEN.replace(tzinfo=None)])


def test_the_forces_follow_one_another():
    speeds = [n / 10 for n in range(400)]
    assert {b - a for a, b in pairwise(map(beaufort, speeds))} == {0, 1}
