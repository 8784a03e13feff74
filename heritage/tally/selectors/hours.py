"""Hours of turnout, added up."""

from datetime import timedelta
from decimal import Decimal

from django.db.models import F

from heritage.gatherings.models import Turnout
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


def hours_by(
    demonstration: Demonstration, key: str, volunteer: Volunteer | None = None
) -> dict[int, Decimal]:
    """Add up hours of turnout by volunteer or gathering; who has not left has none."""
    rows = Turnout.objects.of(demonstration).filter(left_at__isnull=False)
    if volunteer:
        rows = rows.filter(volunteer=volunteer)
    spent: dict[int, timedelta] = {}
    for row, stay in rows.values_list(key, F("left_at") - F("arrived_at")):
        spent[row] = spent.get(row, timedelta()) + stay
    return {row: as_hours(stay) for row, stay in spent.items()}


def as_hours(stay: timedelta) -> Decimal:
    """Write a span in hours, to a tenth."""
    return (Decimal(stay // timedelta(minutes=1)) / 60).quantize(Decimal("0.1"))
