"""How many times within its promise a log of 50,000 readings is taken in and shown.

Run by hand, on a database of its own that it makes and throws away:
``python -m tests.bench.bench_readings``. It prints ratios and counts of queries, since
seconds say more of the machine than of the code.
"""

import os
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

READINGS, FEW = 50_000, 24
START = datetime(2026, 8, 1, 8, tzinfo=UTC)
NOW = START + timedelta(days=18)
TAKEN_IN_SECONDS, TIMES_BARE = 10.0, 4.0


def log_of(count: int) -> bytes:
    """Write a log whose water swings by day, one reading every so many seconds."""
    step = (NOW - START) / (count + 1)
    rows = ["Date Time,Water °C"]
    for n in range(1, count + 1):
        at = START + n * step
        temp = 16 + 1.5 * ((at.hour * 60 + at.minute) % 720) / 720
        rows.append(f"{at:%Y-%m-%d %H:%M:%S}Z,{temp:.2f}")
    return "\n".join(rows).encode()


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    began = perf_counter()
    answer = work()
    return perf_counter() - began, answer


def best(work: Callable[[], Any]) -> float:
    """Return the best of five runs, in seconds."""
    return min(timed(work)[0] for _ in range(5))


def take_in(client: Any, ret: Any, count: int) -> float:
    """Send a log by the pages, as somebody does, and return the seconds of both."""
    from django.core.files.uploadedfile import SimpleUploadedFile
    from django.urls import reverse

    keys = [ret.dam.demonstration.slug, ret.pk]
    file = SimpleUploadedFile("log.csv", log_of(count), content_type="text/csv")
    look = reverse("dam:readings_import", args=keys)
    looked, page = timed(lambda: client.post(look, {"file": file}))
    form = page.context["form"].initial
    said = {"held": form["held"]}
    confirm = reverse("dam:readings_confirm", args=keys)
    kept, _page = timed(lambda: _whole(client.post(confirm, said)))
    print(
        f"{count:,} readings: looked at {TAKEN_IN_SECONDS / looked:.1f} and saved "
        f"{TAKEN_IN_SECONDS / kept:.1f} times within {TAKEN_IN_SECONDS:.0f} s"
    )
    return looked + kept


def _whole(response: Any) -> bytes:
    return b"".join(response.streaming_content) if response.streaming else b""


def queries_of(work: Callable[[], Any]) -> int:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as queries:
        work()
    return len(queries)


def bench() -> None:
    """Compare a ret with a long log with one of a few readings."""
    from django.test import Client

    from heritage.common import clock
    from heritage.dam.models import Reading
    from tests import factories

    clock.now = lambda: NOW
    where = factories.make_demonstration()
    user = factories.make_organiser(demonstration=where).user
    client = Client()
    client.force_login(user)
    dams = [factories.make_dam(demonstration=where, name=name) for name in "AB"]
    few, many = (factories.make_ret(dam=dam, began_at=START) for dam in dams)
    take_in(client, few, FEW)
    busy = process_time()
    took = take_in(client, many, READINGS)
    busy = process_time() - busy
    held = Reading.objects.in_ret(many).count()
    print(
        f"both presses, {held:,} rows: {TAKEN_IN_SECONDS / took:.1f} times within it, "
        f"by the time this process had {TAKEN_IN_SECONDS / busy:.1f} times"
    )
    for name, rows in {"ret": (few, many), "dam": (few.dam, many.dam)}.items():
        paths = [row.get_absolute_url() for row in rows]
        bare, full = (best(lambda path=path: client.get(path)) for path in paths)
        counts = [queries_of(lambda path=path: client.get(path)) for path in paths]
        print(
            f"page of the {name}: {full / bare:.2f} x that with {FEW} readings "
            f"(promised under {TIMES_BARE:.0f}), queries {counts}"
        )


def main() -> None:
    """Make two rets, compare, and throw them away."""
    with tempfile.TemporaryDirectory() as folder:
        if "postgres" not in os.environ.get("DATABASE_URL", ""):
            os.environ["DATABASE_URL"] = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.test.utils import (
            setup_databases,
            setup_test_environment,
            teardown_databases,
        )

        setup_test_environment()
        made = setup_databases(verbosity=0, interactive=False)
        try:
            bench()
        finally:
            teardown_databases(made, verbosity=0)


if __name__ == "__main__":
    main()
