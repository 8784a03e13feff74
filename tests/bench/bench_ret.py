"""How many times faster the ret and the rota are than a plain way, or a promise.

Run by hand: ``python -m tests.bench.bench_ret``. It prints ratios, since seconds say
more of the machine than of the code.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from time import perf_counter

import numpy as np

from heritage.calc.retting import Reading, curve, forecast, progress, rate
from heritage.calc.rota import Person, Rota, Slot, plan

RETS, DAYS = 1_000, 60
START = datetime(2026, 8, 20, tzinfo=UTC)
ROTA_SECONDS = 5.0


def seconds(work: Callable[[], object]) -> float:
    """Return the best of three runs."""
    best = float("inf")
    for _ in range(3):
        began = perf_counter()
        work()
        best = min(best, perf_counter() - began)
    return best


def plain_progress(times: list[datetime], temps: list[float]) -> list[float]:
    """Return one ret's progress, a reading at a time."""
    behind = [0.0]
    for n in range(1, len(times)):
        days = (times[n] - times[n - 1]) / timedelta(days=1)
        behind.append(behind[-1] + days * (rate(temps[n - 1]) + rate(temps[n])) / 2)
    return behind


def bench_progress() -> None:
    """Compare all rets at once with one reading at a time."""
    times = [START + timedelta(hours=n) for n in range(DAYS * 24 + 1)]
    temps = np.random.default_rng(1).uniform(10, 22, size=(RETS, len(times)))
    few = 10
    plain = seconds(
        lambda: [plain_progress(times, row.tolist()) for row in temps[:few]]
    )
    at_once = seconds(lambda: progress(times, temps))
    assert np.allclose(
        progress(times, temps)[0], plain_progress(times, temps[0].tolist())
    )
    print(
        f"progress of {RETS} rets of {DAYS} days, hourly: all at once is "
        f"{plain * RETS / few / at_once:,.0f} times as fast as a plain loop"
    )


def bench_forecast() -> None:
    """Compare a page's forecast and curve with a tenth of a second."""
    log = [Reading(START + timedelta(hours=12 * n), 15 + n % 4) for n in range(28)]
    took = seconds(lambda: (forecast(log, 15.0), curve(log, 15.0)))
    print(
        f"forecast and curve of one ret: {0.1 / took:,.0f} times within a page's 0.1 s"
    )


def crowd(seed: int, free: float) -> tuple[list[Slot], list[Person]]:
    """Return 28 slots and 60 people who are free now and then."""
    rng = np.random.default_rng(seed)
    slots = [
        Slot(f"{day} {part}", date(2026, 8, 21) + timedelta(days=day))
        for day in range(14)
        for part in ("morning", "evening")
    ]
    people = [
        Person(
            f"P{n:02}",
            frozenset(slot.name for slot in slots if rng.random() < free),
            experienced=bool(rng.random() < 0.4),
            most=[None, None, 1, 2][rng.integers(4)],
            costs={slot.name: float(rng.integers(0, 9)) for slot in slots},
        )
        for n in range(60)
    ]
    return slots, people


def bench_rota() -> None:
    """Compare a proven rota of 60 people and 28 slots with its promise."""
    for free in (0.15, 0.3, 0.5, 0.8):
        took, proven = 0.0, True
        for seed in range(4):
            slots, people = crowd(seed, free)
            began = perf_counter()
            rota: Rota = plan(slots, people)
            took = max(took, perf_counter() - began)
            proven &= rota.proven
        print(
            f"rota of 60 people, 28 slots, each free for {free:.0%}: worst of four is "
            f"{ROTA_SECONDS / took:,.1f} times within {ROTA_SECONDS:.0f} s, "
            f"{'all proven' if proven else 'NOT all proven'}"
        )


if __name__ == "__main__":
    bench_progress()
    bench_forecast()
    bench_rota()
