"""Forms of the safety room."""

from heritage.safety.forms.briefings import BriefingForm, MetAtForm, SureForm, TickForm
from heritage.safety.forms.children import ChildForm, ChildNoteForm, EndForm
from heritage.safety.forms.emergency import EmergencyPlanForm, FirstAidPointForm
from heritage.safety.forms.hazards import HazardFilter, HazardForm, LookAgainForm
from heritage.safety.forms.incidents import (
    DecisionForm,
    EvidenceForm,
    HoldForm,
    IncidentForm,
    PeriodForm,
    ReportForm,
    WitnessForm,
)
from heritage.safety.forms.lifting import HoldingForm, LiftForm, StoneForm
from heritage.safety.forms.machines import CheckForm, MachineForm

__all__ = [
    "BriefingForm",
    "CheckForm",
    "ChildForm",
    "ChildNoteForm",
    "DecisionForm",
    "EmergencyPlanForm",
    "EndForm",
    "EvidenceForm",
    "FirstAidPointForm",
    "HazardFilter",
    "HazardForm",
    "HoldForm",
    "HoldingForm",
    "IncidentForm",
    "LiftForm",
    "LookAgainForm",
    "MachineForm",
    "MetAtForm",
    "PeriodForm",
    "ReportForm",
    "StoneForm",
    "SureForm",
    "TickForm",
    "WitnessForm",
]
