"""The fixed parts of every briefing, and what the emergency plan says of them."""

from collections.abc import Mapping
from typing import Any, Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.safety.models import Briefing, EmergencyPlan, FirstAidPoint
from heritage.season.models import Demonstration

PARTS: Final[tuple[tuple[str, str | Promise], ...]] = (
    ("plan", _("Today's plan")),
    ("in_charge", _("In charge")),
    ("stop_signal", _("Stop signal: anybody may call it")),
    ("no_go", _("Nobody goes, and the barriers")),
    ("machine_stop", _("Stopping the machines")),
    ("lifting", _("Lifting")),
    ("clothing", _("Wear")),
    ("weather", _("Weather that stops us")),
    ("not_for", _("Not for")),
    ("first_aid", _("First aid")),
    ("aed", _("Defibrillator (AED)")),
    ("hospital", _("Nearest hospital")),
    ("emergency", _("In an emergency")),
    ("grid_reference", _("Grid reference")),
    ("assembly_point", _("Meeting point")),
    ("lost_child", _("A lost child")),
    ("welfare", _("Water, shade, toilets")),
    ("photos", _("Photographs")),
)
FIELDS: Final = ("title", "task", *(name for name, _label in PARTS))
# What a briefing leaves open, the emergency plan answers under another name.
PLANNED: Final = {
    "machine_stop": "machine_stop",
    "aed": "aed",
    "hospital": "hospital",
    "grid_reference": "grid_reference",
    "assembly_point": "meeting_point",
    "lost_child": "lost_child",
}


def planned_parts(demonstration: Demonstration) -> dict[str, str]:
    """Return what the emergency plan says of a briefing's parts: two queries."""
    plan = EmergencyPlan.objects.of(demonstration).first()
    points = FirstAidPoint.objects.of(demonstration).in_order()
    kits = [f"{one.place}: {one.holds}" if one.holds else one.place for one in points]
    found = {"first_aid": "; ".join(kits)}
    if plan:
        found |= {name: getattr(plan, field) for name, field in PLANNED.items()}
        said = [plan.calls, plan.number, plan.way_in]
        found["emergency"] = "; ".join(words for words in said if words)
    return {name: words for name, words in found.items() if words.strip()}


def filled_parts(briefing: Briefing, planned: Mapping[str, str]) -> dict[str, str]:
    """Return a briefing's own words, the plan's where it leaves a part open."""
    return {
        name: getattr(briefing, name).strip() or planned.get(name, "")
        for name in FIELDS
    }


def parts_of(content: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the parts that a briefing's words fill, with their labels."""
    return [(str(label), content[name]) for name, label in PARTS if content.get(name)]


def open_parts(content: Mapping[str, Any]) -> list[str]:
    """Return the labels of the parts that nobody has filled in yet.

    Whoever hears the briefing is told to ask for them, so none is left out unsaid.
    """
    return [str(label) for name, label in PARTS if not content.get(name)]
