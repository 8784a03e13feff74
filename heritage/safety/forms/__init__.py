"""Forms of the safety room."""

from heritage.safety.forms.briefings import BriefingForm, SureForm, TickForm
from heritage.safety.forms.hazards import HazardForm

__all__ = ["BriefingForm", "HazardForm", "SureForm", "TickForm"]
