"""The show's emergency plan, written before its briefings say what is in it."""

import json
from datetime import datetime
from typing import Any

from django.conf import settings

from heritage.briefings import services as briefings_services
from heritage.briefings.models import Briefing, EmergencyPlan, FirstAidPoint
from heritage.common.rows import keep_record
from heritage.people.models import User
from heritage.season.models import Demonstration

FIXTURES = settings.BASE_DIR / "fixtures"


def read_ground() -> dict[str, Any]:
    """Return the rest of the scenario: the ground and what its people can do."""
    text = (FIXTURES / "carrowlint_ground.json").read_text(encoding="utf-8")
    ground: dict[str, Any] = json.loads(text)
    return ground


def plan_for_emergencies(
    *, demonstration: Demonstration, by: User, now: datetime
) -> None:
    """Write the plan and the first aid points, then publish the briefings anew."""
    ground = read_ground()
    keep_record(
        row=EmergencyPlan(demonstration=demonstration, revised_at=now, revised_by=by),
        values=ground["plan"],
    )
    for row in ground["first_aid_points"]:
        keep_record(row=FirstAidPoint(demonstration=demonstration), values=row)
    for briefing in Briefing.objects.of(demonstration).by_title():
        briefings_services.publish(briefing=briefing, user=by, now=now)
