"""The ret against published rets, numerical integration, and real air."""

from datetime import UTC, datetime, timedelta
from math import exp, pi, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.signal import lfilter
from vega_datasets import local_data

from heritage.calc.retting import (
    DEW_BAND,
    KnownBy,
    Reading,
    curve,
    days_at,
    dew_days,
    forecast,
    pond_temperature,
    progress,
    rate,
)
from tests.calc.strategies_water import days_band

NEAR = pytest.approx
START = datetime(2026, 8, 20, 19, 30, tzinfo=UTC)
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


# Published rets. Not independent: these points helped to set the constants.


def test_chessons_ret_at_32_degrees():
    """Chesson (1978): 70 h for 83 per cent of the pectin; 2.5 to 3.8 d as read here."""
    assert 2.5 <= days_at(32.0) <= 3.8
    assert days_at(32.0) == NEAR(3.08, abs=0.005)


def test_paris_at_32_degrees():
    """Univ. P. & M. Curie (snv.jussieu.fr): about 3 days."""
    band = days_band(32.0)
    assert band.low <= 3.0 <= band.high


@pytest.mark.parametrize("room", [20.0, 21.5, 23.0])
def test_ruans_six_days_in_a_room(room):
    """Ruan et al., BioResources 10 (2015) 3553-3563; the warmth is inferred."""
    band = days_band(room)
    assert band.low <= 6.0 <= band.high


def test_the_flax_societys_directions():
    """NZ Spectator, 3 June 1846: 8 to 14 days; the warmth of 15.5 is inferred."""
    assert 8 <= days_at(15.5) <= 14
    assert days_at(15.5) == NEAR(10.5, abs=0.05)


# Days in the dam in twelve reports, by the middle of what each says: the Flax Society
# 1846 (8 to 14), newryjournal.co.uk (8 to 9), duchas 5237068 (9), duchas 0185:0060 (9
# to 10), the Illustrated London News 1859 (8 to 10), McSorley 1989 and
# irishlinenmills.com (10 to 14 both), Britain at Work 1902 (14), duchas 0208:398 (7), a
# school reader (10 to 12), duchas 0487:476 and 4458678 (21 both).
IRISH = [(8 * 14) ** 0.5, 72**0.5, 9, 90**0.5, 80**0.5, 140**0.5, 140**0.5, 14, 7]
IRISH += [120**0.5, 21, 21]


def test_ten_of_twelve_irish_reports_lie_in_the_seasons_band():
    """Not independent: their scatter of 0.34 is the band's; their water unmeasured."""
    logs = np.log(IRISH)
    assert exp(logs.mean()) == NEAR(11.3, abs=0.05)
    assert logs.std(ddof=1) == NEAR(0.34, abs=0.005)
    band = days_band(15.5, known_by=KnownBy.SEASON)
    outside = [days for days in IRISH if not band.low <= days <= band.high]
    assert outside == [21, 21]


@pytest.mark.parametrize("days", [21, 28])
def test_bog_holes_lie_outside_the_band(days):
    """Limerick and Kerry (duchas): cold or peaty water can double the time."""
    assert days > days_band(15.5).high


@pytest.mark.parametrize(
    ("temp", "days", "per_day"),
    [
        (10, 15.7, 0.0635),
        (12, 13.6, 0.0736),
        (14, 11.7, 0.0854),
        (15.5, 10.5, 0.0955),
        (16, 10.1, 0.0991),
        (18, 8.7, 0.1149),
        (20, 7.5, 0.1333),
        (22, 6.5, 0.1547),
        (25, 5.2, 0.1932),
        (28, 4.1, 0.2414),
        (30, 3.6, 0.2800),
        (32, 3.1, 0.3248),
        (33, 2.9, 0.3498),
        (40, 2.9, 0.3498),
    ],
)
def test_the_curve_as_it_was_fitted(temp, days, per_day):
    """Worked out beforehand from the same two constants: guards against slips only."""
    assert days_at(temp) == NEAR(days, abs=0.06)
    assert rate(temp) == NEAR(per_day, abs=0.00005)


def test_the_curves_energy_is_that_of_enzymes():
    """Q10 2.1 about 20 degrees is some 53 kJ/mol; fits to the sources gave 44 to 57."""
    gas, warm, cold = 8.314, 298.15, 288.15
    energy = gas * np.log(rate(25.0) / rate(15.0)) / (1 / cold - 1 / warm)
    assert 44_000 <= energy <= 57_000


@pytest.mark.parametrize(
    ("air", "days"), [(25.5, 16.6), (19.0, 26.1)], ids=["July", "September"]
)
def test_virginias_dew_rets(air, days):
    """motherearthnews.com (2017): 17 days in July, 21 or more in late September.

    Not independent: the air's warmth is assumed to suit.
    """
    band = dew_days(air)
    assert band.likely == NEAR(days, abs=0.05)
    assert band.low <= {25.5: 17, 19.0: 21}[air] <= band.high


@pytest.mark.parametrize(("days", "inside"), [(17, True), (56, True), (90, False)])
def test_the_dew_band_holds_most_published_lengths(days, inside):
    """17 days to 8 weeks are common; France's 90 days need a dry summer."""
    band = DEW_BAND.scaled(28.0)
    assert (band.low <= days <= band.high) is inside
    assert dew_days(14.0, damp_share=0.6).high >= 90


# scipy's integrators.


@given(st.floats(13, 25), st.floats(0, 6), st.floats(0.5, 3))
@settings(max_examples=40, deadline=None)
def test_hourly_progress_is_the_integral_of_the_rate(mean, swing, period):
    """Trapezium at hourly steps against adaptive quadrature of a swinging pond."""
    hours = np.arange(10 * 24 + 1)

    def temp(day):
        return mean + swing * sin(2 * pi * day / period)

    times = [START + int(hour) * HOUR for hour in hours]
    ours = progress(times, [temp(hour / 24) for hour in hours])[-1]
    integral, _ = quad(lambda day: rate(temp(day)), 0, 10, limit=400)
    assert ours == NEAR(integral, rel=2e-3)


@given(st.lists(st.floats(8, 32), min_size=3, max_size=12))
@settings(max_examples=40, deadline=None)
def test_the_likely_date_is_where_an_integrator_reaches_one(temps):
    """Scipy's solve_ivp, with the rate on straight lines between the readings."""
    log = [Reading(START + n * 30 * HOUR, temp) for n, temp in enumerate(temps)]
    days = np.array([1.25 * n for n in range(len(temps))])
    rates = rate(np.array(temps))

    def crosses(_, behind):
        return behind[0] - 1

    crosses.terminal = True
    found = solve_ivp(
        lambda day, _: [np.interp(day, days, rates)],
        (0, 60),
        [0.0],
        events=crosses,
        max_step=0.125,
        rtol=1e-10,
        atol=1e-10,
    )
    told = forecast(log[:1], log[1:])
    assert (told.likely - START) / DAY == NEAR(found.t_events[0][0], abs=2e-3)


@given(st.lists(st.floats(0, 30), min_size=1, max_size=40), st.floats(0.3, 2.0))
def test_the_pond_is_a_first_order_filter(air, depth):
    """scipy.signal.lfilter with the same time constant."""
    share = 1 - exp(-0.6 / depth)
    want, _ = lfilter([share], [1, share - 1], air, zi=[(1 - share) * 12.0])
    ours = pond_temperature(air, depth_m=depth, start_c=12.0, offset_c=0.0)
    assert ours == NEAR(want)


def test_the_pond_solves_newtons_law_of_cooling():
    """scipy.integrate.solve_ivp of dT/dt = (air - T) / lag over steady days."""
    air, lag = [14.0, 20.0, 11.0, 17.0], 1.2 / 0.6
    warmth = 12.0
    for target in air:
        law = solve_ivp(
            lambda _, t, target=target: (target - t) / lag, (0, 1), [warmth], rtol=1e-9
        )
        warmth = law.y[0, -1]
    ours = pond_temperature(air, depth_m=1.2, start_c=12.0, offset_c=0.0)
    assert ours[-1] == NEAR(warmth, rel=1e-6)


def test_montanas_lag_weights():
    """Univ. Montana (esg.montana.edu): 0.62413, 0.26411, 0.11176 over three days.

    They sum to 1 and fall by 0.4232 twice; a pond of the same lag weighs days alike.
    """
    montana = np.array([0.62413, 0.26411, 0.11176])
    assert montana.sum() == NEAR(1.0)
    assert montana[1:] / montana[:-1] == NEAR(np.array([0.4232, 0.4232]), abs=5e-5)
    depth = 0.6 / -np.log(0.42316)
    pulse = pond_temperature([1, 0, 0], depth_m=depth, start_c=0, offset_c=0)
    assert pulse / pulse.sum() == NEAR(montana, abs=5e-5)


# Real air, from files that the vega_datasets package ships.


@pytest.fixture(scope="module")
def seattle():
    """Return four years of daily mean air temperature in Seattle."""
    table = local_data.seattle_weather()
    return ((table["temp_max"] + table["temp_min"]) / 2).to_numpy()


@pytest.mark.parametrize(("depth", "days_behind"), [(0.6, 0), (1.2, 1), (2.0, 1)])
def test_real_water_lags_and_damps_the_air(seattle, depth, days_behind):
    water = pond_temperature(seattle, depth_m=depth, offset_c=0.0)
    assert water.std() < seattle.std()
    assert np.diff(water).std() < 0.7 * np.diff(seattle).std()
    assert water.mean() == NEAR(seattle.mean(), abs=0.1)
    month = np.ones(31) / 31
    air_swings, water_swings = (
        values - np.convolve(values, month, mode="same") for values in (seattle, water)
    )
    match = [
        np.corrcoef(air_swings[40:-40], water_swings[40 + lag : lag - 40])[0, 1]
        for lag in range(-3, 7)
    ]
    assert int(np.argmax(match)) - 3 == days_behind


def test_real_deeper_water_is_slower_still(seattle):
    spreads = [
        np.diff(pond_temperature(seattle, depth_m=depth)).std()
        for depth in (0.3, 0.6, 1.2, 2.0)
    ]
    assert spreads == sorted(spreads, reverse=True)


def test_a_ret_through_a_real_september_is_ready_in_time(seattle):
    """In water of Seattle's 20 August 2012 onwards, a ret takes one to two weeks."""
    water = pond_temperature(seattle, depth_m=1.2)[232:272]
    log = [Reading(START + n * DAY, float(t)) for n, t in enumerate(water)]
    told = forecast(log[:4], log[4:])
    assert 5 <= (told.likely - START) / DAY <= 14
    drawn = curve(log[:4], log[4:])
    assert drawn.times[-1] == told.late


def test_swings_of_a_real_day_hasten_the_ret():
    """Hourly air of San Francisco, taken as water: the rate of the mean falls short."""
    table = local_data.sf_temps()
    temps = (table["temp"].to_numpy()[: 10 * 24 + 1] - 32) / 1.8
    times = [START + n * HOUR for n in range(temps.size)]
    mean = float(np.trapezoid(temps) / (temps.size - 1))
    assert progress(times, temps)[-1] > 10 * rate(mean)
