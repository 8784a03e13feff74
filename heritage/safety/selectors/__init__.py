"""What the safety room's pages, sheets and neighbours read."""

from heritage.safety.selectors.ease import Ease, ease_of
from heritage.safety.selectors.emergency import (
    Dial,
    EmergencyPage,
    PlanLine,
    PlanPart,
    dials,
    emergency_page,
)
from heritage.safety.selectors.hazards import (
    HazardLine,
    HazardPage,
    OneHazard,
    RiskSheet,
    hazard_page,
    one_hazard,
    overdue_hazards,
    risk_sheet,
)
from heritage.safety.selectors.hearing import (
    briefings_heard,
    heard_pairs,
    missing_briefings,
)
from heritage.safety.selectors.judging import AN_OPINION, BAND_SOURCE, band_table
from heritage.safety.selectors.law import jurisdiction_of
from heritage.safety.selectors.lifting import (
    ANYBODY,
    WHY_NOT,
    LiftAnswer,
    LiftAsked,
    Measured,
    lift_answer,
)
from heritage.safety.selectors.machines import (
    JAM_RULE,
    MachinePage,
    MachineToday,
    machine_page,
    machines_today,
)
from heritage.safety.selectors.pages import (
    BriefingLine,
    BriefingPage,
    BriefingSheet,
    Hearer,
    TickList,
    briefing_lines,
    briefing_page,
    briefing_sheet,
    current_version,
    tick_list,
)
from heritage.safety.selectors.parts import PARTS, open_parts, parts_of, planned_parts
from heritage.safety.selectors.past import PastLine, changes
from heritage.safety.selectors.placed import Voided, places_asking, voided
from heritage.safety.selectors.stations import WORK_WORDS, hazards_met
from heritage.safety.selectors.stones import (
    StoneHolding,
    StonePage,
    StonesWeight,
    stone_page,
    stones_weight,
)
from heritage.safety.selectors.warnings import general_cautions, young_people_rules
from heritage.safety.selectors.words import (
    has_changed,
    is_overdue,
    lacks_named_person,
    reasons_not_to_publish,
    stop_rules,
    words_of,
)

__all__ = [
    "ANYBODY",
    "AN_OPINION",
    "BAND_SOURCE",
    "JAM_RULE",
    "PARTS",
    "WHY_NOT",
    "WORK_WORDS",
    "BriefingLine",
    "BriefingPage",
    "BriefingSheet",
    "Dial",
    "Ease",
    "EmergencyPage",
    "HazardLine",
    "HazardPage",
    "Hearer",
    "LiftAnswer",
    "LiftAsked",
    "MachinePage",
    "MachineToday",
    "Measured",
    "OneHazard",
    "PastLine",
    "PlanLine",
    "PlanPart",
    "RiskSheet",
    "StoneHolding",
    "StonePage",
    "StonesWeight",
    "TickList",
    "Voided",
    "band_table",
    "briefing_lines",
    "briefing_page",
    "briefing_sheet",
    "briefings_heard",
    "changes",
    "current_version",
    "dials",
    "ease_of",
    "emergency_page",
    "general_cautions",
    "has_changed",
    "hazard_page",
    "hazards_met",
    "heard_pairs",
    "is_overdue",
    "jurisdiction_of",
    "lacks_named_person",
    "lift_answer",
    "machine_page",
    "machines_today",
    "missing_briefings",
    "one_hazard",
    "open_parts",
    "overdue_hazards",
    "parts_of",
    "places_asking",
    "planned_parts",
    "reasons_not_to_publish",
    "risk_sheet",
    "stone_page",
    "stones_weight",
    "stop_rules",
    "tick_list",
    "voided",
    "words_of",
    "young_people_rules",
]
