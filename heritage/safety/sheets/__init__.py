"""What the safety room prints."""

from heritage.safety.sheets.briefings import briefing_sheet

__all__ = ["briefing_sheet"]
