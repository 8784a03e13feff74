"""What the safety room prints."""

from heritage.safety.sheets.briefings import briefing_sheet
from heritage.safety.sheets.emergency import emergency_sheet
from heritage.safety.sheets.risk import risk_sheet

__all__ = [
    "briefing_sheet",
    "emergency_sheet",
    "risk_sheet",
]
