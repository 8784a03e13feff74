#!/usr/bin/env python
"""Django's command line for the site."""

import os
import sys
from pathlib import Path

from django.core.management import execute_from_command_line

SHOW = Path(__file__).resolve().parent / ".demo"


def stand_apart() -> None:
    """Give the demonstration for show a database and files of its own.

    It never touches a real installation's, whatever the environment says.
    """
    SHOW.mkdir(exist_ok=True)
    os.environ |= {
        "DEBUG": "true",
        "BEHIND_HTTPS": "false",
        "DATABASE_URL": os.environ.get(
            "DEMO_DATABASE_URL", f"sqlite:///{SHOW / 'demo.sqlite3'}"
        ),
        "MEDIA_ROOT": str(SHOW / "media"),
        "FILES_BUCKET": "",
        "EMAIL_URL": "consolemail://",
        "CACHE_URL": "locmemcache://",
        "TASKS_IN_WORKER": "false",
        "CLOCK_STARTS_AT": "2026-08-12T18:40:00+01:00",
    }


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "heritage.settings")
    if sys.argv[1:2] == ["demo"]:
        stand_apart()
    execute_from_command_line(sys.argv)
