"""Forms of the tally."""

from heritage.tally.forms.beets import CorrectionForm, EveningForm
from heritage.tally.forms.what_if import WhatIfForm

__all__ = ["CorrectionForm", "EveningForm", "WhatIfForm"]
