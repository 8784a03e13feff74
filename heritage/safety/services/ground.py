"""What is written down of the ground: its ways out, its crowd."""

from typing import Any

from django.db import transaction

from heritage.safety.models import CrowdPlan, Exit
from heritage.safety.services.emergency import fill_in, lock
from heritage.season.models import Demonstration


@transaction.atomic
def keep_exit(
    *, demonstration: Demonstration, said: dict[str, Any], way: Exit | None = None
) -> Exit:
    """Write down a way out with its width, or put it right.

    Raises
    ------
    ValidationError
        If there is one of that name, or it has no width.
    """
    lock(demonstration)
    return fill_in(way or Exit(demonstration=demonstration), said)


@transaction.atomic
def take_away_exit(*, way: Exit) -> None:
    """Take a way out off the plan."""
    lock(way.demonstration)
    way.delete()


@transaction.atomic
def keep_crowd_plan(*, demonstration: Demonstration, said: dict[str, Any]) -> CrowdPlan:
    """Write down the ground for visitors, and how fast it must clear.

    Raises
    ------
    ValidationError
        If nothing is left of it to stand on.
    """
    lock(demonstration)
    plan = CrowdPlan.objects.of(demonstration).first()
    return fill_in(plan or CrowdPlan(demonstration=demonstration), said)
