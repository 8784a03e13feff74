"""The forecast of a place, asked of the service that is set, and kept for a while."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.cache import cache
from django.utils.translation import gettext as _

from heritage.kits.forecast import Answer, Forecast, ForecastError, fetch
from heritage.season.models import Demonstration

# An older forecast says nothing of today. Our own choice.
STALE = timedelta(hours=24)
KEPT = timedelta(days=2)
# Where the service does not say how long its answer holds.
SHORTEST = timedelta(minutes=5)
LONGEST = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class _Kept:
    """An answer of the service, as the cache holds it."""

    forecast: Forecast
    expires: datetime
    last_modified: str


def is_configured() -> bool:
    """Tell whether a service is set, and who asks it: its terms want to know."""
    return bool(settings.FORECAST_URL and settings.FORECAST_CONTACT)


def forecast_at(where: Demonstration, now: datetime) -> Forecast:
    """Return the forecast kept for a place, or ask for it.

    Raises
    ------
    ForecastError
        If none is set (``off``), the service cannot be read (see its code), or its
        forecast is out of date (``stale``).
    """
    if not is_configured():
        raise ForecastError("off")
    forecast = _kept_or_asked(where, now)
    if forecast.made_at < now - STALE:
        raise ForecastError("stale")
    return forecast


def _kept_or_asked(where: Demonstration, now: datetime) -> Forecast:
    latitude, longitude = round(where.latitude, 4), round(where.longitude, 4)
    place = f"{settings.FORECAST_URL} {latitude} {longitude}"
    key = f"forecast-{hashlib.sha256(place.encode()).hexdigest()}"
    kept: _Kept | None = cache.get(key)
    if kept and now < kept.expires:
        return kept.forecast
    answer = fetch(
        settings.FORECAST_URL,
        latitude=float(latitude),
        longitude=float(longitude),
        contact=settings.FORECAST_CONTACT,
        last_modified=kept.last_modified if kept else "",
    )
    forecast = answer.forecast or (kept.forecast if kept else None)
    if forecast is None:
        raise ForecastError("broken")
    fresh = _Kept(forecast, _good_until(answer, now), answer.last_modified)
    cache.set(key, fresh, KEPT.total_seconds())
    return forecast


def _good_until(answer: Answer, now: datetime) -> datetime:
    asked = answer.expires or now
    return min(max(asked, now + SHORTEST), now + LONGEST)


def why_unread(error: ForecastError) -> str:
    """Say in plain words why the forecast could not be read."""
    reasons = {
        "timeout": _("The forecast service did not answer in time."),
        "refused": _(
            "The forecast service refused us. Tell the person who keeps this site."
        ),
        "busy": _("The forecast service is too busy."),
        "stale": _("The forecast that came is more than a day old."),
    }
    return reasons.get(error.code, _("The forecast could not be read."))
