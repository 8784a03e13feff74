"""Forms of the safety room."""

from heritage.safety.forms.briefings import BriefingForm, SureForm, TickForm
from heritage.safety.forms.emergency import EmergencyPlanForm, FirstAidPointForm
from heritage.safety.forms.hazards import HazardFilter, HazardForm, LookAgainForm

__all__ = [
    "BriefingForm",
    "EmergencyPlanForm",
    "FirstAidPointForm",
    "HazardFilter",
    "HazardForm",
    "LookAgainForm",
    "SureForm",
    "TickForm",
]
