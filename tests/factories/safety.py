"""What goes wrong, the ground and its machines, one row at a time."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.core.files.base import ContentFile

from heritage.briefings.models import EmergencyPlan, FirstAidPoint, HazardChange
from heritage.grounds.models import CrowdPlan, Duty, Exit, StewardPost
from heritage.incidents.models import (
    ChildMatter,
    Evidence,
    Incident,
    IncidentChange,
    IncidentKind,
    LostChild,
    Witness,
)
from heritage.machines.models import Machine, MachineCheck, MachineKind, Stone
from tests.factories.core import (
    NOW,
    make_demonstration,
    make_user,
    next_number,
    small_jpeg,
)


def _home(fields: dict[str, Any]) -> dict[str, Any]:
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return fields


def make_hazard_change(**fields: Any) -> HazardChange:
    fields = {
        "hazard_number": 1,
        "title": "Deep water",
        "what": {"likelihood": [3, 4]},
        "at": NOW,
    } | fields
    return HazardChange.objects.create(**_home(fields))


def make_incident(**fields: Any) -> Incident:
    fields = {
        "kind": IncidentKind.NEAR_MISS,
        "happened_at": NOW,
        "place": "Edge of the dam",
        "account": "A stone slid off the plank; nobody stood below.",
        "reported_at": NOW,
        "keep_until": date(2029, 8, 12),
    } | fields
    if "reported_by" not in fields:
        fields["reported_by"] = make_user()
    return Incident.objects.create(**_home(fields))


def make_incident_change(**fields: Any) -> IncidentChange:
    fields = {"what": {"place": ["Gate", "Edge of the dam"]}, "at": NOW} | fields
    if "incident" not in fields:
        fields["incident"] = make_incident()
    fields.setdefault("by", fields["incident"].reported_by)
    return IncidentChange.objects.create(**fields)


def make_evidence(**fields: Any) -> Evidence:
    data = ContentFile(small_jpeg(next_number()), name="evidence.jpg")
    fields = {"file": data, "words": "The wet plank.", "added_at": NOW} | fields
    if "incident" not in fields:
        fields["incident"] = make_incident()
    fields.setdefault("added_by", fields["incident"].reported_by)
    return Evidence.objects.create(**fields)


def make_witness(**fields: Any) -> Witness:
    fields = {"name": "Torin Reed"} | fields
    if "incident" not in fields:
        fields["incident"] = make_incident()
    fields.setdefault("added_by", fields["incident"].reported_by)
    return Witness.objects.create(**fields)


def make_lost_child(**fields: Any) -> LostChild:
    fields = {
        "matter": ChildMatter.LOST,
        "reporter": "His aunt, at the gate",
        "looks": "Green coat, red boots",
        "last_seen": "By the stooks, ten minutes ago",
        "opened_at": NOW,
        "delete_on": date(2027, 8, 12),
    } | fields
    if "opened_by" not in fields:
        fields["opened_by"] = make_user()
    return LostChild.objects.create(**_home(fields))


def make_emergency_plan(**fields: Any) -> EmergencyPlan:
    fields = {"controller": "Nora Bell", "revised_at": NOW} | fields
    return EmergencyPlan.objects.create(**_home(fields))


def make_first_aid_point(**fields: Any) -> FirstAidPoint:
    return FirstAidPoint.objects.create(**_home({"place": "The gate"} | fields))


def make_exit(**fields: Any) -> Exit:
    fields = {
        "name": f"Field gate {next_number()}",
        "width_m": Decimal("3.5"),
    } | fields
    return Exit.objects.create(**_home(fields))


def make_crowd_plan(**fields: Any) -> CrowdPlan:
    return CrowdPlan.objects.create(**_home({"area_m2": Decimal(1150)} | fields))


def make_steward_post(**fields: Any) -> StewardPost:
    fields = {"duty": Duty.DAM, "place": "North edge"} | fields
    return StewardPost.objects.create(**_home(fields))


def make_machine(**fields: Any) -> Machine:
    fields = {
        "name": f"Belt puller {next_number()}",
        "kind": MachineKind.PULLER,
        "stop": "The driver, by the lever on the right.",
    } | fields
    machine = Machine.objects.create(**_home(fields))
    machine.guards.create(name="Belt guard, left side")
    return machine


def make_machine_check(**fields: Any) -> MachineCheck:
    fields = {"may_run": True, "checked_at": NOW} | fields
    if "machine" not in fields:
        fields["machine"] = make_machine()
    if "checked_by" not in fields:
        fields["checked_by"] = make_user()
    return MachineCheck.objects.create(**fields)


def make_stone(**fields: Any) -> Stone:
    fields = {"mark": f"A{next_number()}", "weight_kg": Decimal("18.5")} | fields
    return Stone.objects.create(**_home(fields))
