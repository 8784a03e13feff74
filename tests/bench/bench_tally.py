"""How near the tally's pages come to the bare SQL, and how quick a what-if is.

Run by hand, on a database of its own that it makes and throws away:
``python -m tests.bench.bench_tally``. It prints ratios and counts of queries, since
seconds say more of the machine than of the code; the one promise in milliseconds,
that of the what-if, is printed as how many times it is kept.
"""

import os
import random
import tempfile
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from time import perf_counter
from typing import Any

ENTRIES, PEOPLE, EVENINGS, PLOTS = 200_000, 2_000, 40, 4
START = datetime(2026, 7, 1, 17, 30, tzinfo=UTC)
NOW = START + timedelta(days=EVENINGS, hours=3)
WHAT_IF_SECONDS = 0.150

# Seconds between coming and leaving, in each database's own words.
STAY = {
    "sqlite": "CAST((julianday(left_at) - julianday(arrived_at)) * 86400 AS INTEGER)",
    "postgresql": "CAST(EXTRACT(EPOCH FROM left_at - arrived_at) AS INTEGER)",
}
# The figures of the members' board, each as plain SQL over the same rows.
BOARD = [
    "SELECT p.id, p.area_m2, a.gathering_id, a.area_m2, (SELECT SUM(e.beets) FROM "
    "tally_entry e WHERE e.gathering_id = a.gathering_id AND e.plot_id = p.id) FROM "
    "season_plot p LEFT JOIN tally_pulledarea a ON a.plot_id = p.id "
    "WHERE p.demonstration_id = %(d)s",
    "SELECT e.plot_id, SUM(beets) FROM tally_entry e JOIN gatherings_gathering g "
    "ON g.id = e.gathering_id WHERE g.demonstration_id = %(d)s GROUP BY 1",
    "SELECT gathering_id, SUM(beets), COUNT(DISTINCT volunteer_id) FROM tally_entry e "
    "JOIN gatherings_gathering g ON g.id = e.gathering_id "
    "WHERE g.demonstration_id = %(d)s GROUP BY 1",
    "SELECT * FROM gatherings_gathering WHERE demonstration_id = %(d)s",
    "SELECT volunteer_id, gathering_id, SUM(beets) AS s FROM tally_entry e "
    "JOIN gatherings_gathering g ON g.id = e.gathering_id WHERE g.demonstration_id = "
    "%(d)s GROUP BY 1, 2 ORDER BY s DESC LIMIT 1",
    "SELECT kind, SUM(amount) FROM tally_work w JOIN gatherings_gathering g "
    "ON g.id = w.gathering_id WHERE g.demonstration_id = %(d)s GROUP BY 1",
]
PEOPLE_OF_BOARD = [
    "SELECT volunteer_id, SUM(STAY) FROM gatherings_turnout t "
    "JOIN gatherings_gathering g ON g.id = t.gathering_id "
    "WHERE g.demonstration_id = %(d)s AND left_at IS NOT NULL GROUP BY 1",
    "SELECT volunteer_id, SUM(beets), COUNT(DISTINCT gathering_id) FROM tally_entry e "
    "JOIN gatherings_gathering g ON g.id = e.gathering_id "
    "WHERE g.demonstration_id = %(d)s GROUP BY 1",
    "SELECT * FROM people_volunteer WHERE demonstration_id = %(d)s",
]
STATEMENTS = [
    "SELECT volunteer_id, gathering_id, SUM(beets) FROM tally_entry e "
    "JOIN gatherings_gathering g ON g.id = e.gathering_id "
    "WHERE g.demonstration_id = %(d)s GROUP BY 1, 2",
    "SELECT volunteer_id, gathering_id, STAY FROM gatherings_turnout t "
    "JOIN gatherings_gathering g ON g.id = t.gathering_id "
    "WHERE g.demonstration_id = %(d)s AND left_at IS NOT NULL",
    BOARD[3],
    PEOPLE_OF_BOARD[2],
]


def seconds(work: Callable[[], object]) -> float:
    """Return the best of five runs."""
    best = float("inf")
    for _ in range(5):
        began = perf_counter()
        work()
        best = min(best, perf_counter() - began)
    return best


def make_season() -> Any:
    """Fill the database: evenings past with their entries, and evenings ahead."""
    from heritage.gatherings.models import Gathering, SignUp, Turnout
    from heritage.people.models import Volunteer
    from heritage.tally.models import Entry, PulledArea
    from tests import factories

    chance = random.Random(6)
    demonstration = factories.make_demonstration(token_rate_farthings=48)
    here = {"demonstration": demonstration}
    user = factories.make_user()
    plots = [factories.make_plot(area_m2=Decimal(90_000), **here) for _ in range(PLOTS)]
    people = Volunteer.objects.bulk_create(
        Volunteer(name=f"Person {n}", joined_at=START, **here) for n in range(PEOPLE)
    )
    evenings = [
        factories.make_gathering(
            starts_at=START + timedelta(days=n),
            ends_at=START + timedelta(days=n, hours=2),
            plot=plots[n % PLOTS],
            **here,
        )
        for n in range(2 * EVENINGS)
    ]
    past, ahead = evenings[:EVENINGS], evenings[EVENINGS:]
    here_then: set[tuple[int, int]] = set()
    entries = []
    for _ in range(ENTRIES):
        evening, person = chance.choice(past), chance.choice(people)
        here_then.add((evening.pk, person.pk))
        entries.append(
            Entry(
                gathering=evening,
                volunteer=person,
                plot=evening.plot,
                beets=chance.randint(1, 5),
                entered_at=evening.ends_at,
                entered_by=user,
            )
        )
    Entry.objects.bulk_create(entries, batch_size=5_000)
    by_pk: dict[int, Gathering] = {row.pk: row for row in past}
    Turnout.objects.bulk_create(
        (
            Turnout(
                gathering_id=evening,
                volunteer_id=person,
                arrived_at=by_pk[evening].starts_at,
                left_at=by_pk[evening].ends_at,
            )
            for evening, person in sorted(here_then)
        ),
        batch_size=5_000,
    )
    for evening in past[::3]:
        PulledArea.objects.create(
            gathering=evening,
            plot=evening.plot,
            area_m2=Decimal(1_500),
            entered_at=NOW,
            entered_by=user,
        )
    for evening in ahead:
        station = factories.make_station(gathering=evening, places=500)
        SignUp.objects.bulk_create(
            SignUp(
                gathering=evening,
                station=station,
                volunteer=person,
                status="held",
                asked_at=START,
                changed_at=START,
            )
            for person in chance.sample(people, 60)
        )
    return demonstration


def bare(statements: list[str], demonstration: Any) -> Callable[[], None]:
    """Return the work of running plain SQL and fetching every row."""
    from django.db import connection

    def run() -> None:
        with connection.cursor() as cursor:
            for statement in statements:
                stay = STAY[connection.vendor]
                cursor.execute(statement.replace("STAY", stay), {"d": demonstration.pk})
                cursor.fetchall()

    return run


def compare(name: str, page: Callable[[], object], sql: Callable[[], None]) -> None:
    """Print how many times the bare SQL's time a page's figures take."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as queries:
        page()
    print(f"{name}: {len(queries)} queries, {seconds(page) / seconds(sql):.2f} x SQL")


def bench_pages(demonstration: Any) -> None:
    """Compare the board and the statements with the bare SQL."""
    from heritage.tally import selectors
    from heritage.tally.statements.selectors import statements, totals

    compare(
        "board for visitors",
        lambda: selectors.board(demonstration, with_people=False),
        bare(BOARD, demonstration),
    )
    compare(
        "board for members",
        lambda: selectors.board(demonstration),
        bare([*BOARD, *PEOPLE_OF_BOARD], demonstration),
    )
    compare(
        "the page of statements",
        lambda: totals(demonstration),
        bare(PEOPLE_OF_BOARD, demonstration),
    )
    compare(
        "every line of every statement, to be printed",
        lambda: [page.hours for page in statements(demonstration)],
        bare(STATEMENTS, demonstration),
    )


def bench_what_if(demonstration: Any) -> None:
    """Compare a what-if of a whole season with its promise, queries left aside."""
    from heritage.tally.forecast import selectors
    from heritage.tally.pace.selectors import plans as plans_of

    plans = plans_of(demonstration, NOW)
    page = selectors.forecast_page(
        demonstration, now=NOW, plans=plans, asked=selectors.WhatIf()
    )
    asked = selectors.WhatIf(
        more_pullers=10,
        longer_min=30,
        wet_from=date(2026, 8, 20),
        machine_days=frozenset(plan.day for plan in plans[::2]),
    )

    def work() -> object:
        before = selectors.finish(page.basis, plans)
        ahead = [asked.applied(plan) for plan in plans]
        after = selectors.finish(page.basis, ahead)
        return before, after

    took = seconds(work)
    print(
        f"what-if, before and after, {len(plans)} evenings of 60 people, "
        f"{page.left.likely:,.0f} beets left: {WHAT_IF_SECONDS / took:.1f} times "
        f"within {1_000 * WHAT_IF_SECONDS:.0f} ms"
    )


def main() -> None:
    """Make the season, compare, and throw it away."""
    with tempfile.TemporaryDirectory() as folder:
        if "postgres" not in os.environ.get("DATABASE_URL", ""):
            os.environ["DATABASE_URL"] = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
        import django

        django.setup()
        from django.test.utils import setup_databases, teardown_databases

        made = setup_databases(verbosity=0, interactive=False)
        try:
            demonstration = make_season()
            bench_pages(demonstration)
            bench_what_if(demonstration)
        finally:
            teardown_databases(made, verbosity=0)


if __name__ == "__main__":
    main()
