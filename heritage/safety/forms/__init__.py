"""Forms of the safety room."""

from heritage.safety.forms.briefings import BriefingForm, SureForm, TickForm
from heritage.safety.forms.hazards import HazardFilter, HazardForm, LookAgainForm

__all__ = [
    "BriefingForm",
    "HazardFilter",
    "HazardForm",
    "LookAgainForm",
    "SureForm",
    "TickForm",
]
