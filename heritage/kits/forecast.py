"""The hours of a weather forecast, read from an open met service.

The format is the "compact" one of Locationforecast 2.0 by the Norwegian
Meteorological Institute (MET Norway), a GeoJSON Feature. Its documentation was read
for: ``properties.meta.updated_at``; ``properties.timeseries[].time`` and, under
``data``, ``instant.details`` (``air_temperature`` [°C], ``relative_humidity`` [%],
``wind_speed`` [m/s]) and ``next_1_hours`` with ``details.precipitation_amount`` [mm]
and ``summary.symbol_code``; for 203 meaning a version that is being withdrawn, 304,
403 and 429; and for the terms: say who asks in ``User-Agent``, at most four decimals,
gzip, ``Expires``, and ``If-Modified-Since`` with the very text of the last
``Last-Modified``. The licence is CC BY 4.0, with credit to MET Norway.

From memory: that every symbol code of a thunderstorm holds the word "thunder" (the
published list of codes agrees), and that hours come one by one for some two days and
six by six after that.

References
----------
.. [1] https://docs.api.met.no/doc/ForecastJSON
.. [2] https://docs.api.met.no/doc/TermsOfService.html
.. [3] https://api.met.no/doc/locationforecast/FAQ
.. [4] https://api.met.no/doc/StatusCodes
"""

import json
import math
import time
import zlib
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from itertools import pairwise
from typing import Any

import httpx

CREDIT = "MET Norway, CC BY 4.0"
LICENCE_URL = "https://creativecommons.org/licenses/by/4.0/"
TIMEOUT_S = 3.0
MOST_BYTES = 1_000_000
MOST_HOURS = 500
HOUR = timedelta(hours=1)
GZIP = 31  # zlib's window bits for a gzip stream


class ForecastError(Exception):
    """The forecast could not be read; ``code`` says why, for the page's words."""

    def __init__(self, code: str) -> None:
        """Keep one of: timeout, unreachable, refused, busy, broken, huge, garbled."""
        super().__init__(code)
        self.code = code


@dataclass(frozen=True, slots=True)
class Hour:
    """What is forecast for one hour; the rain and the thunder are of the whole hour."""

    starts: datetime
    temp_c: float
    relative_humidity: float
    wind_ms: float
    rain_mm_per_h: float
    has_thunder: bool


@dataclass(frozen=True, slots=True)
class Forecast:
    """The hours of a forecast in their order, and when it was made."""

    made_at: datetime
    hours: tuple[Hour, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the service answered: a forecast, or None where the last one still holds."""

    forecast: Forecast | None
    expires: datetime | None
    last_modified: str


def fetch(
    url: str,
    *,
    latitude: float,
    longitude: float,
    contact: str,
    last_modified: str = "",
) -> Answer:
    """Ask the service for the forecast of a place.

    The whole exchange is bounded in time and in size, and no redirect is followed.

    Raises
    ------
    ForecastError
        Whatever goes wrong, with a code that says what.
    """
    headers = {
        "User-Agent": f"heritage-demonstration-organiser {contact}",
        "Accept": "application/json",
        "Accept-Encoding": "gzip",
    }
    if last_modified:
        headers["If-Modified-Since"] = last_modified
    place = {"lat": f"{latitude:.4f}", "lon": f"{longitude:.4f}"}
    # Not the clock but a stop-watch: a trickle of bytes never times out by itself.
    until = time.monotonic() + TIMEOUT_S
    try:
        with httpx.stream(
            "GET",
            url,
            params=place,
            headers=headers,
            timeout=TIMEOUT_S,
            follow_redirects=False,
        ) as response:
            return _answer(response, last_modified, until)
    except httpx.TimeoutException as error:
        raise ForecastError("timeout") from error
    except (httpx.HTTPError, httpx.InvalidURL) as error:
        raise ForecastError("unreachable") from error


def hours_between(
    forecast: Forecast, start: datetime, end: datetime
) -> tuple[Hour, ...]:
    """Return the hours that cover a span, or none unless they cover all of it."""
    hours = [
        hour
        for hour in forecast.hours
        if hour.starts + HOUR > start and hour.starts < end
    ]
    covered = start
    for hour in hours:
        if hour.starts > covered:
            return ()
        covered = hour.starts + HOUR
    return tuple(hours) if hours and covered >= end else ()


def read(body: bytes) -> Forecast:
    """Read a forecast; entries that are not of one whole hour are passed over.

    Raises
    ------
    ForecastError
        With the code ``garbled`` where it is not such a forecast.
    """
    try:
        told = json.loads(body)["properties"]
        made_at = _moment(told["meta"]["updated_at"])
        series = told["timeseries"][:MOST_HOURS]
        hours = [_hour(entry) for entry in series if "next_1_hours" in entry["data"]]
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        raise ForecastError("garbled") from error
    if any(later.starts <= hour.starts for hour, later in pairwise(hours)):
        raise ForecastError("garbled")
    return Forecast(made_at, tuple(hours))


def _answer(response: httpx.Response, last_modified: str, until: float) -> Answer:
    expires = _expires(response.headers.get("Expires", ""))
    if response.status_code == httpx.codes.NOT_MODIFIED and last_modified:
        return Answer(None, expires, last_modified)
    if response.status_code in (403, 401):
        raise ForecastError("refused")
    if response.status_code == httpx.codes.TOO_MANY_REQUESTS:
        raise ForecastError("busy")
    # 203 is a version that will be withdrawn soon: its hours are good until then.
    if response.status_code not in (200, 203):
        raise ForecastError("broken")
    body = _body(response, until)
    return Answer(read(body), expires, response.headers.get("Last-Modified", ""))


def _body(response: httpx.Response, until: float) -> bytes:
    """Read what was sent, never more than is bearable, packed or unpacked."""
    sent = bytearray()
    for chunk in response.iter_raw():
        sent += chunk
        if len(sent) > MOST_BYTES:
            raise ForecastError("huge")
        if time.monotonic() > until:
            raise ForecastError("timeout")
    if response.headers.get("Content-Encoding", "").lower() != "gzip":
        return bytes(sent)
    try:
        plain = zlib.decompressobj(GZIP).decompress(bytes(sent), MOST_BYTES + 1)
    except zlib.error as error:
        raise ForecastError("garbled") from error
    if len(plain) > MOST_BYTES:
        raise ForecastError("huge")
    return plain


def _hour(entry: Any) -> Hour:
    data = entry["data"]
    now, coming = data["instant"]["details"], data["next_1_hours"]
    symbol = str(coming.get("summary", {}).get("symbol_code", ""))
    return Hour(
        starts=_moment(entry["time"]),
        temp_c=_number(now["air_temperature"], -90, 60),
        relative_humidity=_number(now["relative_humidity"], 0, 110),
        wind_ms=_number(now["wind_speed"], 0, 120),
        rain_mm_per_h=_number(coming["details"]["precipitation_amount"], 0, 500),
        has_thunder="thunder" in symbol,
    )


def _number(value: Any, least: float, most: float) -> float:
    """Return a number that can be, whatever was sent."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("not a number")
    if not math.isfinite(value) or not least <= value <= most:
        raise ValueError("past belief")
    return float(value)


def _moment(text: Any) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError("a moment without its offset")
    return moment.astimezone(UTC)


def _expires(text: str) -> datetime | None:
    try:
        moment = parsedate_to_datetime(text)
    except (TypeError, ValueError):
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
