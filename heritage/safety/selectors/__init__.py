"""What the safety room's pages, sheets and neighbours read."""

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
from heritage.safety.selectors.past import PastLine, changes
from heritage.safety.selectors.stations import WORK_WORDS, hazards_met
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
    "AN_OPINION",
    "BAND_SOURCE",
    "JAM_RULE",
    "WORK_WORDS",
    "BriefingLine",
    "BriefingPage",
    "BriefingSheet",
    "Dial",
    "EmergencyPage",
    "HazardLine",
    "HazardPage",
    "Hearer",
    "MachinePage",
    "MachineToday",
    "OneHazard",
    "PastLine",
    "PlanLine",
    "PlanPart",
    "RiskSheet",
    "TickList",
    "band_table",
    "briefing_lines",
    "briefing_page",
    "briefing_sheet",
    "briefings_heard",
    "changes",
    "current_version",
    "dials",
    "emergency_page",
    "general_cautions",
    "has_changed",
    "hazard_page",
    "hazards_met",
    "heard_pairs",
    "is_overdue",
    "jurisdiction_of",
    "lacks_named_person",
    "machine_page",
    "machines_today",
    "missing_briefings",
    "one_hazard",
    "overdue_hazards",
    "reasons_not_to_publish",
    "risk_sheet",
    "stop_rules",
    "tick_list",
    "words_of",
    "young_people_rules",
]
