"""Forms of the tally."""

from heritage.tally.forms.beets import (
    CorrectionForm,
    CrewForm,
    EveningForm,
    PaperForm,
    RowsForm,
)
from heritage.tally.forms.what_if import WhatIfForm
from heritage.tally.forms.work import (
    AnswerForm,
    GroundForm,
    OwnLogForm,
    WorkCorrectionForm,
    WorkForm,
)

__all__ = [
    "AnswerForm",
    "CorrectionForm",
    "CrewForm",
    "EveningForm",
    "GroundForm",
    "OwnLogForm",
    "PaperForm",
    "RowsForm",
    "WhatIfForm",
    "WorkCorrectionForm",
    "WorkForm",
]
