"""How many times faster the forecast and the light are than a plain way, or a promise.

Run by hand: ``python -m tests.bench.bench_calc``. It prints ratios, since seconds say
more of the machine than of the code. The ret and the rota have a file of their own.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from time import perf_counter

import ephem
import numpy as np

from heritage.calc.daylight import sun_times, working_window
from heritage.calc.pulling import (
    Evening,
    finish_forecast,
    simulate_finish,
    turnout_capacity,
)

BEETS, EVENINGS = 5_000, 60
FORECAST_SECONDS = 0.05
# Four standard errors of a chance of one half are one point in a hundred.
POINT = 0.01
RUNS = round(0.25 * (4 / POINT) ** 2)
START = date(2026, 7, 20)
CARROWLINT = {"latitude": 54.5, "longitude": -6.3, "timezone": "Europe/London"}
SEASON = {"wet_to_dry": 0.4, "dry_to_dry": 0.65, "last_was_dry": True}


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """Return the best of a few runs."""
    best = float("inf")
    for _ in range(times):
        began = perf_counter()
        work()
        best = min(best, perf_counter() - began)
    return best


def season(capacity: int | tuple[tuple[int, float], ...]) -> list[Evening]:
    """Lay out evenings on every day."""
    return [Evening(START + timedelta(days=n), capacity) for n in range(EVENINGS)]


def bench_finish_promise() -> None:
    """Compare the forecast with the time that a page may take for it."""
    for name, capacity in (
        ("each evening's capacity known", 150),
        ("a turnout of 30 uncertain", turnout_capacity(30, 10)),
    ):
        outlook = season(capacity)
        took = seconds(partial(finish_forecast, BEETS, outlook, **SEASON))
        print(
            f"finish of {BEETS:,} beets over {EVENINGS} evenings, {name}: "
            f"{FORECAST_SECONDS / took:,.0f} times within "
            f"{FORECAST_SECONDS * 1000:.0f} ms"
        )


def bench_finish_against_simulation() -> None:
    """Compare the forecast with a simulation as near as one point in a hundred."""
    outlook = season(turnout_capacity(30, 10))
    exact = seconds(lambda: finish_forecast(BEETS, outlook, **SEASON))
    drawn = seconds(
        lambda: simulate_finish(BEETS, outlook, **SEASON, runs=RUNS, seed=1), times=2
    )
    paths = simulate_finish(BEETS, outlook, **SEASON, runs=RUNS, seed=1)
    chances = list(finish_forecast(BEETS, outlook, **SEASON).chance_by_day.values())
    off = np.abs((paths == 0).mean(axis=0) - chances).max()
    assert off <= POINT
    print(
        f"the same, exact: {drawn / exact:,.0f} times as fast as {RUNS:,} runs, which "
        f"were off by {100 * off:.2f} points; to be off by a millionth they would "
        f"have to be {(POINT / 1e-6) ** 2:,.0f} times as many"
    )


def bench_daylight() -> None:
    """Compare a season's light with ephem's own search for the same moments."""
    days = [START + timedelta(days=n) for n in range(EVENINGS)]
    ours = seconds(lambda: [sun_times(day, **CARROWLINT) for day in days])
    theirs = seconds(lambda: [ephems_own(day) for day in days])
    windows = seconds(
        lambda: [working_window(day, **CARROWLINT, earliest=time(18)) for day in days]
    )
    print(
        f"light of {EVENINGS} days: {theirs / ours:,.2f} times as fast as ephem's own "
        f"search, which gives up near the polar day; windows for work take "
        f"{windows / ours:,.2f} of that"
    )


def ephems_own(day: date) -> list[datetime]:
    """Ask ephem for the same five moments."""
    place, sun = ephem.Observer(), ephem.Sun()
    place.lat, place.lon, place.pressure = "54.5", "-6.3", 0
    place.date = datetime.combine(day, time(12))
    found = [place.next_transit(sun)]
    for horizon in ("-0:50", "-6"):
        place.horizon = horizon
        found += [
            place.previous_rising(sun, use_center=True),
            place.next_setting(sun, use_center=True),
        ]
    return [at.datetime().replace(tzinfo=UTC) for at in found]


if __name__ == "__main__":
    bench_finish_promise()
    bench_finish_against_simulation()
    bench_daylight()
