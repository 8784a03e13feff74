"""A worker is ready before its first request, served as the README says."""

import http.client
import os
import re
import shlex
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOADED = """
import sys
import heritage.wsgi
from reportlab.pdfbase import pdfmetrics
print("Fira" in pdfmetrics.getRegisteredFontNames())
print(*(name for name in sys.modules))
"""
# What a request may need, by its drawer.
DRAWERS = re.compile(
    r"\.(urls|views|forms|services|mail|sheets|drawings|templatetags|request|kits)\b"
)

# Asked for by the chores of the night alone.
NIGHTLY = {"heritage.desk.scores.services"}


@pytest.fixture
def environment(tmp_path):
    return os.environ | {
        "DATABASE_URL": f"sqlite:///{tmp_path}/heritage.sqlite3",
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "PYTHONPATH": str(ROOT),
        "ALLOWED_HOSTS": "127.0.0.1",
    }


def test_nothing_of_the_site_is_left_to_load_for_the_first_request(environment):
    done = subprocess.run(  # noqa: S603 - our own command
        [sys.executable, "-c", LOADED],
        env=environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    fonts, loaded = done.stdout.splitlines()
    ours = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for path in ROOT.glob("heritage/**/*.py")
    }
    assert fonts == "True"
    assert {"scipy.optimize", "numpy", "openpyxl", "icalendar"} <= set(loaded.split())
    needed = {name for name in ours if DRAWERS.search(name)}
    assert len(needed) > 100
    assert needed - set(loaded.split()) == NIGHTLY


def served_as():
    """Return the command that the README gives, on a port of our own."""
    readme = (ROOT / "README.md").read_text()
    command = re.search(r"<!-- serve -->\n```\n(.+)\n```", readme)[1]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    _gunicorn, *rest = shlex.split(command)
    return [sys.executable, "-m", "gunicorn", *rest, f"--bind=127.0.0.1:{port}"], port


def alive(port):
    asked = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        asked.request("GET", "/alive/")
        return asked.getresponse().status
    finally:
        asked.close()


def workers_of(pid):
    tasks = Path(f"/proc/{pid}/task").glob("*/children")
    return {int(child) for task in tasks for child in task.read_text().split()}


@pytest.mark.long
def test_the_readme_s_line_serves_and_a_killed_worker_is_replaced(environment):
    command, port = served_as()
    server = subprocess.Popen(command, env=environment, cwd=ROOT)  # noqa: S603
    try:
        until = time.monotonic() + 120
        while time.monotonic() < until and server.poll() is None:
            try:
                if alive(port) == 200:
                    break
            except OSError:
                time.sleep(0.1)
        while len(before := workers_of(server.pid)) < 3:
            time.sleep(0.05)
        for worker in before:
            os.kill(worker, signal.SIGKILL)
        # The site is in memory already: the new ones answer without loading it.
        while workers_of(server.pid) & before:
            time.sleep(0.05)
        assert alive(port) == 200
        while len(workers_of(server.pid)) < 3:
            time.sleep(0.05)
    finally:
        server.terminate()
        assert server.wait(timeout=60) == 0
