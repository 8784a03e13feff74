"""What the safety room's pages, sheets and neighbours read."""

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
from heritage.safety.selectors.words import (
    has_changed,
    reasons_not_to_publish,
    words_of,
)

__all__ = [
    "BriefingLine",
    "BriefingPage",
    "BriefingSheet",
    "Hearer",
    "TickList",
    "briefing_lines",
    "briefing_page",
    "briefing_sheet",
    "briefings_heard",
    "current_version",
    "has_changed",
    "heard_pairs",
    "missing_briefings",
    "reasons_not_to_publish",
    "tick_list",
    "words_of",
]
