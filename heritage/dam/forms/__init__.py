"""Forms of the dam's book and of the treading rota."""

from heritage.dam.forms.rota import (
    AnswerForm,
    HandForm,
    PlanForm,
    RecordForm,
    TakeForm,
    seal_rota,
)
from heritage.dam.forms.water import (
    CheckForm,
    CleanForm,
    ConfirmReadingsForm,
    DamForm,
    Degrees,
    FillForm,
    LiftForm,
    ReadingForm,
    ReadingsFileForm,
    WeighedForm,
    WentForm,
    seal,
)

__all__ = [
    "AnswerForm",
    "CheckForm",
    "CleanForm",
    "ConfirmReadingsForm",
    "DamForm",
    "Degrees",
    "FillForm",
    "HandForm",
    "LiftForm",
    "PlanForm",
    "ReadingForm",
    "ReadingsFileForm",
    "RecordForm",
    "TakeForm",
    "WeighedForm",
    "WentForm",
    "seal",
    "seal_rota",
]
