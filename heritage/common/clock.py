"""The site's one clock. Nothing else asks the machine for the time.

A demonstration for show needs to sit in mid-season whatever the day, so the
process may be told when it starts (``CLOCK_STARTS_AT``); from there time runs on.
Services, selectors and calculations are handed the moment; only views, commands
and tasks call `now`.
"""

import functools
import time
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone

_STARTED = time.monotonic()


@functools.cache
def _shown_start(text: str) -> datetime:
    start = datetime.fromisoformat(text)
    if start.tzinfo is None:
        raise ValueError("CLOCK_STARTS_AT must carry its offset from UTC.")
    return start.astimezone(ZoneInfo("UTC"))


def now() -> datetime:
    """Say what time it is, aware and in UTC."""
    if not settings.CLOCK_STARTS_AT:
        return timezone.now()
    elapsed = timedelta(seconds=time.monotonic() - _STARTED)
    return _shown_start(settings.CLOCK_STARTS_AT) + elapsed


def today(zone: str) -> date:
    """Say what day it is where the clocks follow ``zone``."""
    return now().astimezone(ZoneInfo(zone)).date()
