"""The clock shows the machine's time, or the hour it was told, running on."""

import time
from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from heritage.common import clock

COLLECTED = time.monotonic()
START = datetime(2026, 8, 12, 17, 40, tzinfo=UTC)


@pytest.fixture
def shown(settings):
    settings.CLOCK_STARTS_AT = "2026-08-12T18:40:00+01:00"
    return settings


def test_without_a_shown_hour_it_is_the_machine_s_time():
    before = timezone.now()
    assert before <= clock.now() <= timezone.now()


def test_a_shown_hour_runs_on_from_where_the_process_began(shown, monkeypatch):
    monkeypatch.setattr(clock, "_STARTED", time.monotonic() - 1200)
    assert clock.now() - START >= timedelta(minutes=20)


def test_a_test_whose_turn_comes_late_begins_at_its_own_hour():
    """The clock's module was loaded before this one; its beginning is newer."""
    assert clock._STARTED > COLLECTED


def test_an_hour_without_its_offset_is_refused(settings):
    settings.CLOCK_STARTS_AT = "2026-08-12T18:40:00"
    with pytest.raises(ValueError, match="must carry its offset"):
        clock.now()


@pytest.mark.parametrize(
    ("zone", "day"),
    [("Europe/London", date(2026, 8, 12)), ("Pacific/Auckland", date(2026, 8, 13))],
)
def test_the_day_is_the_zone_s_own(shown, zone, day):
    assert clock.today(zone) == day
