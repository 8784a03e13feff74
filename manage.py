#!/usr/bin/env python
"""Django's command line for the site."""

import json
import os
import sys
from argparse import ArgumentParser
from pathlib import Path

from django.core.management import execute_from_command_line

HERE = Path(__file__).resolve().parent
SHOW = HERE / ".demo"


def stand_apart(arguments: list[str]) -> None:
    """Give the demonstration for show a database, files and an address of its own.

    It never touches a real installation's, whatever the environment says.
    """
    known = ArgumentParser(add_help=False, allow_abbrev=False)
    known.add_argument("--port", default="8000")
    known.add_argument("--moment", default="pulling")
    asked = known.parse_known_args(arguments)[0]
    moments = json.loads((HERE / "fixtures/carrowlint.json").read_text())["moments"]
    if asked.moment not in moments:
        sys.exit(f"--moment is one of: {', '.join(moments)}")
    folder = SHOW / asked.moment
    folder.mkdir(parents=True, exist_ok=True)
    os.environ |= {
        "DEBUG": "true",
        "SITE_ADDRESS": f"http://127.0.0.1:{asked.port}",
        "BEHIND_HTTPS": "false",
        "DATABASE_URL": os.environ.get(
            "DEMO_DATABASE_URL", f"sqlite:///{folder / 'demo.sqlite3'}"
        ),
        "MEDIA_ROOT": str(folder / "media"),
        "FILES_BUCKET": "",
        "EMAIL_URL": "consolemail://",
        "CACHE_URL": "locmemcache://",
        "TASKS_IN_WORKER": "false",
        "CLOCK_STARTS_AT": moments[asked.moment],
    }


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "heritage.settings")
    if sys.argv[1:2] == ["demo"]:
        stand_apart(sys.argv[1:])
    execute_from_command_line(sys.argv)
