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
from heritage.safety.forms.site import CrowdPlanForm, ExitForm, StewardPostForm

__all__ = [
    "BriefingForm",
    "CheckForm",
    "ChildForm",
    "ChildNoteForm",
    "CrowdPlanForm",
    "DecisionForm",
    "EmergencyPlanForm",
    "EndForm",
    "EvidenceForm",
    "ExitForm",
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
    "StewardPostForm",
    "StoneForm",
    "SureForm",
    "TickForm",
    "WitnessForm",
]
