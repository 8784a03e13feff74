"""The emergency plan, and where first aid is."""

from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import Model

from heritage.briefings.models import EmergencyPlan, FirstAidPoint
from heritage.people.models import User
from heritage.season.models import Demonstration

Row = TypeVar("Row", bound=Model)


@transaction.atomic
def keep_emergency_plan(
    *, demonstration: Demonstration, said: dict[str, Any], by: User, now: datetime
) -> EmergencyPlan:
    """Write the emergency plan, or write it anew."""
    lock(demonstration)
    plan = EmergencyPlan.objects.of(demonstration).first()
    plan = plan or EmergencyPlan(demonstration=demonstration)
    return fill_in(plan, said | {"revised_at": now, "revised_by": by})


@transaction.atomic
def keep_first_aid_point(
    *,
    demonstration: Demonstration,
    said: dict[str, Any],
    point: FirstAidPoint | None = None,
) -> FirstAidPoint:
    """Write down where a first-aid kit is, or put it right."""
    lock(demonstration)
    return fill_in(point or FirstAidPoint(demonstration=demonstration), said)


@transaction.atomic
def take_away_first_aid_point(*, point: FirstAidPoint) -> None:
    """Take a first-aid point off the plan."""
    lock(point.demonstration)
    point.delete()


def lock(demonstration: Demonstration) -> None:
    """Hold the demonstration's row, so that two writers take turns."""
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)


def fill_in(row: Row, said: dict[str, Any]) -> Row:
    """Put what was said into a row, check it whole and save it."""
    for name, value in said.items():
        setattr(row, name, value)
    row.full_clean()
    row.save()
    return row
