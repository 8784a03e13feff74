"""The forecast reader, against a real server on loopback that may do anything.

The shape of the answers follows the service's own documentation (see the kit's
docstring); the figures in them are ours.
"""

from datetime import UTC, datetime, timedelta

import pytest

from heritage.kits import forecast
from heritage.kits.forecast import ForecastError, fetch, hours_between
from tests.met_server import feature, hour, hours_from, met_server

NOON = datetime(2026, 8, 12, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def server():
    with met_server() as told:
        told.body = feature(NOON, hours_from(NOON))
        yield told


def ask(server, **more):
    place = {"latitude": 54.598761, "longitude": -6.412349, "contact": "a@example.org"}
    return fetch(server.url, **place | more)


def refused(server, code, **more):
    with pytest.raises(ForecastError) as error:
        ask(server, **more)
    assert error.value.code == code


def test_it_says_who_asks_and_rounds_the_place_to_four_decimals(server):
    found = ask(server).forecast
    path, headers = server.asked[0]
    assert path == "/compact?lat=54.5988&lon=-6.4123"
    assert "a@example.org" in headers["User-Agent"]
    assert (found.made_at, len(found.hours)) == (NOON, 8)
    first = found.hours[0]
    assert (first.temp_c, first.wind_ms, first.rain_mm_per_h) == (15.5, 3.2, 0.0)
    assert (first.relative_humidity, first.has_thunder) == (71.0, False)


def test_a_packed_answer_is_read(server):
    server.packed = True
    assert len(ask(server).forecast.hours) == 8


def test_what_has_not_changed_is_not_sent_again(server):
    server.headers = {
        "Last-Modified": "Wed, 12 Aug 2026 11:58:00 GMT",
        "Expires": "Wed, 12 Aug 2026 12:30:00 GMT",
    }
    answer = ask(server)
    assert answer.expires == NOON + HOUR / 2
    server.status = 304
    again = ask(server, last_modified=answer.last_modified)
    assert again.forecast is None
    sent = server.asked[1][1]["If-Modified-Since"]
    assert sent == "Wed, 12 Aug 2026 11:58:00 GMT"


def test_a_symbol_with_thunder_is_thunder(server):
    server.body = feature(NOON, [hour(NOON, symbol="lightrainandthunder")])
    assert ask(server).forecast.hours[0].has_thunder


@pytest.mark.parametrize(
    ("status", "code"),
    [
        (401, "refused"),
        (403, "refused"),
        (429, "busy"),
        (500, "broken"),
        (302, "broken"),
        (304, "broken"),
    ],
)
def test_a_refusal_is_named_and_no_redirect_is_followed(server, status, code):
    server.status = status
    server.headers = {"Location": "http://127.0.0.1:9/elsewhere"}
    refused(server, code)
    assert len(server.asked) == 1


@pytest.mark.parametrize(
    "body",
    [
        b"not json",
        b"[]",
        b'{"properties": {}}',
        b"[" * 100_000,
        feature(NOON, [hour(NOON, temp="warm")]),
        feature(NOON, [hour(NOON, rain=-1)]),
        feature(NOON, [hour(NOON, wind=True)]),
        feature(NOON, [hour(NOON), hour(NOON)]),
        feature(NOON, [hour(NOON) | {"time": "2026-08-12T12:00:00"}]),
    ],
)
def test_what_is_no_forecast_is_garbled(server, body):
    server.body = body
    refused(server, "garbled")


def test_what_is_past_bearing_is_not_read_to_its_end(server, monkeypatch):
    monkeypatch.setattr(forecast, "MOST_BYTES", 2000)
    refused(server, "huge")
    server.packed = True
    server.body = b" " * 100_000
    refused(server, "huge")


def test_what_says_it_is_packed_and_is_not_is_garbled(server):
    server.headers = {"Content-Encoding": "gzip"}
    refused(server, "garbled")


def test_nobody_waits_for_long(server, monkeypatch):
    monkeypatch.setattr(forecast, "TIMEOUT_S", 0.2)
    server.slow_s = 1.0
    refused(server, "timeout")


def test_where_nobody_answers_it_says_so(server):
    with pytest.raises(ForecastError) as error:
        fetch("http://127.0.0.1:9/x", latitude=0, longitude=0, contact="a@example.org")
    assert error.value.code == "unreachable"


def test_hours_cover_the_whole_of_a_span_or_are_none(server):
    hours = [*hours_from(NOON, 3), hour(NOON + 5 * HOUR)]
    server.body = feature(NOON, hours)
    found = ask(server).forecast
    some = hours_between(found, NOON + HOUR / 2, NOON + 2.5 * HOUR)
    assert [one.starts.hour for one in some] == [12, 13, 14]
    assert hours_between(found, NOON, NOON + 6 * HOUR) == ()
    assert hours_between(found, NOON - HOUR, NOON + HOUR) == ()
    assert hours_between(found, NOON + 9 * HOUR, NOON + 10 * HOUR) == ()


def test_an_entry_that_is_not_of_one_hour_is_passed_over(server):
    long = hour(NOON + HOUR)
    long["data"]["next_6_hours"] = long["data"].pop("next_1_hours")
    server.body = feature(NOON, [hour(NOON), long])
    assert len(ask(server).forecast.hours) == 1
