"""Factories of the treading rota."""

from datetime import date, datetime, time
from typing import Any

from heritage.dam.models import Half, RotaPlan, Treader, TreaderState, Treading
from tests.factories.core import NOW, make_ret, make_volunteer


def make_rota_plan(**fields: Any) -> RotaPlan:
    fields = {"first_day": date(2026, 8, 12), "last_day": date(2026, 8, 20)} | fields
    if "ret" not in fields:
        fields["ret"] = make_ret()
    return RotaPlan.objects.create(**fields)


def make_treading(**fields: Any) -> Treading:
    """Make a turn, on the evening of the 13th if not said."""
    fields = {"day": date(2026, 8, 13), "half": Half.EVENING} | fields
    if "plan" not in fields:
        fields["plan"] = make_rota_plan()
    if "at" not in fields:
        clock = time(8) if fields["half"] == Half.MORNING else time(18)
        zone = fields["plan"].ret.dam.demonstration.zone
        fields["at"] = datetime.combine(fields["day"], clock, tzinfo=zone)
    return Treading.objects.create(**fields)


def make_treader(**fields: Any) -> Treader:
    fields = {"state": TreaderState.CAN, "changed_at": NOW} | fields
    if "turn" not in fields:
        fields["turn"] = make_treading()
    if "volunteer" not in fields:
        where = fields["turn"].plan.ret.dam.demonstration
        fields["volunteer"] = make_volunteer(demonstration=where)
    return Treader.objects.create(**fields)
