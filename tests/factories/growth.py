"""Factories of the growing crop."""

from datetime import date
from decimal import Decimal
from typing import Any

from heritage.growth.models import Observation, Sowing, WarmDay
from tests.factories.core import NOW, make_demonstration, make_plot, make_user


def make_sowing(**fields: Any) -> Sowing:
    fields = {"variety": "Blue Lint", "kg_per_ha": Decimal(100)} | fields
    if "plot" not in fields:
        fields["plot"] = make_plot()
    return Sowing.objects.create(**fields)


def make_observation(**fields: Any) -> Observation:
    """Make an observation; a height, unless something else is said."""
    fields = {"seen_on": date(2026, 7, 1), "entered_at": NOW} | fields
    if len(fields.keys() - {"plot", "by", "key"}) == 2:
        fields["height_cm"] = 70
    if "plot" not in fields:
        fields["plot"] = make_plot()
    if "by" not in fields:
        fields["by"] = make_user()
    return Observation.objects.create(**fields)


def make_warm_day(**fields: Any) -> WarmDay:
    fields = {
        "day": date(2026, 6, 1),
        "tmin_c": Decimal(9),
        "tmax_c": Decimal(19),
        "entered_at": NOW,
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "by" not in fields:
        fields["by"] = make_user()
    return WarmDay.objects.create(**fields)
