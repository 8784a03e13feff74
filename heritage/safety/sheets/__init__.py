"""What the safety room prints."""

from heritage.safety.sheets.briefings import briefing_sheet
from heritage.safety.sheets.children import child_sheet
from heritage.safety.sheets.emergency import emergency_sheet, runs_over
from heritage.safety.sheets.incidents import incident_sheet, register_sheet
from heritage.safety.sheets.machines import machine_sheet
from heritage.safety.sheets.risk import risk_sheet
from heritage.safety.sheets.stewards import steward_sheet
from heritage.safety.sheets.stones import stones_sheet
from heritage.safety.sheets.stopping import stop_blocks, stop_caution

__all__ = [
    "briefing_sheet",
    "child_sheet",
    "emergency_sheet",
    "incident_sheet",
    "machine_sheet",
    "register_sheet",
    "risk_sheet",
    "runs_over",
    "steward_sheet",
    "stones_sheet",
    "stop_blocks",
    "stop_caution",
]
