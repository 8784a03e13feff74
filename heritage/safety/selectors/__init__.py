"""What the safety room's pages, sheets and neighbours read."""

from heritage.safety.selectors.hazards import (
    HazardLine,
    HazardPage,
    band_table,
    hazard_page,
)
from heritage.safety.selectors.hearing import (
    briefings_heard,
    heard_pairs,
    missing_briefings,
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
from heritage.safety.selectors.warnings import general_cautions, young_people_rules
from heritage.safety.selectors.words import (
    has_changed,
    lacks_named_person,
    reasons_not_to_publish,
    words_of,
)

__all__ = [
    "BriefingLine",
    "BriefingPage",
    "BriefingSheet",
    "HazardLine",
    "HazardPage",
    "Hearer",
    "TickList",
    "band_table",
    "briefing_lines",
    "briefing_page",
    "briefing_sheet",
    "briefings_heard",
    "current_version",
    "general_cautions",
    "has_changed",
    "hazard_page",
    "heard_pairs",
    "lacks_named_person",
    "missing_briefings",
    "reasons_not_to_publish",
    "tick_list",
    "words_of",
    "young_people_rules",
]
