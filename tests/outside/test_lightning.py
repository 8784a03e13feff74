"""The thirty-thirty rule as safety bodies publish it.

Flash to thunder in 30 seconds or less: stop and take cover. Work begins again 30
minutes after the last thunder (Royal Society for the Prevention of Accidents, as the
Ramblers quote it).
"""

from datetime import UTC, datetime, timedelta

from heritage.calc.weather import Flash, thunder_hold

SEVEN = datetime(2026, 8, 12, 18, 0, tzinfo=UTC)


def test_thirty_seconds_stop_the_work_and_thirty_one_do_not():
    assert thunder_hold([Flash(SEVEN, 31)]) is None
    assert thunder_hold([Flash(SEVEN, 30)]) is not None


def test_the_wait_is_thirty_minutes_from_the_last_thunder():
    first = thunder_hold([Flash(SEVEN, 0)])
    assert first == SEVEN + timedelta(minutes=30)
    later = SEVEN + timedelta(minutes=29)
    assert thunder_hold([Flash(SEVEN, 0), Flash(later, 0)]) == later + timedelta(
        minutes=30
    )
