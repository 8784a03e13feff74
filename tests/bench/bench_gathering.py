"""What a gathering's page of 300 sign-ups costs beside one of 3.

Run by hand, on a database of its own that it makes and throws away:
``python -m tests.bench.bench_gathering``. It prints ratios and counts of queries,
since seconds say more of the machine than of the code.
"""

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter
from typing import Any

SIZES = (3, 300)


def seconds(work: Callable[[], object]) -> float:
    """Return the best of five runs."""
    best = float("inf")
    for _ in range(5):
        began = perf_counter()
        work()
        best = min(best, perf_counter() - began)
    return best


def make_evening(where: Any, lead: Any, size: int) -> Any:
    """Make an evening of four stations; every second person also wishes for another."""
    from heritage.gatherings.models import SignUp
    from tests import factories

    gathering = factories.make_gathering(demonstration=where, lead=lead)
    stations = [
        factories.make_station(gathering=gathering, places=max(1, size // 5), fewest=1)
        for _ in range(4)
    ]
    for number in range(size):
        station = stations[number % 4]
        held = number // 4 < station.places
        entry: SignUp = factories.make_sign_up(
            station=station, status="held" if held else "waiting"
        )
        if number % 2:
            entry.also.add(stations[(number + 1) % 4])
    return gathering


def bench(name: str, open_page: Callable[[Any], object], evenings: list[Any]) -> None:
    """Print the queries of both pages, and the ratio of the large to the small."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    counts, times = [], []
    for evening in evenings:
        with CaptureQueriesContext(connection) as queries:
            open_page(evening)
        counts.append(len(queries))
        times.append(seconds(lambda row=evening: open_page(row)))  # type: ignore[misc]
    print(
        f"{name}: {counts[0]} and {counts[1]} queries, "
        f"{times[1] / times[0]:.1f} x the time of {SIZES[0]} for {SIZES[1]}"
    )


def pages(where: Any, evenings: list[Any], readers: dict[str, Any]) -> None:
    """Open the page as each reader, and the suggestion as the lead."""
    from django.test import Client
    from django.urls import reverse

    def opener(reader: Any, view: str) -> Callable[[Any], object]:
        client = Client()
        if reader:
            client.force_login(reader.user)

        def open_page(evening: Any) -> object:
            address = reverse(f"gatherings:{view}", args=[where.slug, evening.pk])
            answer = client.get(address)
            assert answer.status_code == 200, answer.status_code
            return answer

        return open_page

    for name, reader in readers.items():
        bench(f"the page, as {name}", opener(reader, "gathering"), evenings)
    bench("the suggestion", opener(readers["lead"], "suggestion"), evenings)


def main() -> None:
    """Make the evenings, open their pages, and throw them away."""
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
            from heritage.common import clock
            from tests import factories

            clock.now = lambda: factories.NOW
            where = factories.make_demonstration()
            lead = factories.make_volunteer(demonstration=where)
            readers = {
                "visitor": None,
                "volunteer": factories.make_volunteer(demonstration=where),
                "lead": lead,
                "organiser": factories.make_organiser(demonstration=where),
            }
            evenings = [make_evening(where, lead, size) for size in SIZES]
            pages(where, evenings, readers)
        finally:
            teardown_databases(made, verbosity=0)


if __name__ == "__main__":
    main()
