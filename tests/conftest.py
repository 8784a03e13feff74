"""Fixtures that many tests share; the browser's live here.

The browser tests fail where there is no browser; the README's test command installs
one.
"""

import gc
import os
import re
import shutil
import time

import pytest
from hypothesis import settings

from tests import template_database

BROWSERS = (
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome",
)
SWITCHES = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# Tests of pages and words. Whether PostgreSQL answers what the pages ask,
# tests/people/test_access finds out, which opens every address as everybody.
OF_PAGES = re.compile(r"/test_([a-z_]+_)?(views|pages|words)(_[a-z_]+)?\.py")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--second-database",
        action="store_true",
        help="leave out the tests that any database answers alike",
    )


def pytest_configure() -> None:
    # The whole site is loaded to stay: looking through it for what could be freed,
    # again and again, took a fifth of the time.
    gc.disable()
    # Playwright keeps an event loop in the thread that also makes test rows.
    # A busy machine is no failure: no test of ours is timed. Half the usual examples,
    # for they are others in every run.
    settings.register_profile("untimed", deadline=None, max_examples=50)
    settings.load_profile("untimed")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Let every worker begin with its share of what takes long, and mostly waits.

    Each is given an equal run of the tests and, done with it, takes from the end of
    another's: so nobody is left alone with a browser.
    """
    if config.option.second_database:
        left_out = [item for item in items if not asks_the_database(item)]
        config.hook.pytest_deselected(items=left_out)
        items[:] = filter(asks_the_database, items)
    workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    slow, quick = [], []
    for item in items:
        (slow if is_slow(item) else quick).append(item)
    slow.sort(key=lambda item: item.get_closest_marker("long") is None)
    files = list(dict.fromkeys(item.path for item in slow))
    of_all = len(items) / workers
    items.clear()
    for worker in range(workers):
        own = files[worker::workers]
        items += [item for item in slow if item.path in own]
        room = max(0, round((worker + 1) * of_all) - len(items))
        items += quick[:room]
        del quick[:room]
    items += quick


def is_slow(item: pytest.Item) -> bool:
    return any(map(item.get_closest_marker, ["long", "browser"]))


def asks_the_database(item: pytest.Item) -> bool:
    """Say whether another database might answer a test otherwise.

    One may that reaches it at all (pytest-django stops any other), unless it is one of
    pages, or marked as one of looks, words, paper or a phone's own page.
    """
    if item.get_closest_marker("any_database") or OF_PAGES.search(item.nodeid):
        return False
    if databases := getattr(item.cls, "databases", None):
        return bool(databases)
    fixtures = {"db", "transactional_db", "live_server"} & {*item.fixturenames}
    return bool(fixtures) or item.get_closest_marker("django_db") is not None


def pytest_collection_finish() -> None:
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 100)
    gc.enable()


@pytest.fixture(autouse=True)
def each_test_begins_at_its_own_hour(monkeypatch):
    """Let a shown hour run from the test's beginning, however late its turn came."""
    from heritage.common import clock

    monkeypatch.setattr(clock, "_STARTED", time.monotonic())


@pytest.fixture(autouse=True)
def words_of_the_trade_stay_shut(request, monkeypatch):
    """Let a page be read as whole sentences; a browser is shown its words opening."""
    from heritage.season.templatetags import glossary

    if request.node.get_closest_marker("browser") is None:
        monkeypatch.setattr(glossary, "with_words_open", str)


def the_browser() -> str | None:
    """Return where a Chromium is, if there is one."""
    return next(filter(None, map(shutil.which, BROWSERS)), None)


@pytest.fixture(scope="session")
def chromium(live_server):
    """Give a real Chromium; where there is none the browser tests fail, not skip.

    The server outlives the browser: what the browser still asks is answered.
    """
    from playwright.sync_api import expect, sync_playwright

    # As long as a page itself may take: a busy machine is no failure.
    expect.set_options(timeout=20_000)

    path = the_browser()
    if path is None:
        pytest.fail("No Chromium found: run `sh .deps/browser` first.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=SWITCHES)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix):
    """Let every test database begin as a copy of one that is migrated already.

    ``migrate`` still runs on the copy, and finds nothing to do.
    """
    from django.db import connection

    test = connection.settings_dict["TEST"]
    if connection.vendor == "postgresql":
        test["TEMPLATE"] = template_database.postgresql_template()
        yield
        return
    held = template_database.pour_sqlite(
        "file:memorydb_default?mode=memory&cache=shared"
    )
    yield
    held.close()


@pytest.fixture(scope="session", autouse=True)
def flush_empties_sealed_tables():
    """Let the flush after a live test empty the books that nothing else may."""
    from django.core.management.commands.flush import Command
    from django.db import connections

    from heritage.common.triggers import unsealed

    flush = Command.handle

    def flush_unsealed(self, **options):
        with unsealed(connections[options["database"]]):
            flush(self, **options)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Command, "handle", flush_unsealed)
        yield


@pytest.fixture(scope="session", autouse=True)
def nobody_is_left_in_the_database():
    """Show out whoever is still in a PostgreSQL test database that is to be dropped.

    The live server's threads end with the browser's lines, and the last of them may
    end a moment after the tests.
    """
    from django.db import connection

    if connection.vendor != "postgresql":
        yield
        return
    creation = type(connection.creation)
    drop = creation._destroy_test_db

    def show_out_and_drop(self, name, verbosity):
        with self._nodb_cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = %s",
                [name],
            )
        drop(self, name, verbosity)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(creation, "_destroy_test_db", show_out_and_drop)
        yield


@pytest.fixture
def open_page(chromium, live_server, monkeypatch):
    """Open a page for somebody new, with a session of their own."""
    from django.conf import settings as django_settings

    monkeypatch.setattr(django_settings, "CLOCK_STARTS_AT", "2026-08-12T18:40:00+01:00")
    contexts = []

    def open_one(viewport):
        context = chromium.new_context(
            viewport=viewport, base_url=live_server.url, accept_downloads=True
        )
        context.set_default_timeout(20_000)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: pytest.fail(f"Script failed: {error}"))
        return page

    yield open_one
    for context in contexts:
        context.close()
