"""Which days a run falls on, checked against dateutil and by its properties."""

from datetime import date, datetime, time, timedelta

import pytest
from dateutil import rrule
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.runs import LONGEST_DAYS, days_of_run

days = st.dates(date(1990, 1, 1), date(2090, 1, 1))
spans = st.integers(0, LONGEST_DAYS - 1)
weeks = st.sets(st.integers(0, 6))


@st.composite
def runs(draw):
    first = draw(days)
    last = first + timedelta(days=draw(spans))
    left_out = draw(st.sets(st.integers(-5, LONGEST_DAYS), max_size=20))
    return first, last, draw(weeks), {first + timedelta(days=n) for n in left_out}


@given(runs())
def test_every_day_is_in_order_within_and_of_its_weekdays(run):
    first, last, weekdays, left_out = run
    found = days_of_run(first, last, weekdays, left_out)
    assert list(found) == sorted(set(found))
    assert all(first <= day <= last for day in found)
    assert {day.weekday() for day in found} <= weekdays
    assert not set(found) & left_out


@given(runs())
def test_no_day_is_forgotten(run):
    """What is not in the run is of another weekday, or was left out."""
    first, last, weekdays, left_out = run
    found = set(days_of_run(first, last, weekdays, left_out))
    for step in range((last - first).days + 1):
        day = first + timedelta(days=step)
        assert (day in found) == (day.weekday() in weekdays and day not in left_out)


@given(runs())
def test_it_agrees_with_the_calendar_rule(run):
    """RFC 5545's weekly rule by dateutil, an implementation of somebody else's."""
    first, last, weekdays, left_out = run
    rule = rrule.rruleset()
    if weekdays:
        rule.rrule(
            rrule.rrule(
                rrule.WEEKLY,
                dtstart=_moment(first),
                until=_moment(last),
                byweekday=sorted(weekdays),
            )
        )
    for day in left_out:
        rule.exdate(_moment(day))
    expected = tuple(moment.date() for moment in rule)
    assert days_of_run(first, last, weekdays, left_out) == expected


def _moment(day):
    return datetime.combine(day, time())


@given(runs(), weeks)
def test_more_weekdays_never_mean_fewer_days(run, more):
    first, last, weekdays, left_out = run
    fewer = set(days_of_run(first, last, weekdays, left_out))
    assert fewer <= set(days_of_run(first, last, weekdays | more, left_out))


def test_monday_to_friday_in_a_fortnight_of_august():
    """13 August 2026 is a Thursday."""
    found = days_of_run(
        date(2026, 8, 13), date(2026, 8, 21), range(5), [date(2026, 8, 18)]
    )
    assert [day.day for day in found] == [13, 14, 17, 19, 20, 21]


def test_one_day_is_a_run():
    day = date(2026, 8, 13)
    assert days_of_run(day, day, {3}) == (day,)
    assert days_of_run(day, day, {4}) == ()


def test_what_cannot_be_is_refused():
    day = date(2026, 8, 13)
    with pytest.raises(ValueError, match="must not be before"):
        days_of_run(day, day - timedelta(days=1), {0})
    with pytest.raises(ValueError, match="longer than 366"):
        days_of_run(day, day + timedelta(days=LONGEST_DAYS), {0})
    with pytest.raises(ValueError, match=r"0 to 6, not \[7\]"):
        days_of_run(day, day, {7})
