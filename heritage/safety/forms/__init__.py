"""Forms of the safety room."""

from heritage.safety.forms.briefings import BriefingForm, MetAtForm, SureForm, TickForm
from heritage.safety.forms.emergency import EmergencyPlanForm, FirstAidPointForm
from heritage.safety.forms.hazards import HazardFilter, HazardForm, LookAgainForm
from heritage.safety.forms.lifting import HoldingForm, LiftForm, StoneForm
from heritage.safety.forms.machines import CheckForm, MachineForm

__all__ = [
    "BriefingForm",
    "CheckForm",
    "EmergencyPlanForm",
    "FirstAidPointForm",
    "HazardFilter",
    "HazardForm",
    "HoldingForm",
    "LiftForm",
    "LookAgainForm",
    "MachineForm",
    "MetAtForm",
    "StoneForm",
    "SureForm",
    "TickForm",
]
