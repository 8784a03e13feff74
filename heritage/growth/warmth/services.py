"""Temperatures of days, typed or taken in from a file."""

from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.growth.models import WarmDay
from heritage.growth.warmth.selectors import HOTTEST_C, DayOfWarmth, whole_days
from heritage.kits.forecast import ForecastError
from heritage.people.models import User
from heritage.season.forecast.services import forecast_at
from heritage.season.models import Demonstration


@transaction.atomic
def take_in_days(
    *,
    demonstration: Demonstration,
    days: Iterable[DayOfWarmth],
    by: User,
    now: datetime,
) -> int:
    """Keep the temperatures of some days, over what was there; all of them or none.

    Raises
    ------
    ValidationError
        If a day has not come, or a temperature cannot be.
    """
    lock(demonstration)
    today = now.astimezone(demonstration.zone).date()
    last = {one.day: one for one in days}
    known = {row.day: row for row in WarmDay.objects.of(demonstration)}
    rows = []
    for one in last.values():
        if one.day > today:
            words = _("%s is in the future.")
            raise ValidationError({"day": words % f"{one.day:%d.%m.%Y}"})
        if one.tmax_c > HOTTEST_C:
            words = _("%s °C is hotter than any day here. Is that in °F?")
            raise ValidationError({"tmax_c": words % one.tmax_c})
        row = known.get(one.day) or WarmDay(demonstration=demonstration, day=one.day)
        row.tmin_c, row.tmax_c, row.by, row.entered_at = *one[1:], by, now
        row.is_forecast = False
        rows.append(row)
    return _keep(rows)


@transaction.atomic
def fetch_days(*, demonstration: Demonstration, by: User, now: datetime) -> int:
    """Keep the temperatures that are forecast for whole days; what was measured stays.

    Raises
    ------
    ForecastError
        As `forecast_at`; ``missing`` where it has no whole day.
    """
    days = whole_days(forecast_at(demonstration, now), demonstration.zone)
    kept = foretell_days(demonstration=demonstration, days=days, by=by, now=now)
    if not kept:
        raise ForecastError("missing")
    return kept


@transaction.atomic
def foretell_days(
    *,
    demonstration: Demonstration,
    days: Iterable[DayOfWarmth],
    by: User,
    now: datetime,
) -> int:
    """Keep the temperatures that are forecast for some days; what was measured stays.

    Raises
    ------
    ValidationError
        If a day's lowest is above its highest.
    """
    lock(demonstration)
    measured = WarmDay.objects.of(demonstration).filter(is_forecast=False)
    measured_days = set(measured.values_list("day", flat=True))
    known = {row.day: row for row in WarmDay.objects.of(demonstration)}
    rows = []
    for one in days:
        if one.day in measured_days:
            continue
        row = known.get(one.day) or WarmDay(demonstration=demonstration, day=one.day)
        row.tmin_c, row.tmax_c, row.by, row.entered_at = *one[1:], by, now
        row.is_forecast = True
        rows.append(row)
    return _keep(rows)


def _keep(rows: list[WarmDay]) -> int:
    for row in rows:
        row.full_clean(validate_unique=False, exclude={"demonstration", "by"})
    WarmDay.objects.bulk_create([row for row in rows if row.pk is None])
    WarmDay.objects.bulk_update(
        [row for row in rows if row.pk],
        ["tmin_c", "tmax_c", "is_forecast", "by", "entered_at"],
    )
    return len(rows)
